"""How much more to pick until a portion tells, and whether what was picked already tells: advice, never a verdict."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from grading.stats.beta import chance_at_least, chance_within

MOST_PIECES = 10_000_000.0  # some two tonnes of beans: nobody picks on
SURE_ENOUGH = 0.99  # to stop; higher than 0.95 because one looks after every dish


@dataclass(frozen=True, slots=True)
class More:
    """How many pieces it takes to be sure.

    Attributes:
        pieces: in all, the least whole number that does [1]; those picked, not rounded, where they
            do; None where no portion that anybody picks would tell.
        within: true if it would then be sure to be within the limit, false if beyond.
        chance_now: that chance by what was picked so far [1].
    """

    pieces: float | None
    within: bool
    chance_now: float


def pieces_to_be_sure(found: float, n: float, limit: float, sure: float = 0.95) -> More:
    """Say how many pieces it takes to be sure of a limit, if the rest reads like what was picked.

    Args:
        found: pieces found so far, 0 to n [1].
        n: pieces picked so far, over 0 [1].
        limit: a share, 0 to 1 [1].
        sure: wanted chance, 0.5 to 1, both excluded [1].

    Returns:
        The least number in all with that chance; the number picked, where it is reached already.

    Raises:
        ValueError: a number outside its range.

    Notes:
        Bisection over the chance of Beta(k + 1/2, n - k + 1/2) with k/n held. At the limit itself no number tells.
    """
    if not 0.5 < sure < 1:
        raise ValueError(f"A chance of {sure} is no certainty to pick for.")
    share, within = found / n, found <= limit * n
    tail = chance_within if within else chance_at_least
    now = tail(found, n, limit)
    if now >= sure:
        return More(n, within, now)
    low, high = float(math.floor(n)), float(math.ceil(2 * n))
    while tail(share * high, high, limit) < sure:
        low, high = high, 2 * high
        if low > MOST_PIECES:
            return More(None, within, now)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if tail(share * middle, middle, limit) >= sure else (middle, high)
    return More(high, within, now)


def told_already(found: float, n: float, limits: Mapping[str, float], sure: float = SURE_ENOUGH) -> dict[str, str]:
    """Say of each limit whether what was picked so far tells already.

    Args:
        found: pieces found so far, 0 to n [1].
        n: pieces picked so far, over 0 [1].
        limits: name -> a share, 0 to 1 [1].
        sure: from which chance on it tells [1].

    Returns:
        Name -> "beyond", "within" or "" where it does not tell yet. Looked at after each of ten dishes of a portion of
        2,500 beans, "beyond" is said wrongly of a lot at its limit about 5 times in 100 (simulated in the tests).

    Raises:
        ValueError: a number outside its range.
    """
    told = {}
    for name, limit in limits.items():
        beyond = chance_at_least(found, n, limit)
        told[name] = "beyond" if beyond >= sure else "within" if chance_within(found, n, limit) >= sure else ""
    return told
