"""How much lots of one line differ among each other: what all lines say of it, held against a few odd lots.

A line rarely has more than a handful of lots, so one line's own spread is too rough to judge by. All lines together
give a base, in which no line counts for more than usual spreads allow: a lot under a wrong tag would otherwise widen
the very measure that has to find it. numpy and scipy are imported inside the functions.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

WIDEST = 0.25  # of lines: their spread counts as that of the line at this place; ours, no source
# What the base weighs against a line's own lots: lines differ in spread, and with 3.5 a lot is called far no more often
# than stated though one line in three spreads over 1.5 times as widely as usual, or less; ours, from simulation.
PRIOR_DF = 3.5
KEPT = 0.65  # degrees of freedom that holding odd lines down leaves of a base; ours, from simulation
_ROUNDS = 60


@dataclass(frozen=True, slots=True)
class Past:
    """Lots of one line, measured in p ways.

    Attributes:
        n: lots [1].
        mean: their mean, shape (p,).
        squares: sums of squares and products about the mean, shape (p, p).
    """

    n: int
    mean: "Array"
    squares: "Array"

    @property
    def df(self) -> int:
        """Degrees of freedom of its own spread."""
        return self.n - 1


@dataclass(frozen=True, slots=True)
class Base:
    """The spread of lots within a line, by all lines together.

    Attributes:
        covariance: shape (p, p).
        df: degrees of freedom it is worth, up to `PRIOR_DF`.
        lines: lines that showed a spread.
        shrinkage: how far correlations were drawn to none, 0 to 1 [1].
    """

    covariance: "Array"
    df: float
    lines: int
    shrinkage: float


def past_of(rows: Sequence[Sequence[float]]) -> Past:
    """Sum up the lots of one line.

    Args:
        rows: one or more lots, each measured in the same p ways; all finite.

    Raises:
        ValueError: there is no lot, or a number is not finite.
    """
    import numpy as np  # noqa: PLC0415 - a web process starts without numpy

    values = np.asarray(rows, dtype=float)
    if values.ndim != 2 or not len(values) or not np.isfinite(values).all():
        raise ValueError("A past holds one lot or more, each with the same finite numbers.")
    mean = values.mean(axis=0)
    off = values - mean
    return Past(len(values), mean, off.T @ off)


def base_of(pasts: Sequence[Past], least: Sequence[float]) -> Base | None:
    """Pool the spread within lines, held against odd ones, with correlations shrunk for few lots.

    Args:
        pasts: lines; those with one lot say nothing.
        least: the smallest standard deviation that can be told from measuring, one for each of the p numbers.

    Returns:
        The base, or None where no line has two lots.

    Source:
        Scale by "proposal 2" of Huber, "Robust estimation of a location parameter", Ann. Math. Statist. 35 (1964)
        73-101, applied to line variances; correlations by Schäfer, Strimmer, "A shrinkage approach to large-scale
        covariance matrix estimation", Stat. Appl. Genet. Mol. Biol. 4 (2005) article 32, target D (from memory).
    """
    import numpy as np  # noqa: PLC0415 - a web process starts without numpy

    spread = [past for past in pasts if past.df > 0]
    if not spread:
        return None
    df = np.array([past.df for past in spread], dtype=float)
    squares = np.array([past.squares for past in spread])
    held = held_variances(np.diagonal(squares, axis1=1, axis2=2) / df[:, None], df)
    scale = np.maximum(np.sqrt(held), np.asarray(least, dtype=float))
    correlations, shrinkage = _correlations(squares / np.outer(scale, scale), df)
    return Base(
        correlations * np.outer(scale, scale), min(PRIOR_DF, KEPT * float(df.sum())), len(spread), shrinkage
    )  # fmt: skip


def held_variances(variances: "Array", df: "Array") -> "Array":
    """Pool variances of lines so that the widest quarter counts no more than its place allows.

    Args:
        variances: of each line and number, shape (lines, p).
        df: degrees of freedom of each line, shape (lines,).

    Returns:
        For each number the s² at which sum of df x min(variance / s², cut) is what it is expected to be, where
        `cut` is the upper quartile of chi²(df) / df; shape (p,).
    """
    import numpy as np  # noqa: PLC0415 - a web process starts without numpy

    cut, expected = _cuts(df)
    pooled = df @ variances / df.sum()
    for _round in range(_ROUNDS):
        ratio = np.minimum(variances / np.where(pooled > 0, pooled, 1), cut[:, None])
        pooled = pooled * (df @ ratio) / (df @ expected)
    return np.asarray(pooled)


def _cuts(df: "Array") -> tuple["Array", "Array"]:
    """Where a variance is held, and what min(chi²/df, cut) is on average."""
    from scipy.special import chdtr, chdtri  # noqa: PLC0415 - a web process starts without scipy

    cut = chdtri(df, WIDEST) / df
    return cut, chdtr(df + 2, cut * df) + cut * WIDEST


def _correlations(squares: "Array", df: "Array") -> tuple["Array", float]:
    """Correlations within lines, drawn to none by how rough they are; a wide line counts like the line at the cut."""
    import numpy as np  # noqa: PLC0415 - a web process starts without numpy

    widest = (np.diagonal(squares, axis1=1, axis2=2) / df[:, None]).max(axis=1)
    weight = np.minimum(1, _cuts(df)[0] / np.maximum(widest, 1e-12))
    pooled = np.tensordot(weight, squares, axes=1)
    scale = np.sqrt(np.maximum(np.diagonal(pooled), 1e-12))
    found = pooled / np.outer(scale, scale)
    np.fill_diagonal(found, 1)
    shrinkage = shrink_by(found, float(weight @ df))
    drawn = (1 - shrinkage) * found
    np.fill_diagonal(drawn, 1)
    return drawn, shrinkage


def shrink_by(correlations: "Array", df: float) -> float:
    """Say how far correlations are drawn to none: the sum of their variances over the sum of their squares.

    Args:
        correlations: shape (p, p).
        df: degrees of freedom they stand on; the variance of one is about (1 - r²)² / df.

    Returns:
        0 (kept) to 1 (taken as none).
    """
    import numpy as np  # noqa: PLC0415 - a web process starts without numpy

    r = correlations[np.triu_indices(len(correlations), 1)]
    total = float((r**2).sum())
    return 1.0 if total == 0 or df <= 0 else min(1.0, float(((1 - r**2) ** 2).sum()) / df / total)
