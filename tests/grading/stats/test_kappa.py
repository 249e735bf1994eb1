"""Cohen's kappa against published tables, and where it is not defined."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from grading.stats.kappa import WEIGHTS, cohen

TEACHING = [[20, 5], [10, 15]]
FCE_LIKE = [[106, 10, 4], [22, 28, 10], [2, 12, 6]]
FLEISS = [[75, 1, 4], [5, 4, 1], [0, 0, 10]]
ALTMAN = [[21, 12, 0, 0], [4, 17, 1, 0], [3, 9, 15, 2], [0, 0, 0, 1]]


@pytest.mark.outside("Common teaching example of kappa, 2 x 2, n = 50 (from memory)")
@pytest.mark.parametrize(
    ("name", "wanted"),
    [
        ("observed", 0.70),
        ("expected", 0.50),
        ("estimate", 0.4000),
        ("se", 0.12700),
        ("se_if_chance", 0.13856),
        ("low", 0.1511),
        ("high", 0.6489),
    ],
)
def test_it_gives_the_teaching_example(name, wanted):
    # Four decimals are printed, five of the standard errors.
    assert getattr(cohen(TEACHING), name) == pytest.approx(wanted, abs=6e-5)


@pytest.mark.outside("Pair of 2 x 2 tables with equal agreement and different kappa, n = 100 (from memory)")
@pytest.mark.parametrize(("table", "kappa"), [([[45, 15], [25, 15]], 0.1304), ([[25, 35], [5, 35]], 0.2593)])
def test_equal_agreement_may_have_another_kappa(table, kappa):
    found = cohen(table)
    assert (round(found.estimate, 4), found.observed, found.same, found.n) == (kappa, pytest.approx(0.6), 60, 100)


@pytest.mark.outside(
    "Fleiss, Cohen, Everitt (1969) Psychol. Bull. 72:323-327, kind of 3 x 3 example, n = 200 (from memory)"
)
@pytest.mark.parametrize(("weights", "kappa"), [("none", 0.42857), ("linear", 0.49231), ("quadratic", 0.56667)])
def test_it_weighs_pairs_by_how_far_they_lie_apart(weights, kappa):
    assert round(cohen(FCE_LIKE, weights).estimate, 5) == kappa


@pytest.mark.outside(
    "Fleiss, Cohen, Everitt (1969) Psychol. Bull. 72:323-327, kind of 3 x 3 example, n = 200 (from memory)"
)
def test_it_gives_the_standard_error_of_a_larger_table():
    assert round(cohen(FCE_LIKE).se, 5) == 0.05371


@pytest.mark.outside(
    "Fleiss, Statistical Methods for Rates and Proportions, 1981, ch. 13, two raters, n = 100 (from memory)"
)
@pytest.mark.parametrize(
    ("name", "wanted"),
    [("observed", 0.89), ("expected", 0.66), ("estimate", 0.68), ("se_if_chance", 0.076), ("se", 0.087)],
)
def test_it_gives_the_example_of_a_textbook(name, wanted):
    digits = 3 if "se" in name.split("_") else 2
    assert getattr(cohen(FLEISS), name) == pytest.approx(wanted, abs=0.75 * 10**-digits)


@pytest.mark.outside("Altman, Practical Statistics for Medical Research, 1991, section 14.3, n = 85 (from memory)")
@pytest.mark.parametrize(("weights", "kappa"), [("none", 0.47), ("linear", 0.57)])
def test_it_gives_the_example_of_two_readers_of_four_words(weights, kappa):
    assert round(cohen(ALTMAN, weights).estimate, 2) == kappa


@pytest.mark.parametrize("weights", WEIGHTS)
def test_it_is_not_defined_where_both_always_say_one_word(weights):
    found = cohen([[12, 0], [0, 0]], weights)
    assert (found.estimate, found.low, found.high, found.se) == (None, None, None, None)
    assert (found.observed, found.expected, found.same, found.n) == (1, 1, 12, 12)
    assert "not defined" in found.working[-1].formula


def test_it_is_0_and_defined_where_one_grader_has_a_single_word():
    found = cohen([[9, 0], [1, 0]])
    assert found.estimate == pytest.approx(0)
    assert found.observed == 0.9


def test_a_rare_defect_has_a_low_kappa_and_a_high_agreement():
    found = cohen([[96, 2], [2, 0]])
    assert found.observed == 0.96
    assert found.estimate < 0


@given(st.lists(st.integers(0, 50), min_size=4, max_size=4).filter(lambda cells: cells[0] + cells[3] < sum(cells)))
def test_of_two_words_all_weights_agree_and_turning_the_table_changes_nothing(cells):
    table = [cells[:2], cells[2:]]
    found = cohen(table)
    assert found.estimate == pytest.approx(cohen(table, "quadratic").estimate, abs=1e-12)
    assert found.estimate == pytest.approx(cohen([list(row) for row in zip(*table, strict=True)]).estimate, abs=1e-12)
    assert -1 <= found.low <= found.estimate + 1e-12 and found.estimate - 1e-12 <= found.high <= 1


@pytest.mark.parametrize("table", [[[1]], [[1, 2], [3]], [[0, 0], [0, 0]], [[1, -1], [1, 1]]])
def test_it_refuses_what_is_no_table_of_pairs(table):
    with pytest.raises(ValueError, match="table of pairs"):
        cohen(table)


def test_its_range_holds_the_truth_about_as_often_as_it_says():
    rng, cells = np.random.default_rng(7), np.array([0.45, 0.1, 0.15, 0.3])
    true = (0.75 - (0.55 * 0.6 + 0.45 * 0.4)) / (1 - (0.55 * 0.6 + 0.45 * 0.4))
    ranges = [cohen(row.reshape(2, 2).tolist()) for row in rng.multinomial(200, cells, size=2000)]
    held = sum(each.low <= true <= each.high for each in ranges) / 2000
    # 3 Monte Carlo errors of 0.0049, and a point for the normal law at n = 200.
    assert held == pytest.approx(0.95, abs=0.025)
