"""A lot's size curve as a box of its page, over what earlier lots of its line had."""

from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction

from grading.models import SizeCurve
from grading.queries.sizes import sieved_of
from grading.rules.size_curve import SizeStack, passing_at, size_passing, span
from hilum.plugins import Curve, Panel
from inventory.models import Lot, Station
from inventory.rules.mistakes import Mistake
from inventory.rules.rounding import half_up

HALF = Fraction(50)


def size_panels(station: Station, lot: Lot) -> list[Panel]:
    """Give the box of a lot that was sieved (2 queries)."""
    curves = SizeCurve.objects.filter(lot=lot, operation__reversed_by__isnull=True)
    row = curves.select_related("operation", "lot__standing__line").order_by("operation__at", "operation__seq").last()
    stack = _stack_of(row) if row else None
    if row is None or stack is None or not stack.points:
        return []
    line = row.lot.standing.line
    past = _past(station, row, line.pk if line else None)
    middle, wide = size_passing(stack, HALF), span(stack)
    rows = [(f"Passed {_mm(mm)} mm", f"{half_up(passed, 1)} %") for mm, passed in stack.points]
    says = f"Half of the seed by weight passes {_mm(middle)} mm." if middle else "Half of it lies outside the stack."
    if wide is not None:
        says += f" Span {half_up(wide, 2)}."
    curve = _curve(lot.number, stack, past, str(line)) if len(stack.points) > 1 else None
    return [Panel("Size", tuple(rows), says=says, curve=curve)]


def _past(station: Station, row: SizeCurve, line: int | None) -> list[SizeStack]:
    """The newest curve of each other lot of the line that was sieved no later, through openings of one shape."""
    if line is None:
        return []
    rows = SizeCurve.objects.filter(
        station=station, lot__standing__line=line, operation__reversed_by__isnull=True,
        operation__at__lte=row.operation.at, shape=row.shape,
    ).exclude(lot=row.lot_id)  # fmt: skip
    newest = {one.lot_id: one for one in rows.select_related("lot").order_by("operation__at", "operation__seq")}
    return [stack for one in newest.values() if (stack := _stack_of(one))]


def _stack_of(row: SizeCurve) -> SizeStack | None:
    try:
        return sieved_of(row, str(row.lot_id)).stack
    except Mistake:
        return None


def _curve(lot: str, stack: SizeStack, past: Iterable[SizeStack], line: str) -> Curve:
    past = list(past)
    band = []
    for mm, _passed in stack.points:
        found = [at for one in past if (at := passing_at(one, mm)) is not None]
        if found:
            band.append((_decimal(mm), _decimal(min(found)), _decimal(max(found))))
    words = f"{len(past)} earlier {'lot' if len(past) == 1 else 'lots'} of {line}" if band else ""
    points = tuple((_decimal(mm), _decimal(passed)) for mm, passed in stack.points)
    return Curve(lot, "screen [mm]", "passed [%]", points, tuple(band), words)


def _mm(size: Fraction) -> Decimal:
    return half_up(size, 2)


def _decimal(value: Fraction) -> Decimal:
    return half_up(value, 4)
