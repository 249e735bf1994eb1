"""The ribbon: mass drawn to scale, cut where it went, in the order in which it went."""

from collections.abc import Sequence
from dataclasses import dataclass

WIDTH, HEIGHT = 1000, 44  # units of the drawing; a page stretches it to its own width
NARROWEST = 15  # 1.5 % of the width: thinner parts stand as words at the end of the band
_TOOTH = 10


@dataclass(frozen=True)
class Part:
    """One part of the mass.

    Args:
        mass: at least 0, in any one unit.
        kind: "gone", "left" or "unaccounted"; a class of the mark.
        words: what stands in it and in the table under it.
        link: where a tap leads; "" for nowhere.
    """

    mass: int
    kind: str
    words: str
    link: str = ""


@dataclass(frozen=True)
class Band:
    """A part as it is drawn [units of the drawing]."""

    x: float
    width: float
    part: Part

    @property
    def middle(self) -> float:
        """Where its words stand."""
        return self.x + self.width / 2

    @property
    def has_room(self) -> bool:
        """Its words fit into it, at about 9 units a letter."""
        return len(self.part.words) * 9 <= self.width


@dataclass(frozen=True)
class Ribbon:
    """A drawn ribbon: bands from left to right, and the parts too thin to be drawn."""

    bands: tuple[Band, ...]
    beside: tuple[Part, ...]
    promised_width: float = 0.0
    promised_x: float = 0.0

    @property
    def end(self) -> float:
        """Where the last band ends."""
        return max((band.x + band.width for band in self.bands), default=0.0)

    @property
    def teeth(self) -> str:
        """A saw-tooth lower edge under the whole band, as points of a polyline."""
        count = int(self.end // _TOOTH)
        return " ".join(f"{index * _TOOTH},{HEIGHT - (4 if index % 2 else 0)}" for index in range(count + 1))


def ribbon(parts: Sequence[Part], *, whole: int = 0, promised: int = 0) -> Ribbon:
    """Lay parts out from left to right; what is unaccounted comes last.

    Args:
        parts: in the order in which they went, what is left behind them.
        whole: mass that fills the width, for lists that share one scale; 0 for the sum of the parts.
        promised: mass of what is left that was promised; drawn over the first of it.

    Returns:
        Bands that touch and, with `whole` 0, fill the width but for what stands beside.
    """
    whole = max(whole, sum(part.mass for part in parts))
    ordered = sorted(parts, key=lambda part: part.kind == "unaccounted")
    bands: list[Band] = []
    beside: list[Part] = []
    x = 0.0
    for part in ordered:
        width = WIDTH * part.mass / whole if whole else 0.0
        if width < NARROWEST:
            beside.extend([part] if part.mass else [])
            continue
        bands.append(Band(x, width, part))
        x += width
    left = next((band for band in bands if band.part.kind == "left"), None)
    covered = min(left.width, WIDTH * promised / whole) if left and whole else 0.0
    return Ribbon(tuple(bands), tuple(beside), covered, left.x if left else 0.0)
