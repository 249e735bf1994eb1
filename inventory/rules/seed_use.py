"""Which lot is sown first, and whether there is enough: the order, and taking in that order.

The order: what was tested and germinates well before what was not tested; of these the oldest crop first, so that good
seed is sown before it ages; of one crop the lot that was made first. Ours, no source.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

ORDER = "tested and good first, of these the oldest crop, then the lot made first"
SOURCE = "ours, no source"


@dataclass(frozen=True, slots=True)
class Source:
    """A lot that could be sown.

    Attributes:
        lot: its number.
        free_mg: what may be taken of it [mg].
        is_tested: a valid germination test stands, at or over the threshold.
        crop: the crop's year; of a blend of several, the year in which it was made.
        made_on: the day it was made.
        barred: why nothing of it is sown, "" where it may be.
    """

    lot: str
    free_mg: int
    is_tested: bool
    crop: int
    made_on: date
    barred: str = ""


@dataclass(frozen=True, slots=True)
class Drawn:
    """What is taken of one lot [mg]."""

    lot: str
    mg: int
    left_mg: int


def in_order(sources: Sequence[Source]) -> list[Source]:
    """List what may be sown, first what is to be used first."""
    usable = [source for source in sources if not source.barred and source.free_mg > 0]
    return sorted(usable, key=lambda one: (not one.is_tested, one.crop, one.made_on, one.lot))


def draw(need_mg: int, sources: Sequence[Source]) -> tuple[list[Drawn], int]:
    """Take from lots in the order of use.

    Args:
        need_mg: what is needed, 0 or more [mg].

    Returns:
        What is taken of each lot, and what is missing then [mg].
    """
    drawn: list[Drawn] = []
    for source in in_order(sources):
        if need_mg == 0:
            break
        mg = min(need_mg, source.free_mg)
        drawn.append(Drawn(source.lot, mg, source.free_mg - mg))
        need_mg -= mg
    return drawn, need_mg


def whole_from_one(need_mg: int, sources: Sequence[Source]) -> Source | None:
    """Find the first lot in the order of use that holds all of it: the plots of one entry are not sown from two."""
    return next((source for source in in_order(sources) if source.free_mg >= need_mg), None)
