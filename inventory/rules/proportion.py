"""A share that was counted, with the range in which the true one likely lies."""

import math
from dataclasses import dataclass
from statistics import NormalDist

LIKELY = 0.95


@dataclass(frozen=True, slots=True)
class Proportion:
    """A counted share: estimate and likely range, each 0 to 1 [1]."""

    estimate: float
    low: float
    high: float
    n: float
    method: str


def wilson(found: float, n: float, *, confidence: float = LIKELY) -> Proportion:
    """Give the likely range of a share from a count, by Wilson's closed form.

    Args:
        found: how many had it, 0 to n; not whole where a weight stands for so many pieces.
        n: how many were looked at, over 0.
        confidence: between 0 and 1 [1].

    Raises:
        ValueError: a number outside its range.

    Notes:
        [2np + z² ∓ z √(z² + 4np(1-p))] / [2(n + z²)]. At 0 and at n the outer limit is exactly 0 or 1.

    Source:
        Wilson (1927) J. Am. Stat. Assoc. 22:209-212; recommended for small n by Brown, Cai & DasGupta (2001)
        Statist. Sci. 16:101-133.
    """
    if not 0 <= found <= n or not n > 0 or not 0 < confidence < 1:
        raise ValueError(f"{found} of {n} at a confidence of {confidence} is not a counted share.")
    low, high = score_limits(found, n, NormalDist().inv_cdf((1 + confidence) / 2))
    return Proportion(found / n, low, high, n, "Wilson")


def score_limits(found: float, n: float, z: float) -> tuple[float, float]:
    """Give Wilson's limits for any number z of standard errors, where it is not the normal law's own.

    Args:
        found, n: as in `wilson`.
        z: over 0 [1].
    """
    p = found / n
    middle, spread, below = 2 * found + z * z, z * math.sqrt(z * z + 4 * found * (1 - p)), 2 * (n + z * z)
    low = 0.0 if found == 0 else (middle - spread) / below
    high = 1.0 if found == n else (middle + spread) / below
    return low, high
