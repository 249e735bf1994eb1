"""Split a mass exactly: the parts are whole milligrams and sum to it."""

from collections.abc import Sequence
from fractions import Fraction


def split_mg(mg: int, weights: Sequence[Fraction | int]) -> list[int]:
    """Split a mass by weights, so that the parts sum to it exactly.

    Each cut is rounded down from the start of the whole, so that no part is off by a milligram or more.

    Args:
        mg: the whole [mg].
        weights: of the parts, each above 0, in any unit.

    Raises:
        ValueError: no weights, or one that is not above 0.
    """
    if not weights or any(weight <= 0 for weight in weights):
        raise ValueError(f"{weights} are no weights: each has to be above 0.")
    total, so_far, before = sum(weights, Fraction(0)), Fraction(0), 0
    parts = []
    for weight in weights:
        so_far += weight
        cut = int(mg * so_far / total)
        parts.append(cut - before)
        before = cut
    return parts
