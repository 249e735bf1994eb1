"""Years along the foot, rows of bars and dots, as numbers."""

from datetime import date

import pytest

from inventory.drawing.season import FIELD, HEAD, LABEL, ROW, Standing, draw_years, scale_days

TODAY = date(2025, 1, 1)


def test_the_first_day_stands_at_the_left_and_today_at_the_right() -> None:
    years = draw_years([Standing("a", date(2024, 1, 1), None)], TODAY)
    [bar] = years.bars
    assert (bar.x, bar.width, bar.is_open) == (LABEL, FIELD, True)
    assert years.height == HEAD + ROW


def test_rows_stand_under_each_other_and_share_one_scale() -> None:
    rows = [Standing("a", date(2024, 1, 1), None), Standing("b", date(2024, 7, 2), date(2025, 1, 1))]
    first, second = draw_years(rows, TODAY).bars
    assert second.y - first.y == ROW
    assert second.x == pytest.approx(LABEL + FIELD / 2)
    assert second.x + second.width == pytest.approx(LABEL + FIELD)
    assert not second.is_open


def test_dots_of_one_day_are_one_with_all_its_words() -> None:
    day = date(2024, 3, 1)
    marks = ((day, "sample"), (day, "test"), (day, "test"))
    [bar] = draw_years([Standing("a", date(2024, 1, 1), None, marks)], TODAY).bars
    [(x, words)] = bar.dots
    assert words == "sample, test"
    assert LABEL < x < LABEL + FIELD


def test_an_act_after_today_widens_the_field() -> None:
    row = Standing("a", date(2024, 1, 1), None, ((date(2026, 1, 1), "ship"),))
    [bar] = draw_years([row], TODAY).bars
    assert bar.dots[0][0] == LABEL + FIELD


def test_a_wet_spell_lies_on_its_bar_and_an_open_one_ends_with_it() -> None:
    wet = ((date(2024, 2, 1), date(2024, 3, 1)), (date(2024, 6, 1), None))
    row = Standing("a", date(2024, 1, 1), date(2024, 7, 1), wet=wet)
    [bar] = draw_years([row], TODAY).bars
    for x, width in bar.wet:
        assert bar.x <= x
        assert x + width <= bar.x + bar.width + 1e-9
    assert bar.wet[1][0] + bar.wet[1][1] == pytest.approx(bar.x + bar.width)


def test_a_row_of_one_day_is_still_seen() -> None:
    [bar] = draw_years([Standing("a", TODAY, TODAY)], TODAY).bars
    assert bar.width >= 1


def test_nothing_at_all_has_no_rows() -> None:
    assert draw_years([], TODAY).bars == ()


@pytest.mark.parametrize("last", [date(2024, 2, 10), date(2024, 12, 31), date(2027, 6, 1), date(2060, 1, 1)])
def test_the_scale_has_at_most_a_dozen_marks_on_first_days_of_months(last: date) -> None:
    days = scale_days(date(2024, 1, 5), last)
    assert 1 <= len(days) <= 13
    assert all(day.day == 1 and date(2024, 1, 5) <= day <= last for day in days)
