"""What the books know before a lot is fed: which it is, what of it is there, what ran before, how it ran last time."""

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.models import Lot, Station, Stock
from inventory.queries.finding import find_lot, find_place
from inventory.queries.runs import Before, RunBalance, balances, standing_runs, went_before
from inventory.queries.settings import Remembered, last_settings
from inventory.queries.today import now_at
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import listed
from inventory.rules.shades import shows_in

_MOST_NAMED = 6
LOOK_BACK = 200  # runs; what is missing for longer is an audit's matter


class SeveralThere(Mistake):
    """A bin that holds no lot, or more than one."""

    code = "several_there"

    def __init__(self, place: str, lots: Sequence[str]) -> None:
        if lots:
            says = f"At {place} stand {listed(list(lots), 'and')}. Scan the lot that is fed."
        else:
            says = f"Nothing stands at {place}. Scan the bin that is fed."
        super().__init__(says, field="feed_lot", proposal=lots[0] if lots else None)
        self.readings = tuple(lots)


@dataclass(frozen=True)
class Fed:
    """What was scanned to be fed: a lot, and where and in which bags it was said to stand."""

    lot: Lot
    place: str = ""
    bags: str = ""


@dataclass(frozen=True)
class Ahead:
    """What is said beside the form of a run that is to start [mg]."""

    fed: Fed
    stock: tuple[Stock, ...]
    remembered: Remembered | None
    before: tuple[tuple[Before, bool], ...]  # with whether it shows in this lot

    @property
    def there_mg(self) -> int:
        """All of the lot that stands there."""
        return sum(row.mg for row in self.stock)


def fed_by(station: Station, typed: str) -> Fed:
    """Find what is to be fed: a lot, a bag of it, or a place where one lot stands (4 queries at most).

    Raises:
        Mistake: it is none of these, or several lots stand there.
    """
    number, slash, bag = typed.partition("/")
    try:
        lot, _notes = find_lot(station, number, field="feed_lot")
        return Fed(lot, bags=bag.strip() if slash else "")
    except Mistake as no_lot:
        code = _place_code(station, typed)
        if not code:
            raise no_lot from None
    there = Lot.objects.filter(stock__place__code=code, stock__station=station, stock__mg__gt=0)
    lots = list(there.select_related("standing").distinct().order_by("number")[:_MOST_NAMED])
    if len(lots) != 1:
        raise SeveralThere(code, [lot.number for lot in lots])
    return Fed(lots[0], place=code)


def _place_code(station: Station, typed: str) -> str:
    try:
        place, _notes = find_place(station, typed)
    except Mistake:
        return ""
    return place.code


def ahead_of_run(station: Station, fed: Fed, machines: Sequence[str]) -> Ahead:
    """Tell what is known before a run starts (9 queries at most)."""
    standing = fed.lot.standing
    stock = Stock.objects.filter(lot=fed.lot, mg__gt=0).select_related("place").order_by("place__code", "bag_no")
    joined = " + ".join(machines)
    before = went_before(station, joined, now_at(station), line_id=standing.line_id) if machines else []
    name = standing.market_class.name if standing.market_class else ""
    return Ahead(
        fed=fed,
        stock=tuple(row for row in stock if not fed.place or row.place.code == fed.place),
        remembered=last_settings(station, standing, machines) if machines else None,
        before=tuple((one, shows_in(one.market_class, name)) for one in before),
    )


def recent_runs(station: Station, *, most: int) -> tuple[list[RunBalance], list[RunBalance]]:
    """List the newest runs, and those of the two hundred before them that still miss more than they may (3 queries)."""
    runs = balances(standing_runs(station).reverse()[:LOOK_BACK])
    return runs[:most], [run for run in runs[most:] if run.is_over]
