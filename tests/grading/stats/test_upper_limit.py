"""The one-sided exact upper limit."""

import numpy as np
import pytest
from scipy.stats import beta, binom

from grading.stats.upper_limit import to_show, upper_limit


@pytest.mark.outside("scipy.stats.beta as oracle: one-sided Clopper-Pearson upper limits")
@pytest.mark.parametrize("level", [0.9, 0.95, 0.99])
@pytest.mark.parametrize(("found", "n"), [(0, 59), (0, 299), (0, 3000), (1, 473), (7, 125), (1, 29), (29, 30)])
def test_the_limit_is_scipys(found, n, level):
    assert upper_limit(found, n, level).high == pytest.approx(beta.ppf(level, found + 1, n - found), rel=1e-9)


@pytest.mark.outside("numbers to look at with none found, (1 - p)^n <= 1 - C: commonly published 59, 299, 2995, 4603")
@pytest.mark.parametrize(
    ("share", "level", "n"),
    [(0.05, 0.95, 59), (0.01, 0.95, 299), (0.001, 0.95, 2995), (0.001, 0.99, 4603)],
)
def test_as_many_are_needed_as_is_commonly_published(share, level, n):
    assert to_show(share, level) == n
    assert upper_limit(0, n, level).high <= share < upper_limit(0, n - 1, level).high


def test_all_found_leaves_no_upper_limit():
    assert upper_limit(20, 20).high == 1


@pytest.mark.parametrize(("found", "n", "level"), [(-1, 10, 0.95), (11, 10, 0.95), (0, 0, 0.95), (0, 10, 1.0)])
def test_counts_that_cannot_be_raise(found, n, level):
    with pytest.raises(ValueError, match="lies between 0 and"):
        upper_limit(found, n, level)


@pytest.mark.parametrize("share", [0.0, 1.0])
def test_no_number_shows_nothing_at_all(share):
    with pytest.raises(ValueError, match="between 0 and 1"):
        to_show(share)


@pytest.mark.parametrize("p", [0.002, 0.01, 0.05])
def test_it_lies_above_the_true_share_as_often_as_it_says(p):
    n = 400
    limits = np.array([upper_limit(k, n).high for k in range(60)])
    k = np.arange(60)
    covered = float(binom.pmf(k, n, p)[limits >= p].sum())  # exact, not simulated
    assert covered >= 0.95
