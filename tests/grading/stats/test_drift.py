"""The chart of differences against the e-Handbook's example, and how often it calls for nothing."""

import numpy as np
import pytest

from grading.stats.drift import FEWEST, NEWEST, drift, ewma, mean_sd

HANDBOOK = "NIST/SEMATECH e-Handbook 6.3.2.4, EWMA control charts, example (from memory)"
VALUES = (52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4,
          53.6, 52.1)  # fmt: skip
MEANS = (50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36, 49.52, 50.05, 49.38, 49.92,
         50.73, 51.23, 51.94, 51.99)  # fmt: skip


@pytest.mark.outside(HANDBOOK)
@pytest.mark.parametrize(("place", "wanted"), list(enumerate(MEANS)))
def test_it_gives_the_running_means_of_the_handbook(place, wanted):
    # The handbook rounds each mean to two decimals and goes on from there.
    assert ewma(VALUES, 0.3, 50)[place] == pytest.approx(wanted, abs=0.011)


@pytest.mark.outside(HANDBOOK)
@pytest.mark.parametrize(("sign", "wanted"), [(1, 52.5884), (-1, 47.4115)])
def test_it_gives_the_settled_limits_of_the_handbook(sign, wanted):
    assert 50 + sign * 3 * mean_sd(2.0539, 0.3) == pytest.approx(wanted, abs=1.1e-4)


def test_limits_settle_as_time_goes():
    assert mean_sd(1, 0.2, 1) == pytest.approx(0.2)
    assert mean_sd(1, 0.2, 200) == pytest.approx(mean_sd(1, 0.2))


def test_a_shift_is_found_and_placed():
    calm = [0.1, -0.1, 0.12, -0.08, 0.1, -0.1, 0.09, -0.11, 0.1, -0.1]
    found = drift([*calm, 0.4, 0.5, 0.4, 0.5])
    assert found.first_out in (11, 12, 13)
    assert drift(calm).first_out is None


def test_too_few_are_not_judged():
    found = drift([5.0] * (FEWEST - 1))
    assert (found.too_few, found.points, found.first_out) == (True, (), None)


def test_only_the_newest_are_judged():
    found = drift([9.0] * 20 + [0.1, -0.1] * (NEWEST // 2))
    assert (found.n, found.first_out) == (NEWEST, None)


def test_no_difference_at_all_is_no_drift():
    assert drift([0.0] * 10).first_out is None


@pytest.mark.parametrize("n", [8, 15, 30])
def test_it_calls_no_more_often_for_nothing_than_it_says(n):
    drawn = np.random.default_rng(n).normal(0, 0.3, size=(2000, n))
    called = sum(drift(row.tolist()).first_out is not None for row in drawn) / 2000
    assert called <= 1 / 12


def test_it_refuses_what_is_no_number():
    with pytest.raises(ValueError, match="finite"):
        drift([float("nan")] * 9)
