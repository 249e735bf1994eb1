"""How far a lot lies from the lots of a line, and how often a lot of that line would lie as far off by chance.

A new lot of a line with n lots differs from their mean by its own spread and the mean's: (x - m)' S^-1 (x - m) is
divided by 1 + 1/n. S holds the line's own spread together with the base of all lines, d degrees of freedom in all, and
F = T² (d - p + 1) / (d p) follows the F distribution with p and d - p + 1 degrees of freedom. Where d is small, p
numbers at once cost more than they tell: then each is judged by its own t, and the smallest tail counts p times.
numpy and scipy are imported inside the functions.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from grading.stats.spread import Base, Past

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

LEAST_DF = 2.0  # of the spread: below, a tail says next to nothing; ours, no source
JOINT_DF = 8.0  # d - p + 1 from which p numbers are judged at once by F; ours, no source
SINGULAR = 1e-9  # determinant of the correlations, below which numbers say the same thing twice
MANY = 200  # lots of one line from which its own ranks are used instead of the F tail; ours, no source
METHOD = "all numbers at once: predictive T² by an F tail"
METHOD_EACH = "each number by its t tail, the smallest counted as often as there are numbers"
METHOD_RANKS = "rank of T² among the line's own lots, each judged by the others (conformal)"


@dataclass(frozen=True, slots=True)
class Far:
    """How far one lot is from a line, in one kind of measurement.

    Attributes:
        squared: T² [1].
        f: the F that it makes [1].
        p: numbers that the measurement has [1].
        n: lots of the line [1].
        df: degrees of freedom of the spread [1].
        tail: how often a lot of the line lies as far off [1].
        off: the lot less the line's mean, one for each number.
        sd: standard deviation of such a difference, one for each number.
        tails: how often each number alone lies as far off, to either side [1].
        method: how `tail` was found.
        own: sum of squares of the line's own lots about their mean, one for each number.
        base: variance of lots within a line by the other lines, one for each number; empty where no line shows any.
        base_df: degrees of freedom that the base is worth [1].
        base_lines: lines that showed a spread [1].
    """

    squared: float
    f: float
    p: int
    n: int
    df: float
    tail: float
    off: tuple[float, ...]
    sd: tuple[float, ...]
    tails: tuple[float, ...]
    method: str = METHOD
    own: tuple[float, ...] = ()
    base: tuple[float, ...] = ()
    base_df: float = 0.0
    base_lines: int = 0


@dataclass(frozen=True, slots=True)
class Held:
    """A line's past with its spread: what lots are judged by.

    Attributes:
        past: the line's own lots.
        total: base and own sums of squares together, shape (p, p).
        df: degrees of freedom of both.
        base: the spread of other lines that is in it, if there is one.
    """

    past: Past
    total: "Array"
    df: float
    base: Base | None = None

    @property
    def p(self) -> int:
        """Numbers that the measurement has."""
        return len(self.past.mean)

    @property
    def tail_df(self) -> float:
        """Second degrees of freedom of its F."""
        return self.df - self.p + 1

    @property
    def is_joint(self) -> bool:
        """Whether all numbers are judged at once; it hangs on the lots counted, never on how far one lies off."""
        return self.tail_df >= JOINT_DF

    @property
    def sd(self) -> "Array":
        """Standard deviation of a new lot about the mean, which is itself uncertain, shape (p,)."""
        import numpy as np  # noqa: PLC0415 - a web process starts without numpy

        return np.asarray(np.sqrt(np.diagonal(self.total) / self.df * (1 + 1 / self.past.n)))


def hold(past: Past, base: Base | None, least: Sequence[float] = ()) -> Held | None:
    """Hold a line's own spread together with that of all lines.

    Args:
        past: the line's own lots.
        base: the spread of all lines, if there is one.
        least: the smallest standard deviation that can be told from measuring, one for each number; none if empty.

    Returns:
        None where both together are too few to say anything.

    Source:
        Predictive distribution of a normal sample with an inverse Wishart spread: Gelman et al., "Bayesian Data
        Analysis", 3rd ed. (2013), 3.6; for one number: Smyth, "Linear models and empirical Bayes methods for
        assessing differential expression", Stat. Appl. Genet. Mol. Biol. 3 (2004) article 3 (both from memory).
    """
    df = past.df + (base.df if base else 0)
    total = past.squares + base.df * base.covariance if base else past.squares
    total = _lifted(total, [df * sd**2 for sd in least]) if least else total
    return Held(past, total, df, base) if df >= LEAST_DF and _has_spread(total) else None


def far(values: Sequence[float], held: Held) -> Far:
    """Say how far a lot is from a line.

    Args:
        values: p finite numbers.
        held: the line's past without this lot, with its spread.

    Raises:
        ValueError: a number is not finite, or there are not p.

    Source: Hotelling, "The generalization of Student's ratio", Ann. Math. Statist. 2 (1931) 360-378: a future
        observation by T² with factor n / (n + 1); a line's own spread alone gives exactly that.
    """
    x = _checked(values, held)[None, :]
    squared = squares_off(x, held)
    return Far(
        squared=float(squared[0]), f=float(squared[0]) * held.tail_df / (held.df * held.p), p=held.p, n=held.past.n,
        df=held.df, tail=float(tails_of(x, held)[0]), off=_floats(x[0] - held.past.mean), sd=_floats(held.sd),
        tails=_floats(each_tail(x, held)[0]), method=METHOD if held.is_joint else METHOD_EACH,
        own=_floats(held.past.squares.diagonal()), base=_floats(held.base.covariance.diagonal()) if held.base else (),
        base_df=held.base.df if held.base else 0.0, base_lines=held.base.lines if held.base else 0,
    )  # fmt: skip


def squares_off(rows: "Array", held: Held) -> "Array":
    """T² of many lots at once, shape (lots,)."""
    import numpy as np  # noqa: PLC0415 - a web process starts without numpy

    off = np.asarray(rows, dtype=float) - held.past.mean
    solved = np.linalg.solve(held.total, off.T).T
    return np.asarray((off * solved).sum(axis=1) * held.df / (1 + 1 / held.past.n))


def each_tail(rows: "Array", held: Held) -> "Array":
    """How often a lot of the line lies as far off in each number alone, to either side: t tails, shape (lots, p)."""
    import numpy as np  # noqa: PLC0415 - a web process starts without numpy
    from scipy.special import stdtr  # noqa: PLC0415 - a web process starts without scipy

    return np.asarray(2 * stdtr(held.df, -np.abs(rows - held.past.mean) / held.sd))


def tails_of(rows: "Array", held: Held) -> "Array":
    """How often a lot of the line lies as far off as each of many lots, shape (lots,)."""
    import numpy as np  # noqa: PLC0415 - a web process starts without numpy
    from scipy.special import fdtrc  # noqa: PLC0415 - a web process starts without scipy

    if held.is_joint:
        return np.asarray(fdtrc(held.p, held.tail_df, squares_off(rows, held) * held.tail_df / (held.df * held.p)))
    return np.asarray(np.minimum(1, each_tail(rows, held).min(axis=1) * held.p))


def log_density(rows: "Array", held: Held) -> "Array":
    """How densely lots of a line lie at each of these places, as a logarithm, shape (lots,).

    Multivariate t; where the numbers are judged one by one, each by its own t and their densities multiplied.

    Source: Gelman et al., "Bayesian Data Analysis", 3rd ed. (2013), 3.6, posterior predictive (from memory).
    """
    import numpy as np  # noqa: PLC0415 - a web process starts without numpy

    if not held.is_joint:
        off = (rows - held.past.mean) / held.sd
        return np.asarray((_log_t(off**2, 1, held.df) - np.log(held.sd)).sum(axis=1))
    _sign, size = np.linalg.slogdet(held.total * (1 + 1 / held.past.n) / held.tail_df)
    quadratic = squares_off(rows, held) / held.df * held.tail_df
    return np.asarray(_log_t(quadratic, held.p, held.tail_df) - size / 2)


def _log_t(quadratic: "Array", p: int, df: float) -> "Array":
    """Log density of the standard multivariate t of p numbers at this squared distance."""
    import numpy as np  # noqa: PLC0415 - a web process starts without numpy
    from scipy.special import gammaln  # noqa: PLC0415 - a web process starts without scipy

    flat = gammaln((df + p) / 2) - gammaln(df / 2) - p / 2 * np.log(df * np.pi)
    return np.asarray(flat - (df + p) / 2 * np.log1p(quadratic / df))


def own_squares(rows: "Array", held: Held) -> "Array":
    """T² of a line's own lots, each judged by the others, shape (lots,).

    Args:
        rows: the lots that `held.past` sums up, two or more.

    Returns:
        As if each lot were left out in turn, by the Sherman-Morrison formula; the base stays as it is.
    """
    import numpy as np  # noqa: PLC0415 - a web process starts without numpy

    n = held.past.n
    off = np.asarray(rows, dtype=float) - held.past.mean
    q = np.einsum("ij,ji->i", off, np.linalg.solve(held.total, off.T))
    without = q / np.maximum(1 - n / (n - 1) * q, 1e-12)
    # Left out, the mean moves away by n / (n - 1), and the new lot is judged by n - 1 others: factor (n - 1) / n.
    return np.asarray(without * (n / (n - 1)) ** 2 * (n - 1) / n * (held.df - 1))


def rank_tail(squared: float, own: "Array") -> float:
    """The share of a line's own lots, with this one, that lie at least as far off.

    Args:
        squared: T² of the lot.
        own: T² of the line's own lots, each judged by the others.

    Returns:
        (1 + those as far off) / (1 + all) [1]: among lots that could change places it is below any level no more
        often than that level says, whatever their distribution.

    Source: Vovk, Gammerman, Shafer, "Algorithmic Learning in a Random World" (2005), chapter 2; by each line on its
        own: chapter 4 (from memory).
    """
    import numpy as np  # noqa: PLC0415 - a web process starts without numpy

    return (1 + int(np.count_nonzero(own >= squared))) / (1 + len(own))


def all_tails(tails: Sequence[float]) -> float:
    """Hold several kinds of measurement together: the smallest tail times their number, 1 at most.

    Whatever binds the measurements to each other, this is below a level no more often than the level says.

    Raises:
        ValueError: there is none.

    Source: Bonferroni's inequality; Dunn, "Multiple comparisons among means", JASA 56 (1961) 52-64.
    """
    if not tails:
        raise ValueError("Hold one tail or more together.")
    return min(1.0, min(tails) * len(tails))


def shares(log_ratios: Sequence[float]) -> tuple[float, ...]:
    """Share a whole out by densities: each one's part, all lines thought equally likely before.

    Args:
        log_ratios: log density of each line, less any number that is the same for all.
    """
    import numpy as np  # noqa: PLC0415 - a web process starts without numpy

    ratios = np.asarray(log_ratios, dtype=float)
    parts = np.exp(ratios - ratios.max())
    return tuple(map(float, parts / parts.sum()))


def _checked(values: Sequence[float], held: Held) -> "Array":
    import numpy as np  # noqa: PLC0415 - a web process starts without numpy

    x = np.asarray(values, dtype=float)
    if x.shape != held.past.mean.shape or not np.isfinite(x).all():
        raise ValueError(f"Give {len(held.past.mean)} finite numbers; there were {list(values)}.")
    return x


def _floats(array: "Array") -> tuple[float, ...]:
    return tuple(map(float, array))


def _lifted(total: "Array", least: Sequence[float]) -> "Array":
    """Raise what lies on the diagonal to the least."""
    import numpy as np  # noqa: PLC0415 - a web process starts without numpy

    found = total.diagonal()
    return np.asarray(total + np.diag(np.maximum(found, least) - found))


def _has_spread(total: "Array") -> bool:
    import numpy as np  # noqa: PLC0415 - a web process starts without numpy

    scale = np.sqrt(total.diagonal())
    if not np.isfinite(total).all() or not (scale > 0).all():
        return False
    return len(total) == 1 or bool(np.linalg.det(total / np.outer(scale, scale)) > SINGULAR)
