"""Rounding of official percentages: exact until here, once, half up."""

from decimal import Decimal
from fractions import Fraction

MOST_DECIMALS = 12


def half_up(value: Fraction | Decimal | int, decimals: int) -> Decimal:
    """Round once to the written precision; a value midway between two steps goes up.

    Args:
        value: exact, not negative [any unit].
        decimals: places kept, 0 to 12 [1].

    Returns:
        A decimal with exactly so many places: half_up(Fraction(129, 2), 0) -> 65, half_up(Decimal("0.35"), 1) -> 0.4.

    Raises:
        ValueError: the value is negative, or the decimals are outside their range.

    Source: Canada Grain Regulations, C.R.C., c. 889, Schedule 3, s. 1 (SOR/2019-211); the same rule for tenths in
        7 CFR 868.308(a).
    """
    if value < 0 or not 0 <= decimals <= MOST_DECIMALS:
        raise ValueError(f"Rounding takes values from 0 up and 0 to {MOST_DECIMALS} decimals, not {value}, {decimals}.")
    top, bottom = value.as_integer_ratio()
    steps = (2 * top * 10**decimals + bottom) // (2 * bottom)
    return Decimal(steps).scaleb(-decimals)


def decimals_of(written: str) -> int:
    """Count the decimals in which a limit is written: "1" -> 0, "1.0" -> 1, "1.00" -> 2."""
    return len(written.partition(".")[2])


def read_as(value: Fraction | Decimal | int, written: str) -> Decimal:
    """Round a value as its limit is written, because the written decimals are the rule's precision.

    Args:
        value: exact [same unit as the limit].
        written: the limit as printed, such as "0.10".
    """
    return half_up(value, decimals_of(written))
