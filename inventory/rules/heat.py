"""Heat that a crop had, from each day's lowest and highest temperature: growing degree days and crop heat units.

Two formulas, never mixed: a sum says by which it was made. All exact, in degrees Celsius.
"""

from collections.abc import Callable, Iterable, Mapping
from decimal import Decimal

from inventory.rules.mistakes import Mistake

COLDEST, HOTTEST = Decimal(-60), Decimal(60)
USUAL_BASE_F = Decimal(50)  # the same in °F
USUAL_BASE = Decimal(10)  # common practice for beans, no source
UNITS = ("C", "F")
ZERO = Decimal(0)
GDD_SOURCE = "growing degree days: max(0, (high + low) / 2 - base); base 10 °C is common practice, no source"
CHU_SOURCE = (
    "crop heat units: Field Crop News (Ontario), Using crop heat units, 2025, and open.canada.ca data set 07875f11; "
    "each half is 0 where it would be negative"
)


class LowOverHigh(Mistake):
    """A day's lowest temperature above its highest."""

    code = "low_over_high"

    def __init__(self, low: str, high: str, day: str = "", *, field: str = "low") -> None:
        on = f" on {day}" if day else ""
        super().__init__(f"The lowest is {low} and the highest {high}{on}. Did they change places?", field=field)


def growing_degrees(low: Decimal, high: Decimal, base: Decimal = USUAL_BASE) -> Decimal:
    """Give one day's growing degree days, in the unit of its temperatures [°C d or °F d].

    Args:
        low, high: the day's temperatures [°C or °F].
        base: below which the crop stands still, in the same unit.

    Raises:
        ValueError: low over high.

    Source: common practice: max(0, (high + low) / 2 - base); some cut low or high at the base first, this one does not.
    """
    _check(low, high)
    return max(ZERO, (high + low) / 2 - base)


def crop_heat_units(low: Decimal, high: Decimal) -> Decimal:
    """Give one day's crop heat units [1].

    Args:
        low, high: the day's temperatures [°C].

    Raises:
        ValueError: low over high.

    Source: Field Crop News (Ontario), Using crop heat units, 2025; open.canada.ca data set 07875f11:
        (Ymax + Ymin) / 2 with Ymax = 3.33 (high - 10) - 0.084 (high - 10)^2 and Ymin = 1.8 (low - 4.4), each set to 0
        where it is negative. Some sources leave that rule out.
    """
    _check(low, high)
    by_day, by_night = _halves(low, high)
    return (max(ZERO, by_day) + max(ZERO, by_night)) / 2


def _halves(low: Decimal, high: Decimal) -> tuple[Decimal, Decimal]:
    """Give what the day and the night bring, before either is set to 0 where it is negative."""
    over = high - 10
    by_day = Decimal("3.33") * over - Decimal("0.084") * over * over
    return by_day, Decimal("1.8") * (low - Decimal("4.4"))


DEGREE_DAYS = "growing degree days"
FORMULAS: Mapping[str, tuple[Callable[[Decimal, Decimal, Decimal], Decimal], str]] = {
    DEGREE_DAYS: (growing_degrees, GDD_SOURCE),
    "crop heat units": (lambda low, high, _base: crop_heat_units(low, high), CHU_SOURCE),
}


def written_out(formula: str, low: Decimal, high: Decimal, base: Decimal) -> str:
    """Write one day's heat with its numbers, to be done again by hand."""
    if formula == DEGREE_DAYS:
        mean = (high + low) / 2
        return f"({high:f} + {low:f}) / 2 - {base:f} = {mean - base:f}{_not_below(mean - base)}"
    by_day, by_night = (half.normalize() for half in _halves(low, high))
    total = ((max(ZERO, by_day) + max(ZERO, by_night)) / 2).normalize()
    return (
        f"day 3.33 × ({high:f} - 10) - 0.084 × ({high:f} - 10)² = {by_day:f}{_not_below(by_day)}; "
        f"night 1.8 × ({low:f} - 4.4) = {by_night:f}{_not_below(by_night)}; half of both = {total:f}"
    )


def _not_below(value: Decimal) -> str:
    return ", counts as 0" if value < 0 else ""


def heat_sum(formula: str, days: Iterable[tuple[Decimal, Decimal]], base: Decimal = USUAL_BASE) -> Decimal:
    """Add up the heat of days.

    Args:
        formula: a name of `FORMULAS`.
        days: lowest and highest of each [°C].
    """
    of_day = FORMULAS[formula][0]
    return sum((of_day(low, high, base) for low, high in days), ZERO)


def in_celsius(value: Decimal, unit: str) -> Decimal:
    """Turn a temperature into degrees Celsius; of Fahrenheit to 10 decimals, without noughts at the end [°C]."""
    return value if unit == "C" else Decimal(f"{((value - 32) * 5 / 9).quantize(Decimal('1e-10')).normalize():f}")


def _check(low: Decimal, high: Decimal) -> None:
    if low > high:
        raise ValueError(f"The lowest temperature {low} lies over the highest {high}.")
