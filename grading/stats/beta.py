"""How sure a share is: the Beta distribution of a lot's true share after one portion was picked.

The prior is Jeffreys' Beta(1/2, 1/2), so that a portion of n pieces with k found leaves Beta(k + 1/2, n - k + 1/2).
By weight, n is the portion divided by the weight of one seed and k = n x share; neither is rounded, as if every piece
weighed like a seed. It speaks of picking chance alone: of a sample that was fairly drawn.

scipy is imported inside the functions, because a web process must start without it.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

KEPT = 4_096  # chances of a list of lots
EDGE = 0.01  # beyond 1 and 99 in 100 a figure would claim more than one portion can know
METHOD = "equal-tailed Beta(k+1/2, n-k+1/2)"


@dataclass(frozen=True, slots=True)
class ShareInterval:
    """A share with its likely range.

    Attributes:
        estimate: share found [1].
        low, high: limits of the likely range [1].
        n: pieces in the portion, or as many as its weight stands for [1].
        level: how often such a range holds the true share [1].
        method: name of the distribution used.
    """

    estimate: float
    low: float
    high: float
    n: float
    level: float
    method: str = METHOD


def share_interval(found: float, n: float, level: float = 0.95) -> ShareInterval:
    """Give the equal-tailed likely range of a share.

    Args:
        found: pieces found, whole or not, 0 to n [1].
        n: pieces looked at, over 0 [1].
        level: 0 to 1, both excluded [1].

    Returns:
        The range; its lower end is 0 where nothing was found, its upper end 1 where everything was.

    Raises:
        ValueError: the counts or the level are outside their range.

    Source: Brown, Cai, DasGupta, "Interval estimation for a binomial proportion", Statist. Sci. 16 (2001)
        101-133 (equal-tailed Jeffreys interval).
    """
    a, b = _shape(found, n)
    if not 0 < level < 1:
        raise ValueError(f"A level lies between 0 and 1, not at {level}.")
    from scipy.special import betaincinv  # noqa: PLC0415 - a web process starts without scipy

    tail = (1 - level) / 2
    low = 0.0 if found == 0 else float(betaincinv(a, b, tail))
    high = 1.0 if found == n else float(betaincinv(a, b, 1 - tail))
    return ShareInterval(found / n, low, high, n, level)


def chance_within(found: float, n: float, limit: float) -> float:
    """Give the chance that the true share is at most the limit.

    Args:
        found: pieces found, 0 to n [1].
        n: pieces looked at, over 0 [1].
        limit: a share, 0 to 1 [1].

    Returns:
        A probability [1].

    Raises:
        ValueError: the counts or the limit are outside their range.
    """
    a, b = _shape(found, n)
    _check_share(limit)
    from scipy.special import betainc  # noqa: PLC0415 - a web process starts without scipy

    return float(betainc(a, b, limit))


@lru_cache(KEPT)  # tests of a store read alike: of 400 seeds 320 to 399 came up
def chance_at_least(found: float, n: float, threshold: float) -> float:
    """Give the chance that the true share is at least the threshold: the other tail, computed as such.

    Args:
        found: pieces found, 0 to n [1].
        n: pieces looked at, over 0 [1].
        threshold: a share, 0 to 1 [1].

    Returns:
        A probability [1].

    Raises:
        ValueError: the counts or the threshold are outside their range.
    """
    a, b = _shape(found, n)
    _check_share(threshold)
    from scipy.special import betaincc  # noqa: PLC0415 - a web process starts without scipy

    return float(betaincc(a, b, threshold))


def chance_text(chance: float) -> str:
    """Write a chance in whole per cent, half up, and no surer than one portion can be: "<1 %", "71 %", ">99 %".

    Raises:
        ValueError: the chance is outside 0 to 1.
    """
    _check_share(chance)
    if chance < EDGE:
        return "<1 %"
    if chance > 1 - EDGE:
        return ">99 %"
    return f"{math.floor(chance * 100 + 0.5)} %"


def chance_texts(chances: Sequence[float]) -> list[str]:
    """Write chances that exclude each other, as `chance_text` does, but so that they never make more than 100 %.

    What rounding each by itself would print over 100 is taken off what was rounded up the most, of like ones the last.

    Args:
        chances: of things of which only one can be, 0 to 1 each, at most 1 together [1].
    """
    whole = [math.floor(chance * 100 + 0.5) for chance in chances]
    shown = [place for place, chance in enumerate(chances) if EDGE <= chance <= 1 - EDGE]
    over = sum(whole[place] for place in shown) - 100
    least_sure = sorted(shown, key=lambda place: (round((chances[place] * 100 + 0.5) % 1, 9), -place))
    for place in least_sure[: max(0, over)]:
        whole[place] -= 1
    return [f"{whole[place]} %" if place in shown else chance_text(chance) for place, chance in enumerate(chances)]


def _shape(found: float, n: float) -> tuple[float, float]:
    if not (math.isfinite(n) and n > 0 and 0 <= found <= n):
        raise ValueError(f"Found lies between 0 and n, and n is over 0; they were {found} and {n}.")
    return found + 0.5, n - found + 0.5


def _check_share(share: float) -> None:
    if not 0 <= share <= 1:
        raise ValueError(f"A share lies between 0 and 1, not at {share}.")
