"""A lot's size curve as a box of its page, over what earlier lots of its line had."""

from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction

from django.db.models import Exists, Q

from grading.models import SizeCurve
from grading.queries.sizes import sieved_of
from grading.rules.size_curve import SizeStack, passing_at, size_passing, span
from hilum.plugins import Curve, Panel
from inventory.models import Lot, Standing, Station
from inventory.rules.mistakes import Mistake
from inventory.rules.rounding import half_up

HALF = Fraction(50)


def size_panels(station: Station, lot: Lot) -> list[Panel]:
    """Give the box of a lot that was sieved (1 query)."""
    curves = _curves(station, lot)
    row = next((one for one in reversed(curves) if one.lot_id == lot.pk), None)
    stack = _stack_of(row) if row else None
    if row is None or stack is None or not stack.points:
        return []
    line = row.lot.standing.line
    past = _past(row, curves)
    middle, wide = size_passing(stack, HALF), span(stack)
    rows = [(f"Passed {_mm(mm)} mm", f"{half_up(passed, 1)} %") for mm, passed in stack.points]
    says = f"Half of the seed by weight passes {_mm(middle)} mm." if middle else "Half of it lies outside the stack."
    if wide is not None:
        says += f" Span {half_up(wide, 2)}."
    curve = _curve(lot.number, stack, past, str(line)) if len(stack.points) > 1 else None
    return [Panel("Size", tuple(rows), says=says, curve=curve)]


def _curves(station: Station, lot: Lot) -> list[SizeCurve]:
    """The curves of a lot that was sieved and of its line's other lots, the oldest first; none of one that was not."""
    standing = SizeCurve.objects.filter(station=station, operation__reversed_by__isnull=True)
    own_line = Standing.objects.filter(lot=lot).values("line")
    rows = standing.filter(Q(lot=lot) | Q(lot__standing__line__in=own_line), Exists(standing.filter(lot=lot)))
    return list(rows.select_related("operation", "lot__standing__line").order_by("operation__at", "operation__seq"))


def _past(own: SizeCurve, rows: Iterable[SizeCurve]) -> list[SizeStack]:
    """The newest curve of each other lot of the line that was sieved no later, through openings of one shape."""
    fitting = [one for one in rows if one.shape == own.shape and one.operation.at <= own.operation.at]
    newest = {one.lot_id: one for one in fitting if one.lot_id != own.lot_id}
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
