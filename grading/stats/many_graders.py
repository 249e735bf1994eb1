"""Agreement of more than two graders who give words: Fleiss' kappa.

Each sample was judged by the same number of graders, not always the same ones. Where all say one word throughout,
kappa is not defined.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

from inventory.rules.working import Step

FLEISS = "Fleiss, Measuring nominal scale agreement among many raters, 1971 (from memory)"
ERROR = (
    "Fleiss, Nee, Landis, Large sample variance of kappa in the case of different sets of raters, 1979 (from memory)"
)


@dataclass(frozen=True, slots=True)
class ManyGraders:
    """How many graders agree.

    Attributes:
        estimate: kappa over all words [1]; None where it is not defined.
        se_if_chance: its standard error if they agreed by chance alone [1].
        p_if_chance: how often chance alone would give as much or more [1].
        of_word: kappa of each word against all others [1]; None where it was never or always said.
        observed, expected: agreement found between two graders, and by chance [1].
        shares: how often each word was said [1].
        n, graders: samples, and judgements of each.
    """

    estimate: float | None
    se_if_chance: float | None
    p_if_chance: float | None
    of_word: tuple[float | None, ...]
    observed: float
    expected: float
    shares: tuple[float, ...]
    n: int
    graders: int
    method: str
    working: tuple[Step, ...]


def fleiss(counts: Sequence[Sequence[int]]) -> ManyGraders:
    """Give Fleiss' kappa.

    Args:
        counts: how many graders gave each word, shape (samples, words); each row sums to the same number, at least 2.

    Returns:
        Kappa over all words and of each, with the standard error under chance.

    Raises:
        ValueError: fewer than 2 samples, words or graders; rows that sum to different numbers; counts below 0.

    Source: Fleiss 1971, Psychol. Bull. 76:378-382; Fleiss, Nee, Landis 1979, Psychol. Bull. 86:974-977 (from memory).
    """
    n, m = _check(counts)
    shares = tuple(sum(column) / (n * m) for column in zip(*counts, strict=True))
    observed = math.fsum(c * (c - 1) for row in counts for c in row) / (n * m * (m - 1))
    expected = math.fsum(p * p for p in shares)
    of_word = tuple(_of_word([row[j] for row in counts], p, m) for j, p in enumerate(shares))
    steps = _steps(n, m, shares, observed, expected)
    if max(shares) == 1:
        undefined = Step("kappa", "(Po - Pe) / (1 - Pe) with Pe = 1: not defined", source=FLEISS)
        rest = (observed, expected, shares, n, m, "Fleiss' kappa", (*steps, undefined))
        return ManyGraders(None, None, None, of_word, *rest)
    kappa = (observed - expected) / (1 - expected)
    se = _error(shares, n, m)
    p = 1 - NormalDist().cdf(kappa / se)
    found = Step(
        "kappa", f"({observed:.5f} - {expected:.5f}) / (1 - {expected:.5f}) = {kappa:.5f}", source=FLEISS
    )  # fmt: skip
    test = Step("by chance alone", f"z = {kappa:.5f} / {se:.5f} = {kappa / se:.2f}", source=ERROR)
    rest = (observed, expected, shares, n, m, "Fleiss' kappa", (*steps, found, test))
    return ManyGraders(kappa, se, p, of_word, *rest)


def _check(counts: Sequence[Sequence[int]]) -> tuple[int, int]:
    sums = {sum(row) for row in counts}
    if len(counts) < 2 or len(sums) != 1 or len({len(row) for row in counts}) != 1 or len(counts[0]) < 2:
        raise ValueError("There are two samples and two words or more, and as many judgements of each sample.")
    graders = sums.pop()
    if graders < 2 or any(c < 0 for row in counts for c in row):
        raise ValueError("Each sample was judged by two graders or more; counts are 0 or more.")
    return len(counts), graders


def _of_word(counts: Sequence[int], share: float, m: int) -> float | None:
    """Kappa of one word against all others (Fleiss 1971, eq. 20, in its form by disagreements)."""
    if not 0 < share < 1:
        return None
    apart = math.fsum(c * (m - c) for c in counts) / (len(counts) * m * (m - 1))
    return 1 - apart / (share * (1 - share))


def _error(shares: Sequence[float], n: int, m: int) -> float:
    both = math.fsum(p * (1 - p) for p in shares)
    skew = math.fsum(p * (1 - p) * (1 - 2 * p) for p in shares)
    return math.sqrt(2 * (both**2 - skew)) / (both * math.sqrt(n * m * (m - 1)))


def _steps(n: int, m: int, shares: Sequence[float], observed: float, expected: float) -> tuple[Step, ...]:
    said = " + ".join(f"{p:.4f}^2" for p in shares)
    return (
        Step(
            "agreement found, Po", f"sum of c (c - 1) / ({n} × {m} × {m - 1}) = {observed:.5f}",
            "c: how many gave a word to a sample", source=FLEISS,
        ),
        Step("agreement by chance, Pe", f"{said} = {expected:.5f}", "how often each word was said", source=FLEISS),
    )  # fmt: skip
