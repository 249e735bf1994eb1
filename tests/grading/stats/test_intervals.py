"""Ranges of counted shares: published cases, the library's own, and how often they hold the true share."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from grading.stats.intervals import METHODS, clopper_pearson, lower_limit, upper_limit, wilson_interval

# Cases of Newcombe (1998), Table I, and further ones: found, of, Wilson's limits, Clopper-Pearson's limits.
CASES = """
81 263 .2553 .3662 .2527 .3676
15 148 .0624 .1605 .0578 .1617
0 20   0     .1611 0     .1684
1 29   .0061 .1718 .0009 .1776
0 10   0     .2775 0     .3085
29 30  .8333 .9941 .8278 .9992
3 100  .0103 .0845 .0062 .0852
7 125  .0274 .1111 .0228 .1120
0 300  0     .0126 0     .0122
2 1000 .0005 .0073 .0002 .0072
"""
ROWS = [tuple(float(word) for word in line.split()) for line in CASES.strip().split("\n")]
NEWCOMBE = "Newcombe (1998) Statist. Med. 17:857-872, Table I (from memory; recomputed with statsmodels and scipy)"


@pytest.mark.outside(NEWCOMBE)
@pytest.mark.parametrize(("found", "n", "low", "high"), [row[:4] for row in ROWS])
def test_it_gives_wilsons_limits_of_the_published_cases(found, n, low, high):
    interval = wilson_interval(found, n)
    assert (round(interval.low, 4), round(interval.high, 4)) == (low, high)


@pytest.mark.outside(NEWCOMBE)
@pytest.mark.parametrize(("found", "n", "low", "high"), [(*row[:2], *row[4:]) for row in ROWS])
def test_it_gives_the_exact_limits_of_the_published_cases(found, n, low, high):
    interval = clopper_pearson(found, n)
    assert (round(interval.low, 4), round(interval.high, 4)) == (low, high)


@pytest.mark.outside("Exact one-sided 95 % upper limits, recomputed with scipy 1.17.1: beta.ppf(0.95, x + 1, n - x)")
@pytest.mark.parametrize(
    ("found", "n", "pct"),
    [
        *((0, 59, "4.951"), (0, 299, "0.9969"), (0, 300, "0.9936"), (0, 3000, "0.0998"), (1, 473, "0.99897")),
        (7, 125, "10.261"),
    ],
)
def test_it_gives_the_exact_upper_limit(found, n, pct):
    assert upper_limit(found, n) * 100 == pytest.approx(float(pct), abs=0.51 * 10.0 ** -len(pct.partition(".")[2]))


@pytest.mark.outside("Reference library: scipy.stats.binomtest, methods exact and wilson")
@given(st.integers(1, 400), st.floats(0, 1), st.sampled_from([0.8, 0.9, 0.95, 0.99]))
def test_it_agrees_with_scipy_for_any_count(n, part, level):
    found = round(n * part)
    ours = (clopper_pearson(found, n, level), wilson_interval(found, n, level))
    test = stats.binomtest(found, n)
    for mine, theirs in zip(
        ours, (test.proportion_ci(level, "exact"), test.proportion_ci(level, "wilson")), strict=True
    ):
        assert mine.low == pytest.approx(theirs.low, abs=1e-9)
        assert mine.high == pytest.approx(theirs.high, abs=1e-9)


def covered(method, n, shares, level=0.95):
    """How often each share is held: summed over all counts, without chance."""
    counts = np.arange(n + 1)
    ranges = [METHODS[method](float(found), float(n), level) for found in counts]
    low, high = (np.array([getattr(one, end) for one in ranges]) for end in ("low", "high"))
    holds = (low <= shares[:, None]) & (shares[:, None] <= high)
    return (stats.binom.pmf(counts, n, shares[:, None]) * holds).sum(axis=1)


SHARES = np.linspace(0.002, 0.998, 499)


@pytest.mark.parametrize("n", [10, 60, 500])
def test_the_exact_range_never_holds_the_true_share_less_often_than_it_says(n):
    assert covered("clopper-pearson", n, SHARES).min() >= 0.95


@pytest.mark.parametrize("n", [10, 60, 500])
@pytest.mark.parametrize("method", ["wilson", "jeffreys"])
def test_wilson_and_jeffreys_hold_the_true_share_as_often_as_they_say_on_average(method, n):
    assert covered(method, n, SHARES).mean() == pytest.approx(0.95, abs=0.012)


def test_ranges_hold_the_true_share_in_seeded_samples():
    chance, samples, n, share = np.random.default_rng(4), 20_000, 400, 0.03
    found = chance.binomial(n, share, samples)
    for method in METHODS:
        ranges = {int(k): METHODS[method](float(k), float(n), 0.95) for k in np.unique(found)}
        held = np.mean([ranges[int(k)].low <= share <= ranges[int(k)].high for k in found])
        exact = float(covered(method, n, np.array([share]))[0])
        assert held == pytest.approx(exact, abs=4 * (0.05 / samples) ** 0.5)


def test_wald_is_nowhere_and_nothing_found_is_never_nothing_there():
    assert set(METHODS) == {"wilson", "clopper-pearson", "jeffreys"}
    assert all(method(0.0, 20.0, 0.95).high > 0.1 for method in METHODS.values())
    assert all(method(20.0, 20.0, 0.95).high == 1 for method in METHODS.values())
    assert (upper_limit(5, 5), lower_limit(0, 5)) == (1, 0)
    assert lower_limit(5, 5) == pytest.approx(1 - upper_limit(0, 5))


@pytest.mark.parametrize(("found", "n", "level"), [(1, 0, 0.95), (-1, 9, 0.95), (10, 9, 0.95), (1, 9, 1), (1, 9, 0)])
def test_it_takes_no_counts_or_levels_that_cannot_be(found, n, level):
    for method in METHODS.values():
        with pytest.raises(ValueError, match=r"Found lies|level|confidence"):
            method(found, n, level)


def test_it_takes_no_number_that_is_none():
    with pytest.raises(ValueError, match="Found lies"):
        clopper_pearson(float("nan"), 10)
