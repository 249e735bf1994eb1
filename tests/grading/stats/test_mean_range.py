"""The likely range of a mean."""

import numpy as np
import pytest
from scipy import stats

from grading.stats.mean_range import mean_range

# Quantiles of Student's t at 0.975 as every table prints them.
TABLE = [(1, 12.706), (2, 4.303), (3, 3.182), (4, 2.776), (5, 2.571), (7, 2.365), (9, 2.262), (15, 2.131), (30, 2.042)]


@pytest.mark.outside("Student's t, upper 2.5 % points: Fisher and Yates, Statistical Tables, table III (from memory)")
@pytest.mark.parametrize(("degrees", "t"), TABLE)
def test_the_quantile_is_that_of_the_printed_table(degrees, t):
    assert mean_range(10, 1, degrees + 1).t == pytest.approx(t, abs=5e-4)


@pytest.mark.outside("scipy.stats.t.interval")
@pytest.mark.parametrize(
    "readings", [(18.0, 18.1, 18.3, 18.4), (0.2224, 0.2134, 0.213, 0.2116, 0.2145), (5.0, 5.0, 5.0)]
)
@pytest.mark.parametrize("level", [0.9, 0.95, 0.99])
def test_the_range_is_that_of_a_second_reading(readings, level):
    found = mean_range(np.mean(readings), np.std(readings, ddof=1), len(readings), level)
    if found.low == found.high:
        assert found.low == pytest.approx(5)
        return
    known = stats.t.interval(level, len(readings) - 1, np.mean(readings), stats.sem(readings))
    assert (found.low, found.high) == (pytest.approx(known[0], rel=1e-12), pytest.approx(known[1], rel=1e-12))


def test_it_holds_the_true_mean_as_often_as_it_says():
    drawn = np.random.default_rng(3).normal(18.2, 0.3, size=(4000, 4))
    held = [
        found.low <= 18.2 <= found.high
        for found in (mean_range(row.mean(), row.std(ddof=1), 4) for row in drawn)
    ]  # fmt: skip
    assert abs(np.mean(held) - 0.95) < 3 * (0.95 * 0.05 / 4000) ** 0.5


@pytest.mark.parametrize(("sd", "n", "level"), [(1, 1, 0.95), (-1, 4, 0.95), (1, 4, 1), (float("nan"), 4, 0.95)])
def test_what_has_no_range_is_refused(sd, n, level):
    with pytest.raises(ValueError, match="has no range"):
        mean_range(18, sd, n, level)
