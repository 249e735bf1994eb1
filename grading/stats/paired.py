"""How two who measured the same things differ: their mean difference, and between which limits single ones lie.

scipy is imported inside the functions.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

from inventory.rules.working import Step

T_TEST = "Student, The probable error of a mean, 1908 (from memory)"
BLAND = "Bland, Altman, Statistical methods for assessing agreement between two methods, 1986 (from memory)"


@dataclass(frozen=True, slots=True)
class Paired:
    """Paired differences with their limits of agreement; all in the readings' unit.

    Attributes:
        estimate: mean difference.
        low, high: its likely range, by Student's t.
        sd: standard deviation of the differences.
        lower, upper: the limits of agreement: between them lie 95 in 100 single differences.
        lower_range, upper_range: likely range of each limit.
        n: pairs.
        level: of ranges and limits [1].
    """

    estimate: float
    low: float
    high: float
    sd: float
    lower: float
    upper: float
    lower_range: tuple[float, float]
    upper_range: tuple[float, float]
    n: int
    level: float
    method: str
    working: tuple[Step, ...]

    @property
    def is_apart(self) -> bool:
        """Whether the likely range of the mean difference leaves 0 out."""
        return self.low > 0 or self.high < 0


def paired(differences: Sequence[float], level: float = 0.95) -> Paired:
    """Say how differences of pairs lie.

    Args:
        differences: second minus first, at least 2.
        level: 0 to 1, both excluded [1].

    Raises:
        ValueError: fewer than 2 differences, or one is not finite.

    Source: Bland, Altman 1986, Lancet i:307-310: mean ± 1.96 SD; standard error of a limit sqrt(3 SD^2 / n), there
        rounded from SD sqrt(1 / n + z^2 / (2 (n - 1))) of their paper of 1999, which is used here (from memory).
    """
    n = len(differences)
    if n < 2 or not all(map(math.isfinite, differences)) or not 0 < level < 1:
        raise ValueError("Two differences or more are needed, all of them finite numbers.")
    from scipy.special import stdtrit  # noqa: PLC0415 - a web process starts without scipy

    mean = math.fsum(differences) / n
    sd = math.sqrt(math.fsum((x - mean) ** 2 for x in differences) / (n - 1))
    t, z = float(stdtrit(n - 1, (1 + level) / 2)), NormalDist().inv_cdf((1 + level) / 2)
    se, se_limit = sd / math.sqrt(n), sd * math.sqrt(1 / n + z**2 / (2 * (n - 1)))
    low, high, lower, upper = mean - t * se, mean + t * se, mean - z * sd, mean + z * sd
    steps = (
        Step("mean difference", f"sum of {n} differences / {n} = {mean:.6g}", source=T_TEST),
        Step(
            "its likely range", f"{mean:.6g} ± {t:.4f} × {sd:.6g} / sqrt({n}) = {low:.6g} to {high:.6g}",
            f"Student's t, {n - 1} degrees of freedom", source=T_TEST,
        ),
        Step("limits of agreement", f"{mean:.6g} ± {z:.4f} × {sd:.6g} = {lower:.6g} to {upper:.6g}", source=BLAND),
        Step(
            "likely range of a limit",
            f"± {t:.4f} × {sd:.6g} × sqrt(1 / {n} + {z:.4f}^2 / (2 × {n - 1})) = ± {t * se_limit:.6g}",
            source="Bland, Altman, Measuring agreement in method comparison studies, 1999 (from memory)",
        ),
    )  # fmt: skip
    ends = [(limit - t * se_limit, limit + t * se_limit) for limit in (lower, upper)]
    method = "paired differences, Student's t; limits of agreement"
    return Paired(mean, low, high, sd, lower, upper, ends[0], ends[1], n, level, method, steps)
