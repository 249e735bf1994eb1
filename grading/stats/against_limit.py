"""A count against the most that a station allows: within, over, or too near to call by the one-sided upper limit."""

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from grading.stats.upper_limit import UpperLimit, upper_limit
from inventory.rules.rounding import half_up
from inventory.rules.working import Step

EXACT = "one-sided exact limit of a binomial share: Clopper and Pearson (1934), from memory"


class Judgement(StrEnum):
    """What a count says about a limit."""

    NO_LIMIT = "no limit is set"
    OVER = "over the limit"
    NONE_FOUND = "none found"
    WITHIN = "within the limit"
    TOO_NEAR = "too near to call"


@dataclass(frozen=True, slots=True)
class Judged:
    """A count with what it says.

    Attributes:
        upper: the most that the lot's share can be.
        most_pct: what is allowed [%]; None where no limit is set.
        judgement: over where the share found is over the limit; where none is allowed, none found or over; within only
            where the upper limit is.
    """

    found: int
    upper: UpperLimit
    most_pct: Fraction | None
    judgement: Judgement
    working: tuple[Step, ...]

    @property
    def upper_pct(self) -> str:
        """The upper limit with two figures at least: "0.75"."""
        return percent_text(self.upper.high)


def judge(found: int, n: int, most_pct: Fraction | None = None, level: float = 0.95) -> Judged:
    """Hold a count against a limit.

    Args:
        found: 0 to n.
        n: looked at, 1 or more.
        most_pct: allowed, 0 to 100 [%]; None where no limit is set.
        level: of the upper limit [1].

    Raises:
        ValueError: counts outside their range.
    """
    upper = upper_limit(found, n, level)
    formula = f"{found} of {n} found: up to {percent_text(upper.high)} % at {level:g}"
    share = f"{found} / {n} × 100 = {half_up(Fraction(found * 100, n), 3)} %"
    steps = (Step("found", share, source="count"), Step("upper limit", formula, source=EXACT))
    return Judged(found, upper, most_pct, _judgement(found, n, upper.high, most_pct), steps)


def percent_text(share: float) -> str:
    """Write a share in per cent, to two decimals, or to three figures where it is small."""
    percent = share * 100
    return f"{percent:.2f}" if percent >= 0.1 else f"{percent:.3g}"


def _judgement(found: int, n: int, high: float, most_pct: Fraction | None) -> Judgement:
    if most_pct is None:
        return Judgement.NO_LIMIT
    if Fraction(found * 100, n) > most_pct:
        return Judgement.OVER
    if most_pct == 0:
        return Judgement.NONE_FOUND
    return Judgement.WITHIN if high * 100 <= float(most_pct) else Judgement.TOO_NEAR
