"""Whole per cents that add up to a hundred."""

from collections.abc import Mapping
from fractions import Fraction
from typing import TypeVar

T = TypeVar("T")


def whole_percents(shares: Mapping[T, Fraction]) -> dict[T, int]:
    """Round shares to whole per cents by the largest remainder, so that they add up to 100.

    Of two equal remainders the one named first is rounded up.

    Args:
        shares: that add up to 1 [1]; of others, each is first divided by their sum.

    Returns:
        Whole per cents in the same order; {} where there are no shares.

    Source:
        The method of largest remainders (Hamilton's); Balinski and Young, Fair Representation, 1982, chapter 2.
    """
    total = sum(shares.values(), Fraction(0))
    if not total:
        return {}
    exact = {name: share * 100 / total for name, share in shares.items()}
    whole = {name: int(percent) for name, percent in exact.items()}
    left = 100 - sum(whole.values())
    for name in sorted(exact, key=lambda name: whole[name] - exact[name])[:left]:
        whole[name] += 1
    return whole
