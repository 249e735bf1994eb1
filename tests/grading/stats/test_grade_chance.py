"""Chances of grades: bounds, sums, and seeded lots whose grade is known."""

import numpy as np
import pytest

from grading.stats.beta import chance_within
from grading.stats.grade_chance import Dish, GradeChances, Held

LIMITS = {
    ("splits", "damaged", "other class"): {"No. 1": 0.02, "No. 2": 0.04},
    ("other class",): {"No. 1": 0.005, "No. 2": 0.01},
    ("damaged",): {"No. 1": 0.01, "No. 2": 0.03},
}


def lot(found, n, limits=LIMITS):
    factors = []
    for dishes, of in limits.items():
        k = sum(found[dish] for dish in dishes)
        factors.append(Held(dishes, of, {grade: chance_within(k, n, limit) for grade, limit in of.items()}))
    return GradeChances(factors, {dish: Dish(k / n, n) for dish, k in found.items()})


def test_one_limit_alone_keeps_its_own_chance():
    one = lot({"splits": 50}, 2500, {("splits",): {"No. 1": 0.02, "No. 2": 0.04}})
    chances = one.of_each(["No. 1", "No. 2"])
    assert chances["No. 1"] == chance_within(50, 2500, 0.02)
    assert chances["No. 1"] + chances["No. 2"] == pytest.approx(chance_within(50, 2500, 0.04))


def test_chances_of_all_grades_and_of_none_sum_to_one():
    chances = lot({"splits": 20, "damaged": 20, "other class": 11}, 2500).of_each(["No. 1", "No. 2"])
    assert sum(chances.values()) == pytest.approx(1)
    assert all(chance >= 0 for chance in chances.values())


def test_no_grade_is_likelier_than_its_tightest_limit_nor_less_than_the_bound():
    three = lot({"splits": 18, "damaged": 21, "other class": 11}, 2500)
    single = [factor.within["No. 1"] for factor in three.factors]
    assert 1 - sum(1 - each for each in single) <= three.within_all("No. 1") <= min(single)
    assert three.within_all("No. 1") < min(single) - 0.01


def test_the_same_portion_has_the_same_chance_each_time():
    found = {"splits": 18, "damaged": 21, "other class": 11}
    assert lot(found, 2500).of_each(["No. 1", "No. 2"]) == lot(found, 2500).of_each(["No. 1", "No. 2"])


def test_two_dishes_that_hardly_meet_are_nearly_independent():
    apart = {("splits",): {"No. 1": 0.01}, ("damaged",): {"No. 1": 0.01}}
    chance = lot({"splits": 25, "damaged": 25}, 2500, apart).within_all("No. 1")
    assert chance == pytest.approx(chance_within(25, 2500, 0.01) ** 2, abs=0.02)


def test_grades_that_are_no_ladder_are_met_one_or_the_other():
    crossed = {("splits",): {"A": 0.01, "B": 0.03}, ("damaged",): {"A": 0.03, "B": 0.01}}
    either = lot({"splits": 25, "damaged": 25}, 2500, crossed)
    chances = either.of_each(["A", "B"])
    within = chance_within(25, 2500, 0.01)
    assert chances["A"] == pytest.approx(within, abs=0.001)
    assert chances["A"] + chances["B"] == pytest.approx(1 - (1 - within) ** 2, abs=0.02)


def test_a_grade_without_limits_takes_all_that_is_left():
    open_end = {("splits",): {"No. 1": 0.01}}
    chances = lot({"splits": 40}, 2500, open_end).of_each(["No. 1", "Sample"])
    assert chances[""] == 0 and chances["Sample"] == pytest.approx(1 - chances["No. 1"])


def test_of_lots_said_to_be_of_a_grade_with_a_chance_so_many_are():
    # Lots of many make-ups are drawn, a portion of each is picked, and what was said is held against what the lot is.
    # The make-ups are spread evenly around the limits, which is not the law the chances are worked out from.
    chance, lots, n = np.random.default_rng(9), 1_500, 2_000
    shares = chance.uniform([0.002, 0.002, 0.001], [0.014, 0.018, 0.009], (lots, 3))
    said, are = [], []
    for true in shares:
        picked = chance.multinomial(n, [*true, 1 - true.sum()])
        found = dict(zip(("splits", "damaged", "other class"), map(int, picked[:3]), strict=True))
        said.append(lot(found, n).within_all("No. 1"))
        are.append(true.sum() <= 0.02 and true[1] <= 0.01 and true[2] <= 0.005)
    said, are = np.array(said), np.array(are, dtype=float)
    for low, high in ((0, 0.1), (0.1, 0.4), (0.4, 0.7), (0.7, 0.9), (0.9, 1.01)):
        some = (said >= low) & (said < high)
        error = np.sqrt((said[some] * (1 - said[some])).sum()) / some.sum()
        assert some.sum() > 50
        assert are[some].mean() == pytest.approx(said[some].mean(), abs=0.03 + 3 * error)
