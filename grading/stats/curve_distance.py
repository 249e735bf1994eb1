"""How far two size curves lie apart, and how often two portions of one lot would lie so far apart by chance.

numpy is imported inside the function, because a web process must start without it.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

DRAWS = 9_999
SEED = 20_250  # fixed, so that the same numbers always give the same answer
METHOD = "largest difference of cumulative shares; chance by drawing both portions from the pooled curve"


@dataclass(frozen=True, slots=True)
class CurveDistance:
    """Two curves compared.

    Attributes:
        estimate: largest difference of cumulative shares [1].
        at: the class edge where it lies, its place counted from 0.
        chance: how often two portions of one lot lie so far apart or further [1].
        n: seeds that stand behind each curve [1].
        draws: how often it was drawn.
        method: in words.
    """

    estimate: float
    at: int
    chance: float
    n: tuple[int, int]
    draws: int = DRAWS
    method: str = METHOD


def curve_difference(first: Sequence[float], second: Sequence[float]) -> tuple[float, int]:
    """Give the largest difference of two cumulative curves, and where it lies.

    Args:
        first, second: shares of the same classes in the same order, each summing to 1 [1].

    Returns:
        The difference [1], and the place of the edge below its class, from 0.
    """
    if len(first) != len(second) or len(first) < 2:
        raise ValueError("Two curves are compared over the same classes, two or more.")
    largest, at, one, two = 0.0, 0, 0.0, 0.0
    for place, (a, b) in enumerate(zip(first[:-1], second[:-1], strict=True)):
        one, two = one + a, two + b
        if abs(one - two) > largest:
            largest, at = abs(one - two), place
    return largest, at


def curve_distance(
    first: Sequence[float], second: Sequence[float], n: tuple[int, int], *, draws: int = DRAWS, seed: int = SEED
) -> CurveDistance:  # fmt: skip
    """Test whether two curves differ by more than the seeds of two portions do by chance.

    Args:
        first, second: shares of the same classes in the same order, each summing to 1 [1].
        n: seeds behind each curve, 1 or more: grams sieved through the weight of one seed.
        draws: pairs of portions that are drawn.
        seed: of the draws.

    Returns:
        The chance counts the pair itself: (1 + as far or further) / (1 + draws).

    Raises:
        ValueError: the curves do not go together, or no seeds stand behind one.

    Notes:
        The statistic is Kolmogorov and Smirnov's for two samples. Its tables are too careful where sizes come in a few
        classes, so the chance is drawn: both portions from the pooled curve, seed by seed. Seeds are taken as alike
        in weight. It speaks of picking chance alone, not of two samples of one lot drawn apart.

    Source: statistic: Smirnov (1948), Ann. Math. Statist. 19:279-281 (from memory); counting the pair itself: Phipson
        and Smyth (2010), Stat. Appl. Genet. Mol. Biol. 9:39 (from memory).
    """
    if min(n) < 1 or not all(math.isclose(math.fsum(shares), 1, abs_tol=1e-9) for shares in (first, second)):
        raise ValueError("Each curve needs seeds behind it and shares that sum to 1.")
    import numpy as np  # noqa: PLC0415 - a web process starts without numpy

    found, at = curve_difference(first, second)
    pooled = (np.asarray(first) * n[0] + np.asarray(second) * n[1]) / sum(n)
    generator = np.random.default_rng(seed)
    drawn = [generator.multinomial(size, pooled / pooled.sum(), size=draws).cumsum(axis=1) / size for size in n]
    apart = np.abs(drawn[0] - drawn[1]).max(axis=1)
    return CurveDistance(found, at, (1 + int((apart >= found - 1e-12).sum())) / (1 + draws), n, draws)
