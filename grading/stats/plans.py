"""Sampling plans by count: what a plan accepts how often, and the smallest plan for two wanted risks.

A plan (n, c) looks at n pieces and accepts the lot if at most c of them are defective.
"""

import math
from dataclasses import dataclass

MOST_N = 20_000  # pieces; no bench looks at more
_FEW = 50  # terms that are summed; beyond, the library is quicker
USUAL_CHANCES = (0.99, 0.95, 0.90, 0.75, 0.50, 0.25, 0.10, 0.05, 0.01)


@dataclass(frozen=True, slots=True)
class Plan:
    """A plan that keeps two wanted risks.

    Attributes:
        n: pieces to look at.
        c: the most defective ones with which the lot is accepted.
        good_refused: chance that a lot at the good share is refused, the producer's risk [1].
        bad_accepted: chance that a lot at the bad share is accepted, the consumer's risk [1].
    """

    n: int
    c: int
    good_refused: float
    bad_accepted: float


class NoPlanError(ValueError):
    """No plan of a size that anybody would work keeps both risks."""


def acceptance_chance(n: int, c: int, share: float) -> float:
    """Give the chance that a plan accepts a lot: at most c of n, each defective with the same chance.

    Args:
        n: pieces looked at, 1 or more.
        c: the most defective ones, 0 or more; n or more accepts everything.
        share: defective in the lot, 0 to 1 [1].

    Returns:
        The binomial sum [1].

    Raises:
        ValueError: a number outside its range.
    """
    if n < 1 or c < 0 or not 0 <= share <= 1:
        raise ValueError(f"A plan of {n} pieces and {c} at a share of {share} cannot be.")
    if c >= n or share == 0:
        return 1.0
    if share == 1:
        return 0.0
    if c > _FEW:
        from scipy.special import betaincc  # noqa: PLC0415 - a web process starts without scipy

        return float(betaincc(c + 1, n - c, share))
    return _binomial_sum(n, c, share)


def _binomial_sum(n: int, c: int, share: float) -> float:
    yes, no = math.log(share), math.log1p(-share)
    whole = math.lgamma(n + 1)
    terms = (
        math.exp(whole - math.lgamma(x + 1) - math.lgamma(n - x + 1) + x * yes + (n - x) * no) for x in range(c + 1)
    )
    return min(1.0, math.fsum(terms))


def share_accepted(n: int, c: int, chance: float) -> float:
    """Give the share at which a plan accepts with a wanted chance: the exact upper limit at c of n [1].

    Args:
        n: pieces looked at, over c.
        c: the most defective ones, 0 or more.
        chance: of accepting, 0 to 1, both excluded [1].

    Raises:
        ValueError: a number outside its range.
    """
    if not 0 <= c < n or not 0 < chance < 1:
        raise ValueError(f"A plan of {n} pieces and {c} is not held to a chance of {chance}.")
    from scipy.special import betaincinv  # noqa: PLC0415 - a web process starts without scipy

    return float(betaincinv(c + 1, n - c, 1 - chance))


def share_accepted_by_poisson(n: int, c: int, chance: float) -> float:
    """Give the same share by the Poisson law, in which many printed tables were worked [1].

    Raises:
        ValueError: a number outside its range.
    """
    if not 0 <= c < n or not 0 < chance < 1:
        raise ValueError(f"A plan of {n} pieces and {c} is not held to a chance of {chance}.")
    from scipy.special import gammaincinv  # noqa: PLC0415 - a web process starts without scipy

    return float(gammaincinv(c + 1, 1 - chance)) / n


def plan_for_risks(good: float, bad: float, good_refused: float = 0.05, bad_accepted: float = 0.10) -> Plan:
    """Find the smallest plan that keeps both risks.

    Args:
        good: share of a lot that should pass, 0 to 1, both excluded [1].
        bad: share of a lot that should not, over `good` and under 1 [1].
        good_refused: most allowed chance that the good lot is refused (producer's risk) [1].
        bad_accepted: most allowed chance that the bad lot is accepted (consumer's risk) [1].

    Returns:
        The plan with the smallest n, and of these with the smallest c.

    Raises:
        ValueError: a number outside its range.
        NoPlanError: it would take more than 20,000 pieces.

    Source: W. C. Guenther (1969) J. Qual. Technol. 1:105-109 (from memory): for each c the smallest n that keeps the
        consumer's risk, until the producer's is kept too.
    """
    if not 0 < good < bad < 1 or not 0 < good_refused < 1 or not 0 < bad_accepted < 1:
        raise ValueError(f"Shares of {good} and {bad} with risks of {good_refused} and {bad_accepted} make no plan.")
    c, n = 0, 0
    while True:
        n = _smallest_n(c, max(n, c), bad, bad_accepted)
        if acceptance_chance(n, c, good) >= 1 - good_refused:
            return Plan(n, c, 1 - acceptance_chance(n, c, good), acceptance_chance(n, c, bad))
        c += 1


def _smallest_n(c: int, above: int, bad: float, allowed: float) -> int:
    """The smallest n that accepts the bad lot rarely enough; the chance falls as n grows."""
    low, high = above, above + 1
    while acceptance_chance(high, c, bad) > allowed:
        low, high = high, min(2 * high, MOST_N + 1)
        if low > MOST_N:
            raise NoPlanError(f"No plan of up to {MOST_N} pieces keeps both risks.")
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if acceptance_chance(middle, c, bad) <= allowed else (middle, high)
    return high
