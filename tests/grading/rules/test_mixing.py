"""A mix in exact numbers: its value, its rounding, what mends it, and how far one limit can be brought."""

from fractions import Fraction

import pytest

from grading.rules.mixing import Limit, MixLot, best_alone, broken, mended, poorest, rounded

GRAM = 1_000


def limit(bound, *shares, **more):
    return Limit("defects", "defects", tuple(map(Fraction, shares)), Fraction(bound), **more)


LOTS = [MixLot("good", 500 * GRAM), MixLot("poor", 500 * GRAM)]


def test_a_mix_holds_the_mass_weighted_mean_of_its_lots():
    assert limit("0.02", "0.01", "0.04").value([300, 100]) == Fraction(300 * 1 + 100 * 4, 400 * 100)


@pytest.mark.parametrize(
    ("is_open", "is_floor", "value", "admits"),
    [
        (False, False, "0.02", True),
        (True, False, "0.02", False),
        (True, False, "0.0199", True),
        (False, False, "0.0201", False),
        (False, True, "0.02", True),
        (False, True, "0.0199", False),
        (False, True, "0.03", True),
    ],
)
def test_the_bound_itself_is_within_unless_it_is_open(is_open, is_floor, value, admits):
    assert limit("0.02", "0.01", is_open=is_open, is_floor=is_floor).admits(Fraction(value)) is admits


def test_rounding_goes_down_to_whole_steps_within_what_there_is():
    assert rounded([2_999.9, 999.9999999], LOTS, GRAM, None) == (2_000, 1_000)
    assert rounded([900_000.0, 0.0], LOTS, GRAM, None) == (500_000, 0)
    assert rounded([0.0, 0.0], [MixLot("must", 9_000, 2_500), LOTS[0]], GRAM, None) == (3_000, 0)


def test_to_a_wanted_total_the_step_goes_where_most_was_cut_off():
    assert rounded([1_900.0, 1_100.0], LOTS, GRAM, 3_000) == (2_000, 1_000)
    assert rounded([1_100.0, 1_900.0], LOTS, GRAM, 3_000) == (1_000, 2_000)


def test_what_rounding_broke_is_given_back_from_the_worst_lot():
    over = limit("0.02", "0.01", "0.04")
    assert mended([300 * GRAM, 151 * GRAM], [over], LOTS, GRAM, None) == (300 * GRAM, 150 * GRAM)
    less = limit("0.02", "0.01", "0.04", is_open=True)
    assert mended([300 * GRAM, 150 * GRAM], [less], LOTS, GRAM, None) == (300 * GRAM, 149 * GRAM)
    assert mended([300 * GRAM, 150 * GRAM], [over], LOTS, GRAM, None) == (300 * GRAM, 150 * GRAM)


def test_with_a_wanted_total_it_goes_to_the_better_lot():
    over = limit("0.02", "0.01", "0.04")
    found = mended([299 * GRAM, 151 * GRAM], [over], LOTS, GRAM, 450 * GRAM)
    assert found is not None
    assert sum(found) == 450 * GRAM
    assert broken([over], found) == []


def test_more_than_rounding_can_have_moved_is_not_mended():
    assert mended([300 * GRAM, 160 * GRAM], [limit("0.02", "0.01", "0.04")], LOTS, GRAM, None) is None
    assert mended([300 * GRAM, 160 * GRAM], [limit("0.005", "0.01", "0.04")], LOTS, GRAM, None) is None


@pytest.mark.parametrize(
    ("total", "least", "best"),
    [
        (None, 0, Fraction(1, 100)),
        (800, 0, Fraction(500 * 1 + 300 * 4, 800 * 100)),
        (None, 100, Fraction(500 * 1 + 100 * 4, 600 * 100)),
        (300, 100, Fraction(200 * 1 + 100 * 4, 300 * 100)),
    ],
)
def test_one_limit_alone_is_brought_as_far_as_stock_lets_it(total, least, best):
    lots = [MixLot("good", 500), MixLot("poor", 500, least)]
    assert best_alone(limit("0.02", "0.01", "0.04"), lots, total) == best


def test_a_floor_is_brought_as_high_as_stock_lets_it():
    floor = limit("0.9", "0.8", "0.96", is_floor=True)
    assert best_alone(floor, [MixLot("old", 500), MixLot("new", 100)], 200) == Fraction(88, 100)


def test_the_poorest_lot_comes_nearest_to_a_limit_or_exceeds_it_most():
    limits = [limit("0.02", "0.01", "0.015", "0.001"), limit("0.85", "0.9", "0.95", "0.5", is_floor=True)]
    assert poorest(limits, [*LOTS, MixLot("old", 1)]) == [Fraction(85, 90), Fraction(85, 95), Fraction(85, 50)]


def test_of_what_may_not_be_there_at_all_any_is_as_poor_as_a_full_limit():
    assert poorest([limit("0", "0", "0.01")], LOTS) == [0, 1]
