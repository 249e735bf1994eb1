"""Intraclass correlations against Shrout and Fleiss (1979), scipy, and simulations."""

import numpy as np
import pytest
from scipy import stats

from grading.stats.icc import iccs, mean_squares

SHROUT = [[9, 2, 5, 8], [6, 1, 3, 2], [8, 4, 6, 8], [7, 1, 2, 6], [10, 5, 6, 9], [6, 2, 4, 7]]
PAPER = "Shrout, Fleiss (1979) Psychol. Bull. 86:420-428, tables 2-4 (data and values from memory)"


@pytest.mark.outside(PAPER)
@pytest.mark.parametrize(
    ("name", "wanted"), [("between", 11.24167), ("within", 6.26389), ("graders", 32.48611), ("error", 1.01944)]
)
def test_it_gives_the_mean_squares_of_the_paper(name, wanted):
    assert round(getattr(iccs(SHROUT), name), 5) == wanted


@pytest.mark.outside(PAPER)
@pytest.mark.parametrize(
    ("form", "wanted"), [("1,1", 0.17), ("2,1", 0.29), ("3,1", 0.71), ("1,k", 0.44), ("2,k", 0.62), ("3,k", 0.91)]
)
def test_it_gives_the_correlations_of_the_paper(form, wanted):
    assert round(iccs(SHROUT).of(form).estimate, 2) == wanted


@pytest.mark.outside("Shrout, Fleiss (1979) data, recomputed with pingouin 0.7.0, four decimals")
@pytest.mark.parametrize(
    ("form", "wanted"),
    [("1,1", 0.1657), ("2,1", 0.2898), ("3,1", 0.7148), ("1,k", 0.4428), ("2,k", 0.6201), ("3,k", 0.9093)],
)
def test_it_gives_the_correlations_to_four_decimals(form, wanted):
    assert round(iccs(SHROUT).of(form).estimate, 4) == wanted


@pytest.mark.outside("Shrout, Fleiss (1979) data, 95 % ranges as reference software prints them (from memory)")
@pytest.mark.parametrize(
    ("form", "low", "high"),
    [
        ("1,1", -0.133, 0.72),
        ("2,1", 0.019, 0.76),
        ("3,1", 0.342, 0.95),
        ("1,k", -0.884, 0.91),
        ("2,k", 0.071, 0.93),
        ("3,k", 0.676, 0.99),
    ],
)
def test_it_gives_the_likely_ranges(form, low, high):
    found = iccs(SHROUT).of(form)
    assert (round(found.low, 3), round(found.high, 2)) == (low, high)


@pytest.mark.outside("Reference library: scipy.stats.f_oneway of the targets")
@pytest.mark.parametrize("seed", range(5))
def test_its_mean_squares_give_scipys_f(seed):
    rows = np.random.default_rng(seed).normal(size=(7, 4)) + np.arange(7)[:, None]
    between, within, _graders, _left = mean_squares(rows.tolist())
    assert between / within == pytest.approx(stats.f_oneway(*rows).statistic)


@pytest.mark.outside("Reference library: scipy.stats.ttest_rel; of two graders JMS / EMS is its t squared")
@pytest.mark.parametrize("seed", range(5))
def test_of_two_graders_their_mean_square_is_the_paired_t(seed):
    rows = np.random.default_rng(seed).normal(size=(9, 2)) + np.array([0, 0.4])
    _between, _within, graders, left = mean_squares(rows.tolist())
    assert graders / left == pytest.approx(stats.ttest_rel(rows[:, 0], rows[:, 1]).statistic ** 2)


def test_a_constant_difference_of_graders_costs_agreement_and_no_consistency():
    found = iccs([[1, 3], [2, 4], [5, 7]])
    assert found.of("3,1").estimate == found.of("3,1").low == 1
    assert found.of("2,1").estimate < 1


def test_there_is_nothing_to_share_out_where_all_readings_are_the_same():
    assert iccs([[2, 2], [2, 2]]) is None


@pytest.mark.parametrize("rows", [[[1, 2]], [[1], [2]], [[1, 2], [3]], [[1, float("nan")], [2, 3]]])
def test_it_refuses_a_table_that_is_not_full(rows):
    with pytest.raises(ValueError, match=r"two graders|finite"):
        iccs(rows)


@pytest.mark.parametrize(("form", "true"), [("2,1", 4 / 5.5), ("3,1", 4 / 5)])
def test_its_ranges_hold_the_truth_as_often_as_they_say(form, true):
    rng = np.random.default_rng(11)
    held = 0
    for _turn in range(600):
        rows = 2 * rng.normal(size=(15, 1)) + np.sqrt(0.5) * rng.normal(size=(1, 5)) + rng.normal(size=(15, 5))
        found = iccs(rows.tolist()).of(form)
        held += found.low <= true <= found.high
    # 3 Monte Carlo errors of 0.0089; Satterthwaite's road may hold it somewhat oftener.
    assert 0.95 - 0.027 <= held / 600 <= 0.98
