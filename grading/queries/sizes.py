"""Size curves in the books: the newest that stands of a lot, read into its stack."""

from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from grading.models import SeedWeight, SizeCurve
from grading.queries.finding import day_of
from grading.rules.screens import read_stack
from grading.rules.seed_weight import mean_weight
from grading.rules.sieving import Sieved
from grading.rules.size_curve import SizeStack
from inventory.models import Lot, Standing, Station
from inventory.queries.finding import find_lot
from inventory.rules.mistakes import Mistake


class NotSized(Mistake):
    """A lot that has no size curve."""

    code = "not_sized"

    def __init__(self, lot: str, field: str) -> None:
        says = f"{lot} has no size curve in the books. Enter one with the act size curve, or give screens and grams."
        super().__init__(says, field=field)


class ScreensUnread(Mistake):
    """A stored curve whose screens were written so that no opening can be read."""

    code = "screens_unread"

    def __init__(self, lot: str, why: str, field: str) -> None:
        super().__init__(f"The size curve of {lot} cannot be worked with: {why} Enter it again.", field=field)


@dataclass(frozen=True)
class LotSize:
    """A lot's newest size curve."""

    lot: str
    on: date
    sieved: Sieved


def newest_curve(lot: Lot) -> SizeCurve | None:
    """Give the newest size curve of a lot that was not taken back (1 query)."""
    rows = SizeCurve.objects.filter(lot=lot, operation__reversed_by__isnull=True).select_related("operation")
    return rows.order_by("operation__at", "operation__seq").last()


def size_of(station: Station, typed: object, *, field: str = "lot") -> LotSize:
    """Read the newest size curve of a lot (2 queries).

    Raises:
        Mistake: there is no such lot, or it has no curve that can be worked with.
    """
    lot, _notes = find_lot(station, str(typed), field=field)
    row = newest_curve(lot)
    if row is None:
        raise NotSized(lot.number, field)
    return LotSize(lot.number, day_of(row.operation, station), sieved_of(row, lot.number, field))


def sieved_of(row: SizeCurve, lot: str, field: str = "lot") -> Sieved:
    """Read a stored curve: its grams where they were weighed, else its shares.

    Raises:
        ScreensUnread: it was entered with screens that name no opening.
    """
    screens, wrong = read_stack([screen for screen, _pct in row.screens], shape=row.shape)
    if wrong:
        raise ScreensUnread(lot, wrong[0].says, field)
    amounts = tuple(Fraction(amount) for amount in (row.grams or [pct for _screen, pct in row.screens]))
    stack = SizeStack(tuple(screens), amounts)
    if not stack.total:
        raise ScreensUnread(lot, "nothing stands on its screens.", field)
    if row.grams:
        return Sieved(stack, "g", stack.total)
    return Sieved(stack, "%", Fraction(row.sieved_g) if row.sieved_g else None)


@dataclass(frozen=True)
class Weighed:
    """The newest mean weight of 100 seeds [g], and the lot that was weighed."""

    grams: Fraction
    lot: str


def newest_seed_weight(lot_id: int, *, or_of_its_line: bool = False) -> Weighed | None:
    """Give the newest weight of 100 seeds of a lot (1 query, 2 more for its line).

    Args:
        or_of_its_line: where the lot was never weighed, the newest of its line is given.

    Returns:
        None where nothing was weighed.
    """
    standing = SeedWeight.objects.filter(operation__reversed_by__isnull=True).select_related("lot")
    rows = standing.order_by("operation__at", "operation__seq")
    row = rows.filter(lot=lot_id).last()
    if row is None and or_of_its_line:
        line = Standing.objects.filter(lot=lot_id).values_list("line", flat=True).first()
        row = rows.filter(lot__standing__line=line).last() if line else None
    if row is None or not row.readings_g:
        return None
    return Weighed(mean_weight([Fraction(reading) for reading in row.readings_g]), row.lot.number)


class NotWeighed(Mistake):
    """A lot whose seeds were not weighed."""

    code = "not_weighed"

    def __init__(self, lot: str, field: str) -> None:
        super().__init__(f"{lot} has no seed weight in the books. Enter one with the act seed weight.", field=field)


@dataclass(frozen=True)
class LotReadings:
    """A lot's newest weights of a hundred seeds [g]."""

    lot: str
    on: date
    readings: tuple[str, ...]


def readings_of(station: Station, typed: object, *, field: str = "lot") -> LotReadings:
    """Give the newest weights of a hundred seeds of a lot (2 queries).

    Raises:
        Mistake: there is no such lot, or its seeds were not weighed.
    """
    lot, _notes = find_lot(station, str(typed), field=field)
    rows = SeedWeight.objects.filter(lot=lot, operation__reversed_by__isnull=True).select_related("operation")
    row = rows.order_by("operation__at", "operation__seq").last()
    if row is None:
        raise NotWeighed(lot.number, field)
    return LotReadings(lot.number, day_of(row.operation, station), tuple(row.readings_g))
