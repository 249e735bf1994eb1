"""The floor as squares: each place filled as high as its kilograms beside the fullest, with its marks."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

from inventory.drawing.grid import Grid, grid

SIDE = 64  # units of the drawing
STEP = 84  # with the code under it
COLUMNS = 8


@dataclass(frozen=True)
class Stand:
    """A place and what stands there.

    Attributes:
        mg: all seed at it [mg].
        tested, lots: how many of its lots the bench has looked at, and how many there are.
    """

    code: str
    name: str
    mg: int
    lots: int
    bags: int
    tested: int
    is_wet: bool
    is_held: bool

    @property
    def test_kind(self) -> str:
        """The ring it gets: "all", "some" or "none" of its lots tested; "" for an empty place."""
        if not self.lots:
            return ""
        return "all" if self.tested == self.lots else "some" if self.tested else "none"


@dataclass(frozen=True)
class Filled:
    """A place as it is drawn: the fill's upper edge and height within its square [units of the drawing]."""

    stand: Stand
    top: float
    height: float


def filled(stands: Iterable[Stand]) -> list[Filled]:
    """Fill each place by its mass beside the fullest; the least that stands there is still seen."""
    stands = list(stands)
    most = max((stand.mg for stand in stands), default=0)
    return [_fill(stand, most) for stand in stands]


def _fill(stand: Stand, most: int) -> Filled:
    height = max(5.0, SIDE * stand.mg / most) if stand.mg else 0.0
    return Filled(stand, SIDE - height, height)


def floorplan(places: Sequence[Filled]) -> Grid[Filled]:
    """Lay places out by their names ("rack A"), in the order of their codes, for a file of its own."""
    return grid(by_name(places), columns=COLUMNS, step=STEP)


def by_name(places: Sequence[Filled]) -> list[tuple[str, list[Filled]]]:
    """Group places by their names, in the order of the first code of each."""
    ordered = sorted(places, key=lambda place: (place.stand.name, place.stand.code))
    groups = [(name, list(found)) for name, found in groupby(ordered, key=lambda place: place.stand.name)]
    return sorted(groups, key=lambda group: group[1][0].stand.code)
