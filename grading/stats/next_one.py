"""What the next of a few like values will likely be: wider than the likely range of their mean.

scipy is imported inside the function, because a web process must start without it.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import mean, stdev

FEWEST = 3  # of two values nobody can tell their spread; ours, no source
METHOD = "mean ± t × s × √(1 + 1/n), Student's t with n - 1 degrees of freedom"
SOURCE = "prediction interval of one further value: Hahn, Meeker, Statistical Intervals (1991), 4.7 (from memory)"


@dataclass(frozen=True, slots=True)
class NextOne:
    """The likely range of the next value, in the values' unit.

    Attributes:
        estimate: the mean.
        sd: their standard deviation, with n - 1.
        low, high: the likely range of the next one.
        n: values.
        level: how often such a range holds the next one [1].
        method: in words.
    """

    estimate: float
    sd: float
    low: float
    high: float
    n: int
    level: float
    method: str = METHOD


def next_one(values: Sequence[float], level: float = 0.95) -> NextOne | None:
    """Give the likely range of the next value.

    Args:
        values: finite, of one kind.
        level: 0 to 1, both excluded [1].

    Returns:
        None where there are fewer than three.

    Source: Hahn, Meeker, "Statistical Intervals" (1991), section 4.7 (from memory).
    """
    if len(values) < FEWEST:
        return None
    from scipy.special import stdtrit  # noqa: PLC0415 - a web process starts without scipy

    n, middle, sd = len(values), mean(values), stdev(values)
    half = float(stdtrit(n - 1, (1 + level) / 2)) * sd * math.sqrt(1 + 1 / n)
    return NextOne(middle, sd, middle - half, middle + half, n, level)
