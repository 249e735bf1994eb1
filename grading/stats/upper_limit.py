"""How many could there be: the one-sided upper limit of a share by an exact count."""

import math
from dataclasses import dataclass

from grading.stats import intervals

SOURCE = "Clopper and Pearson, Biometrika 26 (1934) 404-413, one-sided; title and pages from memory"
METHOD = "one-sided exact upper limit"


@dataclass(frozen=True, slots=True)
class UpperLimit:
    """The most that the share can be, at a level.

    Attributes:
        estimate: share found [1].
        high: upper limit [1]; the lower end of the interval is 0.
        n: looked at.
        level: how often such a limit lies above the true share, at least [1].
    """

    estimate: float
    high: float
    n: int
    level: float
    method: str = METHOD


def upper_limit(found: int, n: int, level: float = 0.95) -> UpperLimit:
    """Give the one-sided exact upper limit of a share.

    Args:
        found: 0 to n.
        n: looked at, 1 or more.
        level: 0 to 1, both excluded [1].

    Returns:
        The limit: 1 where all were found, 1 - (1 - level)^(1/n) where none was.

    Raises:
        ValueError: a number outside its range.

    Source: Clopper and Pearson, Biometrika 26 (1934) 404-413.
    """
    high = intervals.upper_limit(found, n, level)
    return UpperLimit(found / n, high, n, level)


def to_show(limit_share: float, level: float = 0.95) -> int:
    """Give how many must be looked at, with none found, to put the upper limit at a share or below it.

    Args:
        limit_share: over 0, below 1 [1].
        level: 0 to 1, both excluded [1].

    Source: (1 - p)^n ≤ 1 - level.
    """
    if not (0 < limit_share < 1 and 0 < level < 1):
        raise ValueError(f"A share and a level lie between 0 and 1, not at {limit_share} and {level}.")
    return math.ceil(math.log1p(-level) / math.log1p(-limit_share) - 1e-12)
