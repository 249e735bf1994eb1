"""The likely range of a mean of a few readings.

scipy is imported inside the function, because a web process must start without it.
"""

import math
from dataclasses import dataclass

METHOD = "mean ± t × s / √n, Student's t with n - 1 degrees of freedom"
SOURCE = "Student (1908), Biometrika 6:1-25 (from memory)"


@dataclass(frozen=True, slots=True)
class MeanRange:
    """A mean with its likely range, in the readings' unit.

    Attributes:
        estimate: the mean.
        low, high: the likely range.
        n: readings.
        level: how often such a range holds the true mean [1].
        t: the quantile that was used [1].
        method: in words.
    """

    estimate: float
    low: float
    high: float
    n: int
    level: float
    t: float
    method: str = METHOD


def mean_range(mean: float, sd: float, n: int, level: float = 0.95) -> MeanRange:
    """Give the likely range of a mean.

    Args:
        mean, sd: of the readings, sd with n - 1 and 0 or more.
        n: readings, 2 or more [1].
        level: 0 to 1, both excluded [1].

    Raises:
        ValueError: fewer than two readings, or a number outside its range.

    Source: Student (1908), Biometrika 6:1-25 (from memory).
    """
    if n < 2 or sd < 0 or not 0 < level < 1 or not math.isfinite(mean + sd):
        raise ValueError(f"A mean of {n} readings with a deviation of {sd} has no range at a level of {level}.")
    from scipy.special import stdtrit  # noqa: PLC0415 - a web process starts without scipy

    t = float(stdtrit(n - 1, (1 + level) / 2))
    half = t * sd / math.sqrt(n)
    return MeanRange(mean, mean - half, mean + half, n, level, t)
