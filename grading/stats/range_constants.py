"""What the range of n normal readings is on average, and the factors of range charts that follow from it.

Computed from the distribution of the range instead of typed in from a table; numpy is imported inside the functions.
"""

from functools import cache
from math import sqrt

SOURCE = (
    "Tippett, On the extreme individuals and the range of samples taken from a normal population, 1925 (from memory)"
)
MOST = 100  # readings; a range tells little of more
_EDGE, _STEPS = 9.0, 600  # beyond 9 standard deviations nothing is left that a table of four decimals would show


def d2(n: int) -> float:
    """Give the mean range of n normal readings [standard deviations].

    Raises:
        ValueError: n is not from 2 to 100.

    Source: Tippett 1925, Biometrika 17:364-387 (from memory): the integral of 1 - F^n - (1 - F)^n.
    """
    return _moments(n)[0]


def d3(n: int) -> float:
    """Give the standard deviation of the range of n normal readings [standard deviations].

    Raises:
        ValueError: n is not from 2 to 100.
    """
    return _moments(n)[1]


def d2_of_one_range(n: int) -> float:
    """Give what divides one single range so that its square is right on average [standard deviations].

    It is the square root of d2^2 + d3^2, written d2* in tables, for one subgroup.

    Source: Duncan, Quality Control and Industrial Statistics, table D3 (from memory).
    """
    return sqrt(d2(n) ** 2 + d3(n) ** 2)


def a2(n: int) -> float:
    """Give the factor of the mean range for limits of averages: 3 / (d2 sqrt n)."""
    return 3 / (d2(n) * sqrt(n))


def lower_range(n: int) -> float:
    """Give the factor of the mean range for its lower limit: 1 - 3 d3 / d2, at least 0 (D3)."""
    return max(0.0, 1 - 3 * d3(n) / d2(n))


def upper_range(n: int) -> float:
    """Give the factor of the mean range for its upper limit: 1 + 3 d3 / d2 (D4)."""
    return 1 + 3 * d3(n) / d2(n)


@cache
def _moments(n: int) -> tuple[float, float]:
    if not 2 <= n <= MOST:
        raise ValueError(f"A range is of 2 to {MOST} readings, not of {n}.")
    (mean, square), (_coarse, coarse) = _on_grid(n, _STEPS), _on_grid(n, _STEPS // 2)
    square = (4 * square - coarse) / 3  # Richardson: the slope breaks along x = y, which a grid alone rounds off
    return mean, sqrt(square - mean**2)


def _on_grid(n: int, steps: int) -> tuple[float, float]:
    """Give the mean of the range and of its square, by sums over a grid."""
    import numpy as np  # noqa: PLC0415 - a web process starts without numpy
    from scipy.special import ndtr  # noqa: PLC0415 - a web process starts without scipy

    x = np.linspace(-_EDGE, _EDGE, steps + 1)
    width = 2 * _EDGE / steps
    below, above = ndtr(x), ndtr(-x)
    mean = float((1 - below**n - above**n).sum() * width)
    apart = np.clip(below[None, :] - below[:, None], 0, None)
    inside = 1 - below[None, :] ** n - above[:, None] ** n + apart**n
    half = np.triu(inside).sum() - np.trace(inside) / 2  # x below y, the diagonal counted half
    return mean, 2 * float(half * width**2)
