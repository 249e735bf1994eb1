"""Pictures as numbers: where dots, bracket, post and curve stand."""

import pytest

from grading.drawing.germination import picture
from grading.drawing.size_curve import BOTTOM, LEFT, RIGHT, TOP, curve


def test_dots_mean_and_threshold_stand_on_one_scale() -> None:
    drawn = picture([94, 96, 93, 93], 94.0, 10, 85)
    assert drawn.first == 80
    assert drawn.threshold_x == 125.0
    assert drawn.mean_x == 350.0
    assert [x for x, _y in drawn.dots] == [350.0, 400.0, 325.0, 325.0]


def test_equal_counts_stand_above_each_other() -> None:
    ys = [y for _x, y in picture([93, 93, 93, 90], 92.0, 11, 85).dots]
    assert ys == [40.0, 28.0, 16.0, 40.0]


def test_the_bracket_is_as_wide_as_the_allowed_spread_around_the_middle_of_the_ends() -> None:
    drawn = picture([95, 81, 92, 84], 88.0, 13, 85)
    left, right = drawn.bracket
    scale = 500 / (100 - drawn.first)
    assert right - left == pytest.approx(13 * scale)
    assert (left + right) / 2 == pytest.approx((88 - drawn.first) * scale)
    assert drawn.dots[1][0] < left
    assert drawn.dots[0][0] > right


def test_without_a_row_in_the_table_there_is_no_bracket() -> None:
    assert picture([100, 100, 100, 100], 100.0, None, 85).bracket is None


def test_a_low_count_widens_the_scale_and_stays_on_it() -> None:
    drawn = picture([3, 40, 2, 0], 11.0, 8, 85)
    assert drawn.first == 0
    assert all(0 <= x <= 500 for x, _y in drawn.dots)


def test_a_curve_runs_from_the_narrowest_to_the_widest_screen_and_from_none_to_all() -> None:
    drawn = curve([(4.0, 0.0, "a"), (5.0, 50.0, "b"), (6.0, 100.0, "c")], {})
    assert drawn.dots == ((LEFT, BOTTOM), ((LEFT + RIGHT) / 2, (TOP + BOTTOM) / 2), (RIGHT, TOP))
    assert drawn.band == ""


def test_the_band_goes_out_above_and_back_below() -> None:
    drawn = curve([(4.0, 10.0, "a"), (6.0, 90.0, "b")], {4.0: (0.0, 50.0), 6.0: (50.0, 100.0)})
    assert drawn.band == "44.0,114.0 492.0,12.0 492.0,114.0 44.0,216.0"


def test_one_screen_alone_is_a_dot() -> None:
    assert len(curve([(4.0, 10.0, "a")], {4.0: (5.0, 15.0)}).dots) == 1
