"""How many to look at so that what is rarely there is found, and what may be there when nothing was found."""

import math
from fractions import Fraction

from inventory.rules.backcross import RAREST, plants_to_grow

LARGEST_LOT = 1_000_000  # pieces; a larger lot is as good as endless


def detection_size(share: Fraction, sure: Fraction) -> int:
    """Count the pieces to look at so that at least one of a kind is found, with a wanted chance.

    Args:
        share: of the kind in an endless lot, 1/10,000 to 1 [1].
        sure: wanted chance, 0 to 0.999999 [1].

    Returns:
        The smallest n with (1 - p)^n at most 1 - C, decided exactly; about ln(1 - C) / ln(1 - p).

    Raises:
        ValueError: a number outside its range.
    """
    return plants_to_grow(share, sure)


def detection_size_in_lot(lot: int, of_a_kind: int, sure: Fraction) -> int:
    """Count the pieces to look at in a lot of a few pieces, without putting any back.

    Args:
        lot: pieces in the lot, 1 to 1,000,000.
        of_a_kind: how many of them are of the kind, 1 to the lot.
        sure: wanted chance, 0 to 1, both excluded [1].

    Returns:
        The smallest n whose chance to hold none, C(N-D, n) / C(N, n), is at most 1 - C, decided exactly.

    Raises:
        ValueError: a number outside its range.
    """
    if not 1 <= of_a_kind <= lot <= LARGEST_LOT or not 0 < sure < 1:
        raise ValueError(f"{of_a_kind} of {lot} with a chance of {sure} cannot be planned with.")
    allowed = (1 - sure) * math.perm(lot, of_a_kind)
    low, high = 0, lot - of_a_kind + 1
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if math.perm(lot - middle, of_a_kind) <= allowed else (middle, high)
    return high


def rule_of_three(n: int) -> float:
    """Give the quick upper limit where none of n was found, at 95 in 100: 3/n, never over 1 [1].

    Source: Hanley & Lippman-Hand (1983) J. Am. Med. Assoc. 249:1743-1745; a little over the exact 1 - 0.05^(1/n).
    """
    if n < 1:
        raise ValueError(f"Of {n} pieces nothing can be said.")
    return min(1.0, 3 / n)


__all__ = ["LARGEST_LOT", "RAREST", "detection_size", "detection_size_in_lot", "rule_of_three"]
