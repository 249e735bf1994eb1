"""Likely ranges and chances of very many shares at once: each different pair of pieces is worked out once, in one call.

A hundred thousand samples of twelve factors ask for over a million ranges. One call of the library for all of them
takes seconds where one call for each takes minutes; the numbers are the same to the last digit.

numpy and scipy are imported inside the functions, because a web process must start without them.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from grading.stats.beta import ShareInterval
from grading.stats.portion_chance import LEVEL, Likely, limit_share

Asked = tuple[Fraction, Fraction, Mapping[str, str]]


def share_intervals(found: Any, n: Any, level: float = LEVEL) -> tuple[Any, Any]:
    """Give the equal-tailed likely ranges of many shares: `beta.share_interval` for arrays.

    Args:
        found: array of pieces found, each 0 to its n [1].
        n: array of pieces looked at, each over 0 [1].
        level: 0 to 1, both excluded [1].

    Returns:
        Arrays of the lower and the upper ends [1].

    Raises:
        ValueError: a count or the level is outside its range.
    """
    import numpy as np  # noqa: PLC0415 - a web process starts without numpy
    from scipy.special import betaincinv  # noqa: PLC0415 - a web process starts without scipy

    found, n = _checked(found, n)
    if not 0 < level < 1:
        raise ValueError(f"A level lies between 0 and 1, not at {level}.")
    pairs, place = np.unique(found + 1j * n, return_inverse=True)
    some, of = pairs.real, pairs.imag
    tail = (1 - level) / 2
    low = np.where(some == 0, 0.0, betaincinv(some + 0.5, of - some + 0.5, tail))
    high = np.where(some == of, 1.0, betaincinv(some + 0.5, of - some + 0.5, 1 - tail))
    return low[place], high[place]


def chances_within(found: Any, n: Any, limits: Any) -> Any:
    """Give the chances that many true shares are at most their limits: `beta.chance_within` for arrays.

    Raises:
        ValueError: a count or a limit is outside its range.
    """
    import numpy as np  # noqa: PLC0415 - a web process starts without numpy
    from scipy.special import betainc  # noqa: PLC0415 - a web process starts without scipy

    found, n = _checked(found, n)
    limits = np.asarray(limits, dtype=float)
    if not ((limits >= 0) & (limits <= 1)).all():
        raise ValueError("A share lies between 0 and 1.")
    return betainc(found + 0.5, n - found + 0.5, limits)


@dataclass(frozen=True)
class Together:
    """What was worked out at once, to be taken one by one in the form of `portion_chance.likely`."""

    known: Mapping[tuple[float, float], tuple[float, float]]
    within: Mapping[tuple[float, float, str], float]

    def likely(self, share: Fraction, n: Fraction, limits_pct: Mapping[str, str]) -> Likely:
        """Say how sure a share by weight is that was asked about before: see `portion_chance.likely`."""
        found, of = float(n * share), float(n)
        low, high = self.known[found, of]
        within = {name: self.within[found, of, limit] for name, limit in limits_pct.items()}
        return Likely(ShareInterval(found / of, low, high, of, LEVEL), within)


def worked_out(asked: Iterable[Asked]) -> Together:
    """Work out ranges and chances for all that will be asked.

    Args:
        asked: share, pieces that it stands on and limits [%] of each factor of each portion.
    """
    pairs: dict[tuple[float, float], None] = {}
    held: dict[tuple[float, float, str], None] = {}
    for share, n, limits in asked:
        pair = float(n * share), float(n)
        pairs[pair] = None
        held.update(((*pair, limit), None) for limit in limits.values())
    if not pairs:
        return Together({}, {})
    found, of = zip(*pairs, strict=True)
    low, high = share_intervals(found, of, LEVEL)
    known = dict(zip(pairs, zip(low.tolist(), high.tolist(), strict=True), strict=True))
    return Together(known, _chances(list(held)))


def _chances(held: Sequence[tuple[float, float, str]]) -> dict[tuple[float, float, str], float]:
    if not held:
        return {}
    found, of, limits = zip(*held, strict=True)
    chances = chances_within(found, of, [limit_share(limit) for limit in limits])
    return dict(zip(held, chances.tolist(), strict=True))


def _checked(found: Any, n: Any) -> tuple[Any, Any]:
    import numpy as np  # noqa: PLC0415 - a web process starts without numpy

    found, n = np.asarray(found, dtype=float), np.asarray(n, dtype=float)
    if not (np.isfinite(n) & (n > 0) & (found >= 0) & (found <= n)).all():
        raise ValueError("Found lies between 0 and n, and n is over 0.")
    return found, n
