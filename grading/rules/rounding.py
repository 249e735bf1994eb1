"""Reading a per cent as its limit is written: exact until here, once, half up."""

from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from grading.rules.rule_set import NIL
from inventory.rules.rounding import half_up, half_up_ratio

UNROUNDED_PLACES = 6


def decimals_of(written: str) -> int:
    """Count the decimals in which a limit is written: "1" -> 0, "1.0" -> 1, "1.00" -> 2."""
    return len(written.partition(".")[2])


def read_as(value: Fraction | Decimal | int, written: str) -> Decimal:
    """Round a value as its limit is written, because the written decimals are the rule's precision.

    Args:
        value: exact, 0 or more [same unit as the limit].
        written: the limit as printed, such as "0.10".

    Returns:
        The value with so many decimals; midway between two steps it goes up.

    Source: Canada Grain Regulations, C.R.C., c. 889, Schedule 3, s. 1 (SOR/2019-211): whole numbers, tenths and
        hundredths; the same rule for tenths in 7 CFR 868.308(a).
    """
    return half_up(value, decimals_of(written))


def is_over(top: int, bottom: int, written: str, *, rounds: bool = True) -> bool:
    """Say whether a share is over a limit, by the rule of its rule set.

    Args:
        top, bottom: the exact share; 0 or more, and over 0 [1].
        written: the limit as printed [%]; "nil" is over for anything at all.
        rounds: the share is first rounded as the limit is written, in whole steps of its last decimal; else it is held
            against the limit as it is, because the source has no rule for rounding.
    """
    if written == NIL:
        return top > 0
    steps_in_whole, most = _steps(written)
    return (half_up_ratio(top * steps_in_whole, bottom) > most) if rounds else (top * steps_in_whole > most * bottom)


def is_under(top: int, bottom: int, written: str, *, rounds: bool = True) -> bool:
    """Say whether a share is under the least that will do, by the rule of its rule set.

    Args:
        top, bottom: the exact share; 0 or more, and over 0 [1].
        written: the least as printed [%].
        rounds: as `is_over` takes it.
    """
    steps_in_whole, least = _steps(written)
    return (half_up_ratio(top * steps_in_whole, bottom) < least) if rounds else (top * steps_in_whole < least * bottom)


def shown_against(share: Fraction, written: str, *, rounds: bool = True) -> Decimal:
    """Give the per cent that is shown beside a limit: rounded as it is written, or unrounded to six places.

    Args:
        share: exact [1].
        written: the limit as printed [%]; beside "nil" nothing is rounded.
        rounds: as `is_over` takes it.
    """
    if rounds and written != NIL:
        return read_as(share * 100, written)
    places = next(each for each in range(0 if written == NIL else decimals_of(written), 7) if _is_whole(share, each))
    return half_up(share * 100, places)


def _is_whole(share: Fraction, places: int) -> bool:
    return places == UNROUNDED_PLACES or (share * 100 * 10**places).denominator == 1


def limit_number(written: str) -> Decimal:
    """Give a limit as a number: "0.10" -> 0.10, "nil" -> 0 [%]."""
    return Decimal(0) if written == NIL else Decimal(written)


@lru_cache(maxsize=1024)
def _steps(written: str) -> tuple[int, int]:
    """Give the steps in a share of 1, and in the limit: "0.10" -> 10000 and 10."""
    steps_in_one_pct = 10 ** decimals_of(written)
    return 100 * steps_in_one_pct, int(Decimal(written) * steps_in_one_pct)
