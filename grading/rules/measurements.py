"""What can be wrong with a hundred-seed weight, a size curve or a colour reading."""

from collections.abc import Sequence
from decimal import Decimal

from grading.rules.mistakes import OutOfRange
from inventory.rules.mistakes import Mistake, Question
from inventory.rules.reading import field_words
from inventory.rules.rounding import half_up

READINGS = 4
ALLOWED_SPREAD = Decimal("0.04")  # of the mean, highest less lowest; our own bench rule, no source
CURVE_OF = Decimal(100)
CURVE_MISSES = Decimal("0.5")  # per cent that rounding may leave; common practice, no source


class WeighAgain(Question):
    """The four readings differ too much."""

    code = "weigh_again"

    def __init__(self, readings: Sequence[Decimal], spread_pct: Decimal) -> None:
        given = ", ".join(map(str, readings))
        says = f"The readings {given} g spread over {spread_pct} % of their mean; 4 % is allowed."
        super().__init__(f"{says} Weigh 4 × 100 seeds again.", field="readings")


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


def seed_weight_mistakes(readings: Sequence[Decimal]) -> list[Mistake]:
    """Check the weights of four times 100 seeds [g]."""
    if len(readings) != READINGS:
        says = f"There are {len(readings)} readings. Weigh {READINGS} times 100 seeds and give each weight."
        return [OutOfRange(says, field="readings")]
    mean, spread = sum(readings, Decimal(0)) / READINGS, max(readings) - min(readings)
    if mean > 0 and spread > mean * ALLOWED_SPREAD:
        return [WeighAgain(readings, half_up(spread / mean * 100, 1))]
    return []


def closing_mistakes(shares: Sequence[Decimal]) -> list[Mistake]:
    """Check that what stayed on the screens makes a hundred [%]."""
    total = sum(shares, Decimal(0))
    return [CurveDoesNotClose(total)] if abs(total - CURVE_OF) > CURVE_MISSES else []
