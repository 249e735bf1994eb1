"""What the germination room and the bench's instruments wait for, and what they found of one lot."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from grading.models import GerminationTray, SeedTest, SeedWeight, SizeCurve
from grading.queries.finding import day_of, standing_tests
from grading.queries.sizes import sieved_of
from grading.rules.germination import germination_test
from grading.rules.seed_weight import SeedWeight as Weighed
from grading.rules.seed_weight import seed_weight
from grading.rules.size_curve import SizeStack, passing_at
from inventory.models import Lot, Station
from inventory.rules.mistakes import Mistake

NEWEST = 10
MOST_PAST = 200  # curves of a line that the band is drawn from, the newest


@dataclass(frozen=True)
class Tray:
    """A tray that was laid out and not counted yet."""

    lot: str
    set_on: date
    count_on: date
    is_due: bool


@dataclass(frozen=True)
class Tested:
    """A germination test on a list."""

    lot: str
    number: str
    on: date
    mean_pct: Decimal


@dataclass(frozen=True)
class Sized:
    """A lot's newest size curve against the past of its line.

    Attributes:
        on: the day.
        past: openings of its own screens [mm] -> the least and the most that passed in the line's other lots [%].
        lots: how many other lots that stands on.
    """

    stack: SizeStack
    on: date
    past: dict[Fraction, tuple[Fraction, Fraction]]
    lots: int


def open_trays(station: Station, today: date) -> list[Tray]:
    """List trays that were not counted yet, the one that is due first first (2 queries)."""
    rows = GerminationTray.objects.filter(station=station, operation__reversed_by__isnull=True)
    trays = list(rows.select_related("lot", "operation").order_by("count_on", "operation__seq"))
    tests = SeedTest.objects.filter(lot__in={tray.lot_id for tray in trays}, operation__reversed_by__isnull=True)
    counted: dict[int, list[int]] = {}
    for lot, seq in tests.values_list("lot", "operation__seq"):
        counted.setdefault(lot, []).append(seq)
    return [
        Tray(tray.lot.number, day_of(tray.operation, station), tray.count_on, tray.count_on <= today)
        for tray in trays
        if not any(seq > tray.operation.seq for seq in counted.get(tray.lot_id, []))
    ]


def newest_tests(station: Station, most: int = NEWEST) -> list[Tested]:
    """List the germination tests that were booked last, the newest first (1 query)."""
    rows = standing_tests(station).order_by("-operation__seq")[:most]
    return [
        Tested(row.lot.number, row.number, day_of(row.operation, station), germination_test(row.normal).mean_pct)
        for row in rows
    ]


def weighed_of(lot: Lot) -> Weighed | None:
    """Give the newest weights of a hundred seeds of a lot, worked out (1 query)."""
    rows = SeedWeight.objects.filter(lot=lot, operation__reversed_by__isnull=True)
    row = rows.order_by("operation__at", "operation__seq").last()
    try:
        return seed_weight([_decimal(reading) for reading in row.readings_g]) if row and row.readings_g else None
    except Mistake:
        return None  # kept before the rule asked for 4, 8 or 16


def sized_of(station: Station, lot: Lot) -> Sized | None:
    """Give a lot's newest size curve with the band of its line's other lots (up to 2 queries)."""
    standing = SizeCurve.objects.filter(station=station, operation__reversed_by__isnull=True).select_related(
        "operation", "lot"
    )
    own = standing.filter(lot=lot).order_by("operation__at", "operation__seq").last()
    stack = _stack(own) if own else None
    if own is None or stack is None:
        return None
    line = lot.standing.line_id if hasattr(lot, "standing") else None
    others = standing.filter(lot__standing__line=line, lot__standing__line__isnull=False).exclude(lot=lot)
    newest: dict[int, SizeStack] = {}
    for row in others.order_by("-operation__at")[:MOST_PAST]:
        found = _stack(row)
        if found and found.shape == stack.shape:
            newest.setdefault(row.lot_id, found)
    return Sized(stack, day_of(own.operation, station), _band(stack, list(newest.values())), len(newest))


def _band(stack: SizeStack, past: list[SizeStack]) -> dict[Fraction, tuple[Fraction, Fraction]]:
    band = {}
    for mm, _passed in stack.points:
        read = [value for each in past if (value := passing_at(each, mm)) is not None]
        if read:
            band[mm] = (min(read), max(read))
    return band


def _stack(row: SizeCurve) -> SizeStack | None:
    try:
        return sieved_of(row, row.lot.number).stack
    except Mistake:
        return None


def _decimal(text: str) -> Decimal:
    return Decimal(text)
