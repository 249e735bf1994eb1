"""What left and what is being loaded: shipments with their lots and balances, a load looked at while it is scanned."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from zoneinfo import ZoneInfo

from django.db.models import Q, Sum

from hilum.plugins.host import the_host
from inventory.models import Entry, Feedback, Operation, Promise, Shipment, Standing, Station, Stock
from inventory.queries.finding import find_lot
from inventory.queries.promises import open_promises
from inventory.queries.shipments import find_shipments
from inventory.queries.stocking import hold_reasons
from inventory.queries.today import today_at
from inventory.queries.treated import caution_words, treatments_on
from inventory.rules.mistakes import Mistake
from inventory.rules.scanned import scanned_bags
from inventory.rules.shipping import OldTest, old_tests


@dataclass(frozen=True)
class Left:
    """A shipment by its code: what left under it and what came back [mg]."""

    code: str
    recipient: str
    purpose: str
    day: date
    gone_mg: int
    back_mg: int


@dataclass(frozen=True)
class LeftLot:
    """A lot in a shipment.

    Attributes:
        bags: numbers of the bags that left.
        after_mg: what was left of the lot once the shipment was booked [mg]; now_mg: what is left today.
    """

    standing: Standing
    bags: tuple[int, ...]
    gone_mg: int
    after_mg: int
    now_mg: int
    notes: tuple[OldTest, ...] = ()


@dataclass(frozen=True)
class ShipmentStory:
    """One shipment as its page tells it."""

    left: Left
    acts: tuple[Operation, ...]
    lots: tuple[LeftLot, ...]
    returns: tuple[Operation, ...]
    said: tuple[Feedback, ...]
    caution: str = ""


@dataclass
class Loading:
    """A lot of a load while it is scanned: what leaves and what stays [mg], and what must be said of it."""

    standing: Standing
    bags: list[int] = field(default_factory=list)
    mg: int = 0
    left_mg: int = 0
    hold: str = ""
    promised: list[Promise] = field(default_factory=list)
    says: list[str] = field(default_factory=list)

    @property
    def after_mg(self) -> int:
        """What stays."""
        return self.left_mg - self.mg


def shipments(station: Station, most: int) -> list[Left]:
    """List shipments that stand by their codes, the newest first (3 queries)."""
    rows = Shipment.objects.filter(station=station, operation__reversed_by__isnull=True)
    by_code: dict[str, list[Shipment]] = defaultdict(list)
    for row in rows.select_related("operation").defer("operation__content").order_by("-operation__seq")[:most]:
        by_code[row.code].append(row)
    return _left_each(station, by_code)


def shipment_story(station: Station, code: str) -> ShipmentStory | None:
    """Tell one shipment (about 14 queries); None where nothing left under the code."""
    acts = find_shipments(station, code)
    if not acts:
        return None
    (left,) = _left_each(station, {acts[0].code: acts})
    keys = [act.operation_id for act in acts]
    returns = Operation.objects.filter(about__in=keys, kind="return", reversed_by__isnull=True).select_related("by")
    said = Feedback.objects.filter(station=station, shipment=left.code, operation__reversed_by__isnull=True)
    lots = _lots(station, acts)
    treated = [lot.standing.lot_id for lot in lots if lot.standing.treated]
    return ShipmentStory(
        left, tuple(act.operation for act in acts), tuple(lots), tuple(returns.order_by("seq")),
        tuple(said.select_related("operation")), caution_words(treatments_on(treated)) if treated else "",
    )  # fmt: skip


def load_ahead(station: Station, items: Iterable[Mapping[str, str]]) -> tuple[list[Loading], list[str]]:
    """Look at a load while it is scanned; nothing is judged here, the act does that.

    Args:
        items: lot, bags and mass of each, as typed; a mass that is typed is left for the act to read.

    Returns:
        What leaves of each lot, and sentences of what could not be read.
    """
    loads: dict[int, Loading] = {}
    says: list[str] = []
    for item in items:
        try:
            lot, _notes = find_lot(station, item.get("lot", ""))
            standing = Standing.objects.filter(lot=lot, made_by__isnull=False).select_related("lot", "line").get()
            bags = scanned_bags(item.get("bags", ""))
        except Mistake as mistake:
            says.append(mistake.says)
        except Standing.DoesNotExist:
            says.append(f"{lot.number} was taken back and holds no seed.")
        else:
            loads.setdefault(lot.pk, Loading(standing)).bags += bags
    _tell_stock(loads)
    _tell_more(station, loads)
    return list(loads.values()), says


def next_code(station: Station) -> str:
    """Propose the code of the next shipment: the newest with its number one higher (1 query)."""
    newest = Shipment.objects.filter(station=station).order_by("-operation__seq").values_list("code", flat=True).first()
    head = (newest or "S0").rstrip("0123456789")
    digits = (newest or "S0")[len(head) :]
    return f"{head}{int(digits) + 1}" if digits else ""


def _left_each(station: Station, by_code: Mapping[str, Sequence[Shipment]]) -> list[Left]:
    acts = {row.operation_id: row.code for rows in by_code.values() for row in rows}
    gone: dict[str, int] = defaultdict(int)
    back: dict[str, int] = defaultdict(int)
    out = Entry.objects.filter(operation__in=list(acts), account="shipped").order_by()
    for act, mg in out.values_list("operation").annotate(Sum("mg")):
        gone[acts[act]] += mg
    came = Entry.objects.filter(
        operation__about__in=list(acts),
        operation__kind="return",
        account="shipped",
        operation__reversed_by__isnull=True,
    ).order_by()
    for act, mg in came.values_list("operation__about").annotate(Sum("mg")):
        back[acts[act]] -= mg
    return [_left(station, code, rows, gone[code], back[code]) for code, rows in by_code.items()]


def _left(station: Station, code: str, rows: Sequence[Shipment], gone: int, back: int) -> Left:
    newest = rows[0]
    day = newest.operation.at.astimezone(ZoneInfo(station.zone)).date()
    return Left(code, newest.recipient, newest.purpose, day, gone, back)


def _lots(station: Station, acts: Sequence[Shipment]) -> list[LeftLot]:
    gone: dict[int, int] = defaultdict(int)
    bags: dict[int, list[int]] = defaultdict(list)
    moved = Entry.objects.filter(operation__in=[act.operation_id for act in acts], lot__isnull=False)
    for lot, bag, mg in moved.order_by("bag_no").values_list("lot", "bag_no", "mg"):
        gone[lot] -= mg
        if bag:
            bags[lot].append(bag)
    newest = max(act.operation.seq for act in acts)
    after, now = _balances(list(gone), newest), _balances(list(gone))
    rows = Standing.objects.filter(lot__in=list(gone)).select_related("lot", "line", "market_class")
    notes = _old_tests(station, [row.lot.number for row in rows])
    return [
        LeftLot(
            row, tuple(bags[row.lot_id]), gone[row.lot_id], after.get(row.lot_id, 0), now.get(row.lot_id, 0),
            notes.get(row.lot.number, ()),
        )
        for row in rows.order_by("lot__number")
    ]  # fmt: skip


def _balances(lots: Sequence[int], until: int | None = None) -> dict[int, int]:
    """What is left of lots by the acts that stand, up to a number in the books [mg] (1 query)."""
    stands = Q(operation__reversed_by__isnull=True, operation__reverses__isnull=True)
    entries = Entry.objects.filter(stands, lot__in=lots)
    if until is not None:
        entries = entries.filter(operation__seq__lte=until)
    return dict(entries.order_by().values_list("lot").annotate(Sum("mg")))


def _tell_stock(loads: Mapping[int, Loading]) -> None:
    """Say what is there, and what of it the bags take (1 query)."""
    stock: dict[int, dict[int, int]] = defaultdict(dict)
    for lot, bag, mg in Stock.objects.filter(lot__in=list(loads), mg__gt=0).values_list("lot", "bag_no", "mg"):
        stock[lot][bag] = stock[lot].get(bag, 0) + mg
    for key, load in loads.items():
        load.left_mg = sum(stock[key].values())
        load.mg = sum(stock[key].get(bag, 0) for bag in set(load.bags))
        missing = sorted(set(load.bags) - set(stock[key]))
        twice = sorted({bag for bag in load.bags if load.bags.count(bag) > 1})
        number = load.standing.lot.number
        load.says += [f"Bag {number}/{bag} is not in store. Check its label." for bag in missing]
        load.says += [f"Bag {number}/{bag} was scanned twice: it counts once." for bag in twice]


def _tell_more(station: Station, loads: Mapping[int, Loading]) -> None:
    """Say what is held, promised, and tested too long ago."""
    if not loads:
        return
    holds, promises = hold_reasons(station), open_promises(list(loads))
    notes = _old_tests(station, [load.standing.lot.number for load in loads.values()])
    for key, load in loads.items():
        load.hold, load.promised = holds.get(key, ""), promises.get(key, [])
        load.says += [note.says for note in notes.get(load.standing.lot.number, ())]


def _old_tests(station: Station, numbers: Sequence[str]) -> dict[str, tuple[OldTest, ...]]:
    facts = the_host().lot_facts(list(numbers), station.code) if numbers else {}
    today = today_at(station)
    return {number: tuple(old_tests(said.get("last_germination_on", ""), today)) for number, said in facts.items()}
