"""Paired differences and limits of agreement against Bland and Altman (1986), scipy and a simulation."""

import numpy as np
import pytest
from scipy import stats

from grading.stats.paired import paired

PAPER = "Bland, Altman (1986) Lancet i:307-310, two peak flow meters, 17 people (data and values from memory)"
LARGE = (494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427)
SMALL = (512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451)
METERS = [large - small for large, small in zip(LARGE, SMALL, strict=True)]


@pytest.mark.outside(PAPER)
@pytest.mark.parametrize(("name", "wanted"), [("estimate", -2.1), ("sd", 38.8), ("low", -22.0), ("high", 17.8)])
def test_it_gives_the_mean_difference_of_the_paper(name, wanted):
    assert round(getattr(paired(METERS), name), 1) == wanted


@pytest.mark.outside(PAPER)
@pytest.mark.parametrize(("place", "wanted"), [(0, -114.3), (1, -45.1), (2, 40.9), (3, 110.1)])
def test_it_gives_the_ranges_of_the_limits_of_the_paper(place, wanted):
    found = paired(METERS)
    ends = (*found.lower_range, *found.upper_range)
    # The paper takes 2 SD for 1.96 (1.6 l/min here) and 3 for 1 + 1.96^2 n / (2 (n - 1)) (0.2 l/min).
    assert ends[place] == pytest.approx(wanted, abs=1.9)


@pytest.mark.outside("Reference library: scipy.stats.ttest_1samp, its confidence interval")
@pytest.mark.parametrize("n", [2, 3, 8, 40])
def test_its_range_is_scipys(n):
    drawn = np.random.default_rng(n).normal(0.3, 2, size=n)
    ends = stats.ttest_1samp(drawn, 0).confidence_interval(0.95)
    found = paired(drawn.tolist())
    assert (found.low, found.high) == pytest.approx((ends.low, ends.high))


def test_ranges_hold_the_truth_as_often_as_they_say():
    drawn = np.random.default_rng(2).normal(0.5, 1, size=(2000, 12))
    found = [paired(row.tolist()) for row in drawn]
    means = sum(each.low <= 0.5 <= each.high for each in found) / 2000
    limits = sum(each.upper_range[0] <= 0.5 + 1.959964 <= each.upper_range[1] for each in found) / 2000
    assert means == pytest.approx(0.95, abs=0.015)  # 3 Monte Carlo errors
    assert limits == pytest.approx(0.95, abs=0.03)  # the range of a limit is an approximation


def test_it_says_whether_the_two_stand_apart():
    assert paired([1, 1.1, 0.9]).is_apart
    assert not paired([1, -1, 0.2]).is_apart


@pytest.mark.parametrize("differences", [[], [1], [1, float("nan")]])
def test_it_needs_two_finite_differences(differences):
    with pytest.raises(ValueError, match="Two differences"):
        paired(differences)
