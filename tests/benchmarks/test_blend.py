"""The mix that planning is timed on."""

from fractions import Fraction

from benchmarks.blend import LIMITS, LOTS, case
from grading.queries.mix_plan import Wanted, plan_mix
from grading.rules.mixing import broken


def test_the_timed_mix_has_limits_that_bind_and_holds_them_all() -> None:
    lots, limits = case()
    assert (len(lots), len(limits)) == (LOTS, LIMITS)
    masses = plan_mix(lots, limits, Wanted(None, ((1.0,) * LOTS,)))
    assert isinstance(masses, tuple)
    assert broken(limits, masses) == []
    near = [limit for limit in limits if limit.value(masses) > limit.bound * Fraction(999_999, 1_000_000)]
    assert near and sum(masses) < sum(lot.most for lot in lots)
