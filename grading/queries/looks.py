"""Lots that do not look like the line they stand under, and pairs that look like each other's line.

A lot is called strange by all that was measured of it, with a stated chance (`likeness.ALARM`). Where too few lots are
measured for a chance, a plain comparison of 100-seed weights stands in and says that it knows none.
"""

from dataclasses import dataclass
from datetime import date

from grading.queries.likeness import Books, Likeness, judge
from grading.queries.likeness_words import says
from grading.queries.lot_measures import SEED_WEIGHT, MeasuredLot, measured_lots
from grading.rules.looks import Look, Weighed, strange_looks, swapped_pairs
from inventory.models import Station

NO_CHANCE = "Too few lots are measured to say how often that happens by chance."


@dataclass(frozen=True)
class Looks:
    """All lots of a station that do not look like their line.

    Attributes:
        strange: by all that was measured, with a chance, by lot number.
        rough: by 100-seed weight alone, where too few were measured for a chance.
    """

    strange: tuple[Likeness, ...]
    rough: tuple[Look, ...]

    @property
    def pairs(self) -> list[tuple[str, str]]:
        """Lots that look like each other's line and were measured on one day, so that their tags may be swapped."""
        found = [
            (first.lot.lot, second.lot.lot)
            for place, first in enumerate(self.strange)
            for second in self.strange[place + 1 :]
            if _days(first.lot) & _days(second.lot) and _may_be(first, second) and _may_be(second, first)
        ]
        rough = [(first.weighed.lot, second.weighed.lot) for first, second in swapped_pairs(self.rough)]
        return sorted({*found, *rough})


def looks_of(station: Station) -> Looks:
    """Find lots that do not look like the line they stand under (3 queries)."""
    books = Books(measured_lots(station))
    judged = [judge(books, lot) for lot in books.lots.values()]
    strange = tuple(each for each in judged if each.is_strange)
    unsaid = {each.lot.lot for each in judged if each.tail is None}
    rough = strange_looks([_weighed(lot) for lot in books.lots.values() if SEED_WEIGHT in lot.measures])
    return Looks(strange, tuple(look for look in rough if look.weighed.lot in unsaid))


def look_lines(station: Station) -> list[str]:
    """Say what looks strange in sentences; two lots that look like each other's line are said together."""
    looks = looks_of(station)
    by_lot = {each.lot.lot: says(each) for each in looks.strange}
    by_lot |= {look.weighed.lot: f"{look.says} {NO_CHANCE}" for look in looks.rough}
    pairs = [f"{first} and {second} look like each other's line." for first, second in looks.pairs]
    return [*(by_lot[lot] for lot in sorted(by_lot)), *pairs]


def _may_be(strange: Likeness, other: Likeness) -> bool:
    return other.lot.line in {like.line for like in strange.like}


def _days(lot: MeasuredLot) -> set[date]:
    return {measure.on for measure in lot.measures.values()}


def _weighed(lot: MeasuredLot) -> Weighed:
    measure = lot.measures[SEED_WEIGHT]
    return Weighed(lot.lot, lot.line, lot.class_name, measure.on, measure.exact[0])
