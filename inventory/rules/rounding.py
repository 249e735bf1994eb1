"""Rounding, once and half up: the one place where an exact number becomes a shorter one."""

from decimal import Decimal
from fractions import Fraction


def half_up(exact: Fraction | Decimal | int, places: int = 0) -> Decimal:
    """Round an exact number half away from zero.

    Args:
        exact: any exact number [1].
        places: decimals to keep, 0 or more.

    Returns:
        The rounded number with exactly that many decimals.

    Source:
        7 CFR 201.47 (2019): "third decimal 5 or more rounds up" for two decimals; kept for all percentages here.
        Away from zero for negative numbers is our choice, so that a reversal mirrors its entry.
    """
    top, bottom = exact.as_integer_ratio()
    whole = half_up_ratio(abs(top) * 10**places, bottom)
    return Decimal(f"{'-' if top < 0 and whole else ''}{whole}e-{places}")


def half_up_ratio(top: int, bottom: int) -> int:
    """Round top / bottom to a whole number, half up; top is 0 or more, bottom over 0."""
    return (2 * top + bottom) // (2 * bottom)


def half_up_int(exact: Fraction | Decimal | int) -> int:
    """Round an exact number half away from zero to a whole one."""
    return int(half_up(exact))
