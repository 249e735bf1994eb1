"""Likely ranges of a share that was counted, by three methods, and one-sided exact limits.

Wald's p ± z √(pq/n) is not here and must not come in: at 0 of 20 it says "0 to 0", where up to 16.8 % may be there.
Wilson's range is near its level on average over all shares, the Jeffreys range too; the Clopper-Pearson range never
holds the true share less often than it says, and is wider for it.

scipy is imported inside the functions, because a web process must start without it.
"""

import math
from collections.abc import Callable, Mapping

from grading.stats.beta import ShareInterval, share_interval
from inventory.rules.proportion import wilson

WILSON, CLOPPER_PEARSON, JEFFREYS = "wilson", "clopper-pearson", "jeffreys"


def wilson_interval(found: float, n: float, level: float = 0.95) -> ShareInterval:
    """Give Wilson's likely range of a share.

    Args:
        found: pieces found, 0 to n [1].
        n: pieces looked at, over 0 [1].
        level: 0 to 1, both excluded [1].

    Raises:
        ValueError: the counts or the level are outside their range.

    Source: Wilson (1927) J. Am. Stat. Assoc. 22:209-212.
    """
    range_ = wilson(found, n, confidence=level)
    return ShareInterval(range_.estimate, range_.low, range_.high, n, level, "Wilson")


def clopper_pearson(found: float, n: float, level: float = 0.95) -> ShareInterval:
    """Give the exact likely range of a share, which holds the true one at least as often as it says.

    Args:
        found: pieces found, 0 to n [1].
        n: pieces looked at, over 0 [1].
        level: 0 to 1, both excluded [1].

    Raises:
        ValueError: the counts or the level are outside their range.

    Source: Clopper & Pearson (1934) Biometrika 26:404-413.
    """
    _check(found, n, level)
    sided = (1 + level) / 2
    return ShareInterval(
        found / n, lower_limit(found, n, sided), upper_limit(found, n, sided), n, level, "Clopper-Pearson"
    )


def upper_limit(found: float, n: float, level: float = 0.95) -> float:
    """Give the exact one-sided upper limit of a share: a larger one shows so few less often than 1 - level.

    Args:
        found: pieces found, 0 to n [1].
        n: pieces looked at, over 0 [1].
        level: 0 to 1, both excluded [1].

    Returns:
        A share [1]; 1 where all had it.

    Raises:
        ValueError: the counts or the level are outside their range.

    Source: Clopper & Pearson (1934) Biometrika 26:404-413; with none found 1 - (1 - level)^(1/n).
    """
    _check(found, n, level)
    if found == n:
        return 1.0
    if found == 0:
        return -math.expm1(math.log1p(-level) / n)
    from scipy.special import betaincinv  # noqa: PLC0415 - a web process starts without scipy

    return float(betaincinv(found + 1, n - found, level))


def lower_limit(found: float, n: float, level: float = 0.95) -> float:
    """Give the exact one-sided lower limit of a share: that of what was not found, turned round.

    Args:
        found: pieces found, 0 to n [1].
        n: pieces looked at, over 0 [1].
        level: 0 to 1, both excluded [1].

    Raises:
        ValueError: the counts or the level are outside their range.

    Source: Clopper & Pearson (1934) Biometrika 26:404-413.
    """
    _check(found, n, level)
    if found == 0:
        return 0.0
    if found == n:
        return float((1 - level) ** (1 / n))
    from scipy.special import betaincinv  # noqa: PLC0415 - a web process starts without scipy

    return float(betaincinv(found, n - found + 1, 1 - level))


def _check(found: float, n: float, level: float) -> None:
    if not (n > 0 and 0 <= found <= n and n != float("inf")):
        raise ValueError(f"Found lies between 0 and n, and n is over 0; they were {found} and {n}.")
    if not 0 < level < 1:
        raise ValueError(f"A level lies between 0 and 1, not at {level}.")


METHODS: Mapping[str, Callable[[float, float, float], ShareInterval]] = {
    WILSON: wilson_interval,
    CLOPPER_PEARSON: clopper_pearson,
    JEFFREYS: share_interval,
}
