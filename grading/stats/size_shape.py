"""The middle and the spread of a size curve in one number each, by geometric and by arithmetic classes."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise


@dataclass(frozen=True, slots=True)
class GeometricSize:
    """Geometric mean size and its spread.

    Attributes:
        mean_mm: d_gw [mm].
        s_log: standard deviation of log10 of the size [1].
        s_ln: the same in natural logarithms [1].
        ratio: S_gw as a ratio, 10^s_log [1].
        s_mm: S_gw in millimetres, half of the way from d_gw / ratio to d_gw x ratio [mm].
        n: classes with seed [1].
        method: the name of the standard.
    """

    mean_mm: float
    s_log: float
    s_ln: float
    ratio: float
    s_mm: float
    n: int
    method: str = "geometric class means, ASABE S319 (from memory)"


@dataclass(frozen=True, slots=True)
class ArithmeticSize:
    """Mean size and its spread over the classes' middles, by weight.

    Attributes:
        mean_mm, sd_mm: [mm].
        cv_pct: 100 sd / mean [%].
        n: classes with seed [1].
        method: population form: the divisor is the whole weight.
    """

    mean_mm: float
    sd_mm: float
    cv_pct: float
    n: int
    method: str = "class middles, weighted by mass, population form"


def geometric_size(edges: Sequence[float], weights: Sequence[float]) -> GeometricSize:
    """Work out the geometric mean size and its deviation.

    Args:
        edges: of the classes, the widest first, all over 0, one more than weights [mm].
        weights: of the classes, 0 or more, one at least over 0 [g] or [%].

    Returns:
        d_i = sqrt(D_i D_(i+1)); log10 d_gw = sum(W log10 d) / sum W; S_log = sqrt(sum W (log10 d - log10 d_gw)^2 / sum
        W); S_gw as the ratio 10^S_log and in millimetres 0.5 d_gw (10^S_log - 10^-S_log).

    Raises:
        ValueError: edges and weights do not go together, or nothing was weighed.

    Source: ASABE S319 (formula from memory), made for roughly spherical or cubical particles, so it fits a navy bean
        better than a kidney.
    """
    _check(edges, weights, least=0.0)
    logs = [(math.log10(wide) + math.log10(narrow)) / 2 for wide, narrow in pairwise(edges)]
    mean, deviation = _mean_and_deviation(logs, weights)
    middle, ratio = 10**mean, 10**deviation
    return GeometricSize(
        middle, deviation, deviation * math.log(10), ratio, middle * (ratio - 1 / ratio) / 2, _filled(weights)
    )  # fmt: skip


def arithmetic_size(sizes: Sequence[float], weights: Sequence[float]) -> ArithmeticSize:
    """Work out mean, standard deviation and CV of a size by weight.

    Args:
        sizes: of the classes, 0 or more [mm].
        weights: of the classes, 0 or more, one at least over 0 [g] or [%].

    Raises:
        ValueError: sizes and weights do not go together, or nothing was weighed.

    Source: common practice, no source; two passes, so that nothing cancels.
    """
    _check([*sizes, 0.0], weights, least=-1.0)
    mean, deviation = _mean_and_deviation(sizes, weights)
    cv = 100 * deviation / mean if mean else 0.0
    return ArithmeticSize(mean, deviation, cv, _filled(weights))


def log_between(below: float, above: float, share: float) -> float:
    """Give the size so far on the way between two openings, in the logarithm of the size.

    Args:
        below, above: openings over 0 [mm].
        share: of the way, 0 to 1 [1].
    """
    return float(below * (above / below) ** share)


def _mean_and_deviation(values: Sequence[float], weights: Sequence[float]) -> tuple[float, float]:
    total = math.fsum(weights)
    mean = math.fsum(weight * value for value, weight in zip(values, weights, strict=True)) / total
    square = math.fsum(weight * (value - mean) ** 2 for value, weight in zip(values, weights, strict=True)) / total
    return mean, math.sqrt(square)


def _filled(weights: Sequence[float]) -> int:
    return sum(weight > 0 for weight in weights)


def _check(edges: Sequence[float], weights: Sequence[float], *, least: float) -> None:
    numbers = [*edges, *weights]
    if len(edges) != len(weights) + 1 or not all(map(math.isfinite, numbers)):
        raise ValueError(f"{len(edges)} edges and {len(weights)} weights do not make a curve.")
    if min(edges) <= least or min(weights) < 0 or not math.fsum(weights) > 0:
        raise ValueError("A curve needs sizes over 0 and weights of 0 or more, one of them over 0.")
