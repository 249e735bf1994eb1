"""The weight of a hundred seeds: the published example, the rule of the CV, and what is too few."""

from decimal import Decimal
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from grading.rules.seed_weight import (
    NoWeight,
    TooFewReplicates,
    Verdict,
    root,
    seed_weight,
    seeds_per_kg,
    seeds_per_lb,
    variance,
)
from inventory.rules.rounding import half_up

DAISY = [Decimal(text) for text in ["0.2224", "0.2134", "0.2130", "0.2116", "0.2145", "0.2071", "0.2116", "0.2125"]]
TUTORIAL = "AOSA Rules Appendix 4 tutorial, FRSA workshop, 13 July 2001: Dimorphotheca sinuata, lot 1, 8 x 100 seeds"


def grams(text: str) -> list[Decimal]:
    """Replicates as a line of text."""
    return [Decimal(each) for each in text.split()]


@pytest.mark.outside(f"{TUTORIAL} (its data and formula; the numbers recomputed)")
@pytest.mark.parametrize(
    ("what", "expected"),
    [
        (lambda found: sum(found.readings), Fraction("1.7061")),
        (lambda found: sum(one**2 for one in found.readings), Fraction("0.36397635")),
        (lambda found: found.mean_g, Fraction("0.2132625")),
        (lambda found: found.mean_g * 10, Fraction("2.132625")),
    ],
    ids=["sum of x", "sum of x squared", "mean", "thousand seeds"],
)
def test_the_published_replicates_have_their_sums_and_mean(what, expected):
    assert what(seed_weight(DAISY)) == expected


@pytest.mark.outside(f"{TUTORIAL} (its data and formula; the numbers recomputed)")
def test_the_published_replicates_have_their_variance_to_eight_digits():
    assert float(seed_weight(DAISY).variance) == pytest.approx(1.8456964e-05, rel=5e-8)


@pytest.mark.outside(f"{TUTORIAL} (its data and formula; the numbers recomputed)")
def test_the_published_replicates_have_their_deviation():
    assert half_up(seed_weight(DAISY).sd_g, 8) == Decimal("0.00429616")


@pytest.mark.outside(f"{TUTORIAL} (its data and formula; the numbers recomputed)")
def test_the_published_replicates_have_their_cv_and_are_accepted():
    found = seed_weight(DAISY)
    assert half_up(found.cv_pct, 5) == Decimal("2.01449")
    assert found.verdict is Verdict.ACCEPTED


@pytest.mark.outside("numpy.var with ddof=1")
@pytest.mark.parametrize(
    "readings", ["18.0 18.1 18.3 18.4", "0.2224 0.2134 0.2130 0.2116", "1000000.1 1000000.2 1000000.3", "5 5 5 5"]
)
def test_the_variance_is_that_of_a_second_reading(readings):
    exact = [Fraction(each) for each in grams(readings)]
    centred = np.array([float(each - exact[0]) for each in exact])  # else numpy's own floats cancel
    assert float(variance(exact)) == pytest.approx(np.var(centred, ddof=1), rel=1e-9, abs=1e-15)


def test_the_one_pass_formula_of_the_book_gives_the_same_number_exactly():
    n, exact = len(DAISY), [Fraction(each) for each in DAISY]
    by_the_book = (n * sum(each**2 for each in exact) - sum(exact) ** 2) / (n * (n - 1))
    assert variance(exact) == by_the_book


def four_up_four_down(by: str) -> list[Decimal]:
    """Eight replicates of mean 100, four so much over and four under: their CV is by × √(8/7)."""
    return [100 + Decimal(by), 100 - Decimal(by)] * 4


def test_eight_that_spread_over_four_per_cent_ask_for_eight_more():
    assert seed_weight(four_up_four_down("3.75")).verdict is Verdict.WEIGH_MORE  # CV 4.0089
    assert seed_weight(four_up_four_down("3.74")).verdict is Verdict.ACCEPTED  # CV 3.9982


def test_chaffy_grasses_may_spread_over_six_per_cent():
    assert seed_weight(four_up_four_down("5.5"), kind="chaffy grasses").verdict is Verdict.ACCEPTED
    assert seed_weight(four_up_four_down("5.7"), kind="chaffy grasses").verdict is Verdict.WEIGH_MORE


def test_a_cv_of_exactly_the_limit_is_accepted_and_a_hair_more_is_not():
    exactly = grams("106 94 104 96 102 98 100 100")
    assert (seed_weight(exactly).variance, seed_weight(exactly).verdict) == (16, Verdict.ACCEPTED)
    assert seed_weight([Decimal("106.000001"), *exactly[1:]]).verdict is Verdict.WEIGH_MORE


def test_sixteen_drop_what_differs_by_more_than_two_deviations():
    found = seed_weight(grams("18 18 18 18 18 18 18 18 18 18 18 18 18 18 18 21"))
    assert (found.dropped, found.n, found.mean_g) == ((21,), 15, 18)
    assert seed_weight(grams("18 19 " * 8)).dropped == ()


def test_four_on_the_bench_may_spread_over_four_per_cent():
    assert seed_weight(grams("24.5 25.5 25 25")).verdict is Verdict.ACCEPTED
    assert seed_weight(grams("24.4 25.6 25 25")).verdict is Verdict.WEIGH_AGAIN


@pytest.mark.parametrize(("n", "asked"), [(0, 4), (1, 4), (3, 4), (5, 8), (7, 8), (9, 16), (15, 16), (17, 16)])
def test_another_number_of_replicates_is_said_with_what_the_rule_asks(n, asked):
    with pytest.raises(TooFewReplicates, match=f"There are {n} replicates; the rule asks {asked}"):
        seed_weight([Decimal(18)] * n)


def test_a_replicate_of_nothing_is_named_by_its_place():
    with pytest.raises(NoWeight) as refused:
        seed_weight(grams("18 0 18 18"))
    assert refused.value.field == "readings.2"


SEEDS_A_POUND = [(800, "56.70"), (1000, "45.36"), (1200, "37.80"), (1400, "32.40"), (1800, "25.20"), (2000, "22.68"),
                 (2200, "20.62"), (2400, "18.90"), (2500, "18.14"), (3000, "15.12")]  # fmt: skip


@pytest.mark.parametrize(("per_lb", "weight"), SEEDS_A_POUND)
def test_seeds_in_a_pound_and_the_weight_of_a_hundred_turn_into_each_other(per_lb, weight):
    assert half_up(Fraction("45359.237") / per_lb, 2) == Decimal(weight)
    assert abs(seeds_per_lb(Fraction(weight)) - per_lb) < per_lb * Fraction(1, 2000)


@pytest.mark.outside("Montana State University Extension: 100 peas of 0.0457 lb or 0.73 oz are 2,188 or 2,192 a lb")
@pytest.mark.parametrize(("pounds", "per_lb"), [("0.0457", 2188), ("0.045625", 2192)])
def test_a_hundred_peas_are_so_many_a_pound(pounds, per_lb):
    assert half_up(seeds_per_lb(Fraction(pounds) * Fraction("453.59237"))) == per_lb


def test_seeds_in_a_kilogram():
    assert seeds_per_kg(Fraction(20)) == 5000


@given(st.lists(st.decimals("0.1", "100", places=3), min_size=8, max_size=8))
def test_the_verdict_is_that_of_the_cv_that_is_shown(readings):
    found = seed_weight(readings)
    if abs(found.cv_pct - 4) > Decimal("1e-9"):
        assert (found.verdict is Verdict.ACCEPTED) == (found.cv_pct < 4)


def test_a_root_is_exact_to_many_digits():
    assert str(root(Fraction(2))).startswith("1.41421356237309504880168872")
