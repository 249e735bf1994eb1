"""The likely range of a further value."""

import math
from statistics import mean, stdev

import pytest

from grading.stats.mean_range import mean_range
from grading.stats.next_one import next_one

# Extra sleep of ten patients, drug 2 less drug 1.
_SLEEP = (1.2, 2.4, 1.3, 1.3, 0.0, 1.0, 1.8, 0.8, 4.6, 1.4)


def test_of_two_values_nothing_is_said():
    assert next_one([0.4, 0.6]) is None


def test_values_that_agree_leave_no_doubt():
    found = next_one([0.5, 0.5, 0.5])
    assert found is not None
    assert (found.low, found.estimate, found.high) == (0.5, 0.5, 0.5)


@pytest.mark.outside(
    "Student, 'The probable error of a mean', Biometrika 6 (1908): mean 1.58, s 1.17 with n as divisor"
)
def test_mean_and_deviation_of_the_sleep_data_are_as_published():
    found = next_one(_SLEEP)
    assert found is not None
    assert found.estimate == pytest.approx(1.58)
    assert found.sd * math.sqrt(9 / 10) == pytest.approx(1.17, abs=0.005)


@pytest.mark.outside("scipy 1.17: scipy.stats.t.ppf(0.975, 9), the range of a further value by its definition")
@pytest.mark.parametrize("level", [0.5, 0.8, 0.95, 0.99])
def test_the_next_one_is_the_mean_with_its_own_spread_beside_it(level):
    from scipy.stats import t  # noqa: PLC0415

    found = next_one(_SLEEP, level)
    half = float(t.ppf((1 + level) / 2, 9)) * stdev(_SLEEP) * math.sqrt(1.1)
    assert found is not None
    assert (found.low, found.high) == pytest.approx((mean(_SLEEP) - half, mean(_SLEEP) + half))


def test_it_is_wider_than_the_range_of_the_mean_by_the_root_of_n_and_one():
    found = next_one(_SLEEP)
    of_mean = mean_range(mean(_SLEEP), stdev(_SLEEP), 10)
    assert found is not None
    assert (found.high - found.low) / (of_mean.high - of_mean.low) == pytest.approx(math.sqrt(11))


@pytest.mark.outside("Monte Carlo: 40,000 draws of n + 1 normal values, numpy default_rng(11)")
@pytest.mark.parametrize("n", [3, 5, 12])
def test_it_holds_the_next_one_as_often_as_it_says(n):
    import numpy as np  # noqa: PLC0415

    drawn = np.random.default_rng(11).normal(size=(40_000, n + 1))
    middle, sd = drawn[:, :n].mean(axis=1), drawn[:, :n].std(axis=1, ddof=1)
    one = next_one([float(each) for each in drawn[0, :n]])
    assert one is not None
    times = (one.high - one.estimate) / one.sd  # the same for every draw of n
    held = np.abs(drawn[:, n] - middle) <= times * sd
    assert float(held.mean()) == pytest.approx(0.95, abs=3 * math.sqrt(0.95 * 0.05 / 40_000))
