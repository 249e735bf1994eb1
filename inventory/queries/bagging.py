"""What stands beside a bagging while bags are counted: what was there, what is filled, what is left."""

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.models import Entry, Lot, Station, Stock
from inventory.queries.finding import find_lot
from inventory.rules.bagging import bagging_mistakes, is_a_rest
from inventory.rules.mass import read_mass
from inventory.rules.mistakes import Level, Mistake


@dataclass(frozen=True)
class BagsAhead:
    """A bagging as far as it is counted [mg].

    Attributes:
        there_mg: loose seed of the lot before it.
        filled_mg: in whole bags and the part bag.
        first: number of the first bag that is filled now.
        says: what stands in the way, in sentences; the act will ask the same.
    """

    lot: Lot
    places: tuple[str, ...]
    there_mg: int
    nominal_mg: int
    filled_mg: int
    spilled_mg: int
    count: int
    first: int
    says: tuple[str, ...]

    @property
    def left_mg(self) -> int:
        """What stays loose; below nothing where the bags hold more than was there."""
        return self.there_mg - self.filled_mg - self.spilled_mg

    @property
    def is_little(self) -> bool:
        """What is left is no more than bagging may spill."""
        return is_a_rest(self.left_mg, self.there_mg)

    @property
    def more_bags(self) -> int:
        """How many whole bags the rest would fill."""
        return max(0, self.left_mg // self.nominal_mg) if self.nominal_mg else 0


def bags_ahead(
    station: Station, lot: str, *, count: str, bag_mass: str, part_bag: str, spilled: str, place: str, unit: str
) -> BagsAhead:  # fmt: skip
    """Look at a bagging while it is counted (4 queries).

    Raises:
        Mistake: the lot is not known.
    """
    found, _notes = find_lot(station, lot)
    rows = Stock.objects.filter(lot=found, bag_no=0, mg__gt=0).select_related("place").order_by("place__code")
    loose = [row for row in rows if not place.strip() or row.place.code.casefold() == place.strip().casefold()]
    bags = int(count) if count.strip().isdecimal() and len(count.strip()) < 6 else 0
    nominal, part, swept = (_mg(typed, unit) for typed in (bag_mass, part_bag, spilled))
    there = sum(row.mg for row in loose)
    return BagsAhead(
        lot=found, places=tuple(row.place.code for row in loose), there_mg=there, nominal_mg=nominal,
        filled_mg=bags * nominal + part, spilled_mg=swept, count=bags, first=next_bag(found),
        says=tuple(_says(there, bags, nominal, part, swept)),
    )  # fmt: skip


def next_bag(lot: Lot) -> int:
    """Say which number the next bag of a lot takes (1 query); bags of a bagging that was taken back are free again."""
    filled = Entry.objects.filter(lot=lot, bag_no__gt=0, mg__gt=0, operation__kind="bag")
    standing = filled.filter(operation__reversed_by__isnull=True).order_by("-bag_no")
    return (standing.values_list("bag_no", flat=True).first() or 0) + 1


def _says(there: int, count: int, nominal: int, part: int, spilled: int) -> Sequence[str]:
    if not (count or part):
        return ()
    found = bagging_mistakes(there_mg=there, count=count, nominal_mg=nominal, part_mg=part, spilled_mg=spilled)
    return [mistake.says for mistake in found if mistake.level is not Level.NOTE]


def _mg(typed: str, unit: str) -> int:
    try:
        return read_mass(typed, unit=unit or "kg").mg if typed.strip() else 0
    except Mistake:  # the act says so when it is sent
        return 0
