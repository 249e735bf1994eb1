"""How a line differs from the check in trials, honestly: over the plots that stood, and over site-years to come.

Two ranges that answer two questions. By plots: the plots of one rep stand side by side, so each rep gives a difference;
how much these scatter says how well the difference is known *in these site-years*. By site-years: each site-year gives
one difference; how much these scatter says what another year or site may bring, and takes three of them or more.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from inventory.rules.working import Step

BY_PLOTS = "paired plots of one rep, scatter pooled within site-years, Student's t"
BY_SITE_YEARS = "one difference a site-year, Student's t"
T_TEST = "Student, The probable error of a mean, 1908 (from memory)"
POOLED = "pooled within site-years as in an analysis of randomised blocks: Fisher, 1925 (from memory)"
FEWEST_SITE_YEARS = 3  # with two, one single difference would say how all years scatter. Ours, no source
FEWEST_FREEDOM = 2  # with one, the range is more than a dozen times as wide as the scatter. Ours, no source


@dataclass(frozen=True, slots=True)
class Difference:
    """A difference with its likely range; in the readings' unit.

    Attributes:
        estimate: mean over site-years of the line minus the check.
        low, high: its likely range.
        n: pairs of plots, or site-years.
        freedom: degrees of freedom of the scatter.
        level: of the range [1].
        method: `BY_PLOTS` or `BY_SITE_YEARS`.
    """

    estimate: float
    low: float
    high: float
    n: int
    freedom: int
    level: float
    method: str
    working: tuple[Step, ...]

    @property
    def is_apart(self) -> bool:
        """Whether the range leaves 0 out."""
        return self.low > 0 or self.high < 0


def by_plots(differences: Sequence[Sequence[float]], level: float = 0.95) -> Difference | None:
    """Give the difference over the site-years that were grown.

    Args:
        differences: for each site-year those of its reps, line minus check.
        level: 0 to 1, both excluded [1].

    Returns:
        The mean of the site-years' means; None where too few reps say how plots scatter.

    Raises:
        ValueError: a site-year without a rep, or a difference that is not finite.
    """
    _check(differences)
    freedom = sum(len(reps) - 1 for reps in differences)
    if freedom < FEWEST_FREEDOM:
        return None
    means = [math.fsum(reps) / len(reps) for reps in differences]
    around = math.fsum((x - mean) ** 2 for reps, mean in zip(differences, means, strict=True) for x in reps)
    variance = around / freedom
    se = math.sqrt(variance * math.fsum(1 / len(reps) for reps in differences)) / len(differences)
    n = sum(map(len, differences))
    basis = f"{n} pairs of plots in {len(differences)} site-years"
    scatter = Step(
        "scatter of one pair", f"sqrt({around:.6g} / {freedom}) = {math.sqrt(variance):.6g}", basis, source=POOLED
    )  # fmt: skip
    return _ranged(math.fsum(means) / len(means), se, n, freedom, level, BY_PLOTS, (scatter,))


def by_site_years(means: Sequence[float], level: float = 0.95) -> Difference | None:
    """Give the difference as another site or year may bring it.

    Args:
        means: one difference a site-year.

    Returns:
        None under three site-years: too few to say.

    Raises:
        ValueError: a difference that is not finite.
    """
    _check([means] if means else [])
    n = len(means)
    if n < FEWEST_SITE_YEARS:
        return None
    mean = math.fsum(means) / n
    sd = math.sqrt(math.fsum((x - mean) ** 2 for x in means) / (n - 1))
    scatter = Step("scatter of site-years", f"standard deviation {sd:.6g}", f"{n} site-years", source=T_TEST)
    return _ranged(mean, sd / math.sqrt(n), n, n - 1, level, BY_SITE_YEARS, (scatter,))


def _check(differences: Sequence[Sequence[float]]) -> None:
    if not all(differences) or not all(math.isfinite(x) for reps in differences for x in reps):
        raise ValueError("Each site-year has a difference or more, and all are finite numbers.")


def _ranged(  # noqa: PLR0917 - private, and each is a number of the formula
    mean: float, se: float, n: int, freedom: int, level: float, method: str, steps: tuple[Step, ...]
) -> Difference:
    from scipy.special import stdtrit  # noqa: PLC0415 - a web process starts without scipy

    t = float(stdtrit(freedom, (1 + level) / 2))
    low, high = mean - t * se, mean + t * se
    step = Step(
        "likely range", f"{mean:.6g} ± {t:.4f} × {se:.6g} = {low:.6g} to {high:.6g}",
        f"Student's t, {freedom} degrees of freedom", source=T_TEST,
    )  # fmt: skip
    return Difference(mean, low, high, n, freedom, level, method, (*steps, step))
