"""Portions laid together: agreement, overdispersion, and how often the pooled range holds."""

import numpy as np
import pytest
from scipy import stats

from grading.stats.intervals import wilson_interval
from grading.stats.together import together


@pytest.mark.outside("Replicates 88, 92, 95, 90 of 100: chi-square on 3 df 3.3503, p 0.3407 (recomputed with scipy)")
def test_it_gives_the_chi_square_of_four_replicates():
    four = together([(88, 100), (92, 100), (95, 100), (90, 100)])
    assert (round(four.chi_square, 4), four.degrees, round(four.p, 4)) == (3.3503, 3, 0.3407)
    assert four.agree and four.interval.estimate == 0.9125


@pytest.mark.outside("Reference library: scipy.stats.chi2_contingency without continuity correction")
@pytest.mark.parametrize("portions", [[(49, 2577), (90, 2579)], [(3, 100), (9, 250), (1, 40)], [(5, 50)] * 4])
def test_its_chi_square_is_that_of_the_table(portions):
    ours = together(portions)
    table = [[k for k, _ in portions], [n - k for k, n in portions]]
    theirs = stats.chi2_contingency(table, correction=False)
    assert (ours.chi_square, ours.p) == (pytest.approx(theirs.statistic, abs=1e-9), pytest.approx(theirs.pvalue))


def test_portions_that_agree_are_one_larger_portion():
    both = together([(50, 2500), (50, 2500)])
    one = wilson_interval(100, 5000)
    assert both.agree and (both.overdispersion, both.between_sd) == (1, 0)
    assert (both.interval.low, both.interval.high) == (pytest.approx(one.low), pytest.approx(one.high))


def test_portions_that_disagree_widen_the_range():
    apart = together([(20, 2500), (80, 2500)])
    assert not apart.agree and apart.between_sd > 0.01
    assert apart.interval.high - apart.interval.low > 3 * (wilson_interval(100, 5000).high - 0.02)


def test_nothing_found_in_any_portion_agrees():
    none = together([(0, 100), (0, 200)])
    assert none.agree and 0 == none.interval.low < none.interval.high < 0.02


def held(share, rho, *, portions, n, seed, draws=4_000):
    """How often the range holds the mean share of lots whose portions spread around it (rho 0: not at all)."""
    chance = np.random.default_rng(seed)
    size = (draws, portions)
    own = np.full(size, share) if rho == 0 else chance.beta(share * (1 / rho - 1), (1 - share) * (1 / rho - 1), size)
    found = chance.binomial(n, own)
    ranges = (together([(int(k), n) for k in row]).interval for row in found)
    return np.mean([one.low <= share <= one.high for one in ranges])


@pytest.mark.parametrize("portions", [2, 4])
def test_the_range_of_an_even_lot_holds_at_least_95_times_in_100(portions):
    assert held(0.03, 0, portions=portions, n=1000, seed=7) >= 0.95 - 4 * (0.05 * 0.95 / 4_000) ** 0.5


def test_the_range_of_an_uneven_lot_holds_far_oftener_than_the_beans_alone_would():
    chance = np.random.default_rng(8)
    own = chance.beta(0.03 * 499, 0.97 * 499, (4_000, 4))
    found = chance.binomial(1000, own).sum(axis=1)
    as_one = np.mean([one.low <= 0.03 <= one.high for one in (wilson_interval(int(k), 4000) for k in found)])
    assert as_one < 0.80
    assert held(0.03, 0.002, portions=4, n=1000, seed=8) > 0.90


@pytest.mark.parametrize(
    "portions", [[], [(1, 10)], [(11, 10), (1, 10)], [(1, 0), (1, 10)], [(float("nan"), 9), (1, 9)]]
)
def test_it_takes_no_portions_that_cannot_be(portions):
    with pytest.raises(ValueError, match="two or more"):
        together(portions)
