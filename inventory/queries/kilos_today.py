"""What came in and what went out on a day, in the order in which it did."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from inventory.models import Entry, Station

IN = ("harvested", "returned")
OUT = ("shipped", "sown", "discarded")


@dataclass(frozen=True)
class Moved:
    """Seed that one act brought in or took out.

    Args:
        what: the lots it made, or the act and where it went.
        number: of the act, for its page.
        mg: over 0 [mg].
    """

    what: str
    number: int
    mg: int


@dataclass(frozen=True)
class KilosToday:
    """Both ways of one day."""

    came_in: tuple[Moved, ...]
    went_out: tuple[Moved, ...]

    @property
    def total_in(self) -> int:
        """All that came in [mg]."""
        return sum(one.mg for one in self.came_in)

    @property
    def total_out(self) -> int:
        """All that went out [mg]."""
        return sum(one.mg for one in self.went_out)


def kilos_of(station: Station, day: date) -> KilosToday:
    """Gather a day's kilos in and out (2 queries)."""
    start = datetime.combine(day, time(), ZoneInfo(station.zone))
    rows = list(
        Entry.objects.filter(
            station=station, account__in=(*IN, *OUT), operation__at__gte=start,
            operation__at__lt=start + timedelta(days=1), operation__reversed_by__isnull=True,
            operation__reverses__isnull=True,
        ).select_related("operation__shipment").order_by("operation__at", "operation__seq", "position")
    )  # fmt: skip
    lots = _lots_of(row.operation_id for row in rows)
    return KilosToday(_moved(rows, IN, lots, sign=-1), _moved(rows, OUT, lots, sign=1))


def _lots_of(acts: Iterable[int]) -> dict[int, str]:
    """Name the lots of each act."""
    found: dict[int, dict[str, None]] = {}
    rows = Entry.objects.filter(operation__in=set(acts), lot__isnull=False).order_by("operation", "position")
    for act, number in rows.values_list("operation", "lot__number"):
        found.setdefault(act, {})[number] = None
    return {act: ", ".join(numbers) for act, numbers in found.items()}


def _moved(rows: list[Entry], accounts: tuple[str, ...], lots: dict[int, str], *, sign: int) -> tuple[Moved, ...]:
    found: dict[int, Moved] = {}
    for row in rows:
        mg = sign * row.mg
        if row.account in accounts and mg > 0:
            act = row.operation
            before = found.get(act.pk)
            found[act.pk] = Moved(_words(row, lots), act.seq, mg + (before.mg if before else 0))
    return tuple(found.values())


def _words(row: Entry, lots: dict[int, str]) -> str:
    shipment = getattr(row.operation, "shipment", None)
    return shipment.code if shipment else lots.get(row.operation_id, row.account)
