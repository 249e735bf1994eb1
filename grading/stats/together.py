"""Two or more portions of one lot: do they agree, and what do they say together?

Portions that differ by more than picking chance say that the lot is not even, or that it was not sampled fairly. Then
the range is widened by what they differ, not narrowed by their number of beans.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

from grading.stats.beta import ShareInterval
from inventory.rules.proportion import score_limits

AGREE = 0.05  # portions of an even lot look uneven as often as this


@dataclass(frozen=True, slots=True)
class Together:
    """Several portions as one.

    Attributes:
        interval: pooled share and its likely range; n is what the range stands on.
        chi_square, degrees: Pearson's chi-square of the portions against the pooled share, and its degrees of freedom.
        p: chance that portions of an even lot differ by so much or more [1].
        overdispersion: chi-square over its degrees of freedom, at least 1.
        between_sd: standard deviation of the share from portion to portion beyond picking chance, 0 if none [1].
    """

    interval: ShareInterval
    chi_square: float
    degrees: int
    p: float
    overdispersion: float
    between_sd: float

    @property
    def agree(self) -> bool:
        """Whether picking chance alone explains the differences well enough."""
        return self.p >= AGREE


def together(portions: Sequence[tuple[float, float]], level: float = 0.95) -> Together:
    """Lay portions together.

    Args:
        portions: found and n of each, two or more; found 0 to n, n over 0 [1].
        level: 0 to 1, both excluded [1].

    Returns:
        The pooled share. Its range is Wilson's on the pooled number of pieces over the overdispersion; where the
        portions disagree, with Student's t of as few degrees of freedom as there are portions less one.

    Raises:
        ValueError: fewer than two portions, or a number outside its range.

    Source: McCullagh & Nelder (1989) Generalized Linear Models, 2nd ed., 4.5 (overdispersion as Pearson's chi-square
        over its degrees of freedom); DerSimonian & Laird (1986) Controlled Clin. Trials 7:177-188 (the spread between
        portions by moments); both from memory. That the t is used only where they disagree is ours.
    """
    if len(portions) < 2 or not 0 < level < 1 or not all(0 <= k <= n and 0 < n < math.inf for k, n in portions):
        raise ValueError("Give two or more portions, each with its pieces found and looked at.")
    of, degrees = math.fsum(n for _, n in portions), len(portions) - 1
    share = min(1.0, math.fsum(k for k, _ in portions) / of)
    spread = share * (1 - share)
    chi_square = math.fsum((k - n * share) ** 2 / (n * spread) for k, n in portions) if spread else 0.0
    p = _upper_tail(chi_square, degrees)
    factor = max(1.0, chi_square / degrees)
    times = _errors(level, degrees if p < AGREE else None)
    low, high = score_limits(share * of / factor, of / factor, times)
    method = "Wilson on the pooled pieces" if factor == 1 else "Wilson on the pooled pieces over the overdispersion"
    beyond = max(0.0, chi_square - degrees) * spread / (of - math.fsum(n * n for _, n in portions) / of)
    interval = ShareInterval(share, low, high, of / factor, level, method)
    return Together(interval, chi_square, degrees, p, factor, math.sqrt(beyond))


def _upper_tail(chi_square: float, degrees: int) -> float:
    if degrees == 1:
        return math.erfc(math.sqrt(chi_square / 2))
    from scipy.special import chdtrc  # noqa: PLC0415 - a web process starts without scipy

    return float(chdtrc(degrees, chi_square))


def _errors(level: float, degrees: int | None) -> float:
    """Standard errors on either side: of the normal law, or of Student's t."""
    if degrees is None:
        return NormalDist().inv_cdf((1 + level) / 2)
    from scipy.special import stdtrit  # noqa: PLC0415 - a web process starts without scipy

    return float(stdtrit(degrees, (1 + level) / 2))
