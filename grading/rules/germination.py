"""Germination tests: the mean, the range that the replicates may spread over, and the verdict."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from grading.rules.mistakes import ReplicatesWrong
from inventory.rules.mistakes import Refused
from inventory.rules.rounding import half_up

SEEDS_EACH = 100
SOURCE = "7 CFR 201.55 (65 FR 1707, 2000)"
# 7 CFR 201.55: lowest mean of a row [%] and the most the replicates may differ [points]. A mean below 51 has the row of
# its complement, 101 less the mean. The rows are law, not a formula: a recomputation misses 13 of 49 by one.
FOUR = (
    (99, 5),
    (98, 6),
    (97, 7),
    (96, 8),
    (95, 9),
    (93, 10),
    (91, 11),
    (89, 12),
    (87, 13),
    (84, 14),
    (81, 15),
    (78, 16),
    (73, 17),
    (67, 18),
    (56, 19),
    (51, 20),
)
TWO = ((96, 6), (95, 7), (93, 8), (90, 9), (88, 10), (84, 11), (81, 12), (76, 13), (69, 14), (55, 15), (51, 16))
HIGHEST = {4: 99, 2: 97}  # means that the tables reach


class Verdict(StrEnum):
    """What the replicates say about the test itself."""

    STANDS = "stands"
    RETEST = "retest"
    OUTSIDE_TABLE = "outside the table"


@dataclass(frozen=True, slots=True)
class GerminationTest:
    """One germination test by the published table.

    Attributes:
        normal: normal seedlings counted in each replicate of 100.
        mean_pct: whole per cent, half up.
        spread: highest less lowest replicate [points].
        allowed: the most the table allows at that mean, None where it has no row [points].
        verdict: whether the test stands.
    """

    normal: tuple[int, ...]
    mean_pct: Decimal
    spread: int
    allowed: int | None
    verdict: Verdict
    source: str = SOURCE

    @property
    def found(self) -> int:
        """Normal seedlings in all."""
        return sum(self.normal)

    @property
    def seeds(self) -> int:
        """Seeds tested in all."""
        return SEEDS_EACH * len(self.normal)


def germination_test(normal: Sequence[int]) -> GerminationTest:
    """Judge the replicates of one test.

    Args:
        normal: normal seedlings of 4 or 2 replicates of 100 seeds, each 0 to 100.

    Raises:
        Refused: another number of replicates, or a count outside 0 to 100.

    A spread equal to the limit passes. Means outside the table (100 and 0; of two replicates also 98, 99, 2, 3) have no
    row: the verdict says so.

    Source: 7 CFR 201.55, table; the mean is rounded to the nearest whole per cent.
    """
    _check(normal)
    mean = half_up(Fraction(sum(normal), len(normal)), 0)
    spread = max(normal) - min(normal)
    allowed = allowed_spread(int(mean), len(normal))
    return GerminationTest(tuple(normal), mean, spread, allowed, _verdict(spread, allowed))


def allowed_spread(mean_pct: int, replicates: int) -> int | None:
    """Give the most that replicates of 100 may differ at a mean.

    Args:
        mean_pct: whole per cent, 0 to 100.
        replicates: 4 or 2.

    Returns:
        Points, or None where the table has no row.

    Source: 7 CFR 201.55.
    """
    mean = max(mean_pct, 101 - mean_pct)
    if mean > HIGHEST[replicates]:
        return None
    return next(limit for lowest, limit in (FOUR if replicates == 4 else TWO) if mean >= lowest)


def whole_months(since: date, until: date) -> int:
    """Count the whole months between two days; until is not before since."""
    months = (until.year - since.year) * 12 + until.month - since.month
    return months - 1 if until.day < since.day and not _is_last(until) else months


def _is_last(day: date) -> bool:
    return (day + timedelta(days=1)).month != day.month


def is_too_near_to_call(chance: float) -> bool:
    """Say whether a chance from 5 to 95 in 100 leaves the question open (our own wording, no source)."""
    return 0.05 <= chance <= 0.95


def _verdict(spread: int, allowed: int | None) -> Verdict:
    if allowed is None:
        return Verdict.OUTSIDE_TABLE
    return Verdict.STANDS if spread <= allowed else Verdict.RETEST


def _check(normal: Sequence[int]) -> None:
    mistakes = []
    if len(normal) not in HIGHEST:
        says = f"The test has {len(normal)} replicates. The table judges 4 or 2 replicates of 100 seeds."
        mistakes.append(ReplicatesWrong(f"{says} Enter all of them, or test again."))
    mistakes += [
        ReplicatesWrong(f"Replicate {place} counts {count!r}. Of 100 seeds, 0 to 100 can be normal: count again.")
        for place, count in enumerate(normal, 1)
        if isinstance(count, bool) or not isinstance(count, int) or not 0 <= count <= SEEDS_EACH
    ]
    if mistakes:
        raise Refused(mistakes)
