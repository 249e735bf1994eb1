"""What can be wrong with a hundred-seed weight, a size curve or a colour reading."""

from collections.abc import Sequence
from decimal import Decimal

from grading.rules.mistakes import OutOfRange
from inventory.rules.mistakes import Mistake, Question
from inventory.rules.reading import field_words

CURVE_OF = Decimal(100)
CURVE_MISSES = Decimal("0.5")  # per cent that rounding may leave; common practice, no source


class CurveDoesNotClose(Question):
    """The screens and the pan do not make a hundred."""

    code = "curve_does_not_close"

    def __init__(self, total: Decimal) -> None:
        super().__init__(f"Screens and pan make {total} %. Check each screen: they should make 100.", field="screens")


def within(value: Decimal, name: str, least: Decimal, most: Decimal) -> list[Mistake]:
    """Check that a reading lies between two numbers."""
    if least <= value <= most:
        return []
    says = f"{field_words(name)} is {value}; it lies from {least} to {most}. Check the decimal point, or measure again."
    return [OutOfRange(says, field=name)]


def closing_mistakes(shares: Sequence[Decimal]) -> list[Mistake]:
    """Check that what stayed on the screens makes a hundred [%]."""
    total = sum(shares, Decimal(0))
    return [CurveDoesNotClose(total)] if abs(total - CURVE_OF) > CURVE_MISSES else []
