"""What one portion says about its lot: a likely range for a factor, and the chance of being within each limit."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from grading.stats.beta import ShareInterval, chance_within, share_interval

LEVEL = 0.95


@dataclass(frozen=True, slots=True)
class Likely:
    """How sure a factor is.

    Attributes:
        interval: likely range of the lot's share.
        within: name of a limit -> chance that the lot's share is at most that limit [1].
    """

    interval: ShareInterval
    within: Mapping[str, float]


def likely(share: Fraction, n: Fraction, limits_pct: Mapping[str, str]) -> Likely:
    """Say how sure a share by weight is.

    Args:
        share: found, not rounded, 0 to 1 [1].
        n: beans that the portion stands for: its weight over the weight of one seed, or their count; not rounded [1].
        limits_pct: name -> limit as written [%]; the chance is taken exactly at the limit.
    """
    found, of = float(n * share), float(n)
    within = {name: chance_within(found, of, limit_share(limit)) for name, limit in limits_pct.items()}
    return Likely(share_interval(found, of, LEVEL), within)


@lru_cache(maxsize=1024)
def limit_share(limit_pct: str) -> float:
    """Turn a limit as written [%] into a share [1]."""
    return float(Fraction(limit_pct) / 100)
