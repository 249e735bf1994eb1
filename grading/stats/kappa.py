"""Agreement of two graders who give words, beyond what chance alone would give: Cohen's kappa, weighted or not.

A table counts pairs: its rows are the first grader's words, its columns the second's, both in one order. Kappa says
nothing where both always say the same word, because nothing was left to chance there: it is not defined then, neither
0 nor 1. With a rare defect it is low although the graders agree nearly always; so what they agreed on is given too.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import NormalDist

from inventory.rules.working import Step

FCE = "Fleiss, Cohen, Everitt, Large sample standard errors of kappa and weighted kappa, 1969 (from memory)"
COHEN = "Cohen, A coefficient of agreement for nominal scales, 1960 (from memory)"
WEIGHTS: Mapping[str, str] = {
    "none": "a pair counts where both words are the same",
    "linear": "a pair counts 1 - |i - j| / (k - 1)",
    "quadratic": "a pair counts 1 - (i - j)^2 / (k - 1)^2",
}


@dataclass(frozen=True, slots=True)
class Kappa:
    """How two graders agree.

    Attributes:
        estimate: kappa [1]; None where it is not defined.
        low, high: its likely range by the normal law [1]; None with the estimate.
        se: its standard error [1]; None with the estimate.
        se_if_chance: its standard error if they agreed by chance alone, for a test against 0 [1].
        observed, expected: agreement found, and by chance; weighted where weights were asked for [1].
        same, n: pairs with the same word, and all pairs.
        level: how often such a range holds the truth [1].
        method: which kappa.
    """

    estimate: float | None
    low: float | None
    high: float | None
    se: float | None
    se_if_chance: float | None
    observed: float
    expected: float
    same: int
    n: int
    level: float
    method: str
    working: tuple[Step, ...]


def cohen(table: Sequence[Sequence[int]], weights: str = "none", level: float = 0.95) -> Kappa:
    """Give Cohen's kappa of a table of pairs.

    Args:
        table: counts, shape (k, k), k at least 2; rows the first grader, columns the second.
        weights: a name of `WEIGHTS`; other than "none" the words must stand in their order.
        level: 0 to 1, both excluded [1].

    Returns:
        Kappa with its range; without them where agreement by chance is complete.

    Raises:
        ValueError: the table is not square, counts below 0, or there are no pairs.

    Source: Cohen 1960; Fleiss, Cohen, Everitt 1969, Psychol. Bull. 72:323-327 (from memory).
    """
    _check(table, weights, level)
    n = sum(map(sum, table))
    shares = [[count / n for count in row] for row in table]
    weighed = _weights(len(table), weights)
    rows, columns = [sum(row) for row in shares], [sum(column) for column in zip(*shares, strict=True)]
    observed = math.fsum(w * p for wr, pr in zip(weighed, shares, strict=True) for w, p in zip(wr, pr, strict=True))
    expected = math.fsum(weighed[i][j] * p * q for i, p in enumerate(rows) for j, q in enumerate(columns))
    same = sum(row[i] for i, row in enumerate(table))
    step = _agreed(same, n, observed, expected, weights)
    method = f"Cohen's kappa, weights: {weights}"
    if any(row[i] == n for i, row in enumerate(table)):
        undefined = Step("kappa", "(Po - Pe) / (1 - Pe) with Pe = 1: not defined", source=COHEN)
        return Kappa(None, None, None, None, None, observed, expected, same, n, level, method, (*step, undefined))
    kappa = (observed - expected) / (1 - expected)
    se, se0 = _errors(shares, weighed, kappa, expected, n)
    z = NormalDist().inv_cdf((1 + level) / 2)
    low, high = max(-1.0, kappa - z * se), min(1.0, kappa + z * se)
    steps = (*step, *_kappa_steps(kappa, (observed, expected), se, z, (low, high)))
    return Kappa(kappa, low, high, se, se0, observed, expected, same, n, level, method, steps)


def _check(table: Sequence[Sequence[int]], weights: str, level: float) -> None:
    if len(table) < 2 or any(len(row) != len(table) for row in table):
        raise ValueError("A table of pairs is square, with two words or more.")
    if any(count < 0 for row in table for count in row) or not any(map(any, table)):
        raise ValueError("A table of pairs holds counts of 0 or more, and at least one pair.")
    if weights not in WEIGHTS or not 0 < level < 1:
        raise ValueError(f"Weights are {', '.join(WEIGHTS)}; a level lies between 0 and 1.")


def _weights(k: int, name: str) -> list[list[float]]:
    power = {"none": 0, "linear": 1, "quadratic": 2}[name]
    if not power:
        return [[float(i == j) for j in range(k)] for i in range(k)]
    return [[1 - (abs(i - j) / (k - 1)) ** power for j in range(k)] for i in range(k)]


def _errors(
    shares: Sequence[Sequence[float]], weighed: Sequence[Sequence[float]], kappa: float, expected: float, n: int
) -> tuple[float, float]:  # fmt: skip
    """Give the standard error, and the one under chance alone (Fleiss, Cohen, Everitt 1969, eqs. 13 and 9)."""
    rows, columns = [sum(row) for row in shares], [sum(column) for column in zip(*shares, strict=True)]
    of_row = [math.fsum(q * w for q, w in zip(columns, row, strict=True)) for row in weighed]
    of_column = [math.fsum(p * row[j] for p, row in zip(rows, weighed, strict=True)) for j in range(len(columns))]
    cells = [(i, j) for i in range(len(rows)) for j in range(len(columns))]
    found = math.fsum(shares[i][j] * (weighed[i][j] - (of_row[i] + of_column[j]) * (1 - kappa)) ** 2 for i, j in cells)
    chance = math.fsum(rows[i] * columns[j] * (weighed[i][j] - (of_row[i] + of_column[j])) ** 2 for i, j in cells)
    under = (1 - expected) * math.sqrt(n)
    se = math.sqrt(max(0.0, found - (kappa - expected * (1 - kappa)) ** 2)) / under
    return se, math.sqrt(max(0.0, chance - expected**2)) / under


def _agreed(same: int, n: int, observed: float, expected: float, weights: str) -> tuple[Step, ...]:
    said = WEIGHTS[weights]
    return (
        Step("pairs with the same word", f"{same} of {n} = {same / n:.4f}", source=COHEN),
        Step("agreement found, Po", f"sum of weight × share of pairs = {observed:.5f}", said, source=COHEN),
        Step("agreement by chance, Pe", f"sum of weight × row share × column share = {expected:.5f}", source=COHEN),
    )


def _kappa_steps(
    kappa: float, agreed: tuple[float, float], se: float, z: float, ends: tuple[float, float]
) -> tuple[Step, ...]:  # fmt: skip
    observed, expected = agreed
    return (
        Step(
            "kappa", f"(Po - Pe) / (1 - Pe) = ({observed:.5f} - {expected:.5f}) / (1 - {expected:.5f}) = {kappa:.4f}",
            source=COHEN,
        ),
        Step(
            "likely range", f"{kappa:.4f} ± {z:.4f} × {se:.5f} = {ends[0]:.4f} to {ends[1]:.4f}",
            "the normal law, cut at -1 and 1", source=FCE,
        ),
    )  # fmt: skip
