"""How sure a mix of lots is: each lot's share is known from its own portion, and the mix errs less than any of them.

The share of a lot has the Beta distribution of `beta.py`; lots err independently. The mix is given the Beta
distribution with the mean and the variance of the mass-weighted sum. scipy is imported inside the functions.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from grading.stats.beta import METHOD

SOURCE = f"moments of a sum of {METHOD}, lots independent; ours, no source"


@dataclass(frozen=True, slots=True)
class Part:
    """One lot of a mix.

    Attributes:
        weight: its part of the mix, 0 to 1 [1].
        found: pieces found in its portion, whole or not [1].
        n: pieces looked at, over 0 [1].
    """

    weight: float
    found: float
    n: float


def chance_mix_within(parts: Sequence[Part], limit: float) -> float:
    """Give the chance that the mix's own share is at most the limit.

    Args:
        parts: at least one; their weights sum to 1.
        limit: a share, 0 to 1 [1].
    """
    from scipy.special import betainc  # noqa: PLC0415 - a web process starts without scipy

    return float(betainc(*_shape(parts), limit))


def chance_mix_at_least(parts: Sequence[Part], threshold: float) -> float:
    """Give the chance that the mix's own share is at least the threshold: the other tail."""
    from scipy.special import betaincc  # noqa: PLC0415 - a web process starts without scipy

    return float(betaincc(*_shape(parts), threshold))


def share_below(found: float, n: float, level: float) -> float:
    """Give the share that a lot lies below with a chance of `level` [1]: the one-sided upper bound.

    Args:
        found: pieces found, 0 to n [1].
        n: pieces looked at, over 0 [1].
        level: 0 to 1, both excluded [1].

    Source: Brown, Cai, DasGupta, "Interval estimation for a binomial proportion", Statist. Sci. 16 (2001)
        101-133 (Jeffreys prior); one end of it.
    """
    from scipy.special import betaincinv  # noqa: PLC0415 - a web process starts without scipy

    return float(betaincinv(found + 0.5, n - found + 0.5, level))


def _shape(parts: Sequence[Part]) -> tuple[float, float]:
    shapes = [(part.weight, part.found + 0.5, part.n - part.found + 0.5) for part in parts]
    mean = sum(weight * a / (a + b) for weight, a, b in shapes)
    variance = sum(weight**2 * a * b / ((a + b) ** 2 * (a + b + 1)) for weight, a, b in shapes)
    size = mean * (1 - mean) / variance - 1
    return mean * size, (1 - mean) * size
