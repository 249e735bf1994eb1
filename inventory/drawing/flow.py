"""A run as a ribbon that splits: one feed in, a branch to scale for every spout, what is missing last.

All lengths across the flow are true pixels, so that the thinnest branch can still be seen and words keep their size;
along it the page stretches the drawing to its own width.
"""

from collections.abc import Iterable
from dataclasses import dataclass

WIDTH = 1000  # units along the flow, stretched
THICK = 112  # px of the whole feed
THINNEST = 2.0  # px: no spout is drawn thinner
SLOT = 40  # px that the words of a branch need
GAP = 8  # px between branches
TOP = 4  # px above the first
_LEAVES, _BENDS, _ARRIVES = 280, 420, 560  # where branches part from the feed, bend, and run on level


@dataclass(frozen=True)
class Spout:
    """One way out of a run.

    Attributes:
        name: "clean 25-0015-9", "throughs", "unaccounted".
        mass: at least 0, in the unit of the feed; None where it was not weighed yet.
        kind: "clean", "off", "unaccounted" or "over" (more came out than went in); a class of the mark.
        words: its mass in words.
        link: where a tap leads; "" for nowhere.
    """

    name: str
    mass: int | None
    kind: str
    words: str
    link: str = ""


@dataclass(frozen=True)
class Branch:
    """A spout as it is drawn [px across, units along]."""

    spout: Spout
    leaves: float  # upper edge where it parts from the feed
    arrives: float  # upper edge at its end
    thickness: float
    slot: float  # upper edge of the room that is its own
    room: float

    @property
    def is_waiting(self) -> bool:
        """It was not weighed yet: it is drawn as an open end."""
        return self.spout.mass is None

    @property
    def middle(self) -> float:
        """Where its words stand, across the flow."""
        return self.arrives + self.thickness / 2

    @property
    def path(self) -> str:
        """Its outline as an SVG path."""
        low, end = self.leaves + self.thickness, self.arrives + self.thickness
        down = f"C{_BENDS} {self.leaves:.2f} {_BENDS} {self.arrives:.2f} {_ARRIVES} {self.arrives:.2f}"
        back = f"C{_BENDS} {end:.2f} {_BENDS} {low:.2f} {_LEAVES} {low:.2f}"
        return f"M{_LEAVES} {self.leaves:.2f}{down}H{WIDTH}V{end:.2f}H{_ARRIVES}{back}Z"


@dataclass(frozen=True)
class Flow:
    """A drawn run.

    Attributes:
        feed: thickness of what went in [px].
        height: of the whole drawing [px].
    """

    branches: tuple[Branch, ...]
    feed: float
    height: float

    @property
    def feed_path(self) -> str:
        """The feed's outline as an SVG path."""
        return f"M0 {TOP}H{_LEAVES}V{TOP + self.feed:.2f}H0Z"


def flow(feed: int | None, spouts: Iterable[Spout]) -> Flow:
    """Lay out a run: the feed's branches under each other in the order given.

    Args:
        feed: what went in, in any one unit; None where it was not weighed yet.
        spouts: in the order of the table beside the drawing.

    Returns:
        Branches to scale, each at least `THINNEST` thick; spouts not weighed yet have a slot of their own too.
    """
    listed = list(spouts)
    weighed = sum(spout.mass or 0 for spout in listed if spout.kind.partition(" ")[0] != "over")
    whole = max(feed or 0, weighed)
    scale = THICK / whole if whole else 0.0
    fed = (feed if feed is not None else weighed) * scale
    branches: list[Branch] = []
    leaves, slot = float(TOP), float(TOP)
    for spout in listed:
        exact = (spout.mass or 0) * scale
        thickness = max(exact, THINNEST)
        room = max(thickness, SLOT)
        first = not branches
        arrives = slot if first else slot + (room - thickness) / 2
        start = min(leaves, max(TOP, TOP + THICK - thickness))
        branches.append(Branch(spout, start, arrives, thickness, slot, room))
        leaves += exact
        slot += room + GAP
    return Flow(tuple(branches), fed, max(slot - GAP, TOP + fed) + TOP)
