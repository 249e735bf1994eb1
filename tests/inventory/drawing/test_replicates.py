"""Replicates on a rule: dots, mean, bracket and post, as numbers."""

from decimal import Decimal

import pytest

from hilum.plugins import Replicates
from inventory.drawing.replicates import FOOT, STEP, WIDTH, Row, replicate_row


def row(*values: int, allowed: int | None = 12, limit: int | None = 85) -> Row:
    mean = Decimal(sum(values)) / len(values)
    spread = None if allowed is None else Decimal(allowed)
    post = None if limit is None else Decimal(limit)
    return replicate_row(Replicates("germination", tuple(map(Decimal, values)), mean, "%", spread, post))


def test_everything_stands_on_the_rule() -> None:
    drawn = row(89, 91, 87, 89)
    marks = [*(dot.x for dot in drawn.dots), drawn.mean_x, drawn.bracket_x, drawn.bracket_x + drawn.bracket_width]
    assert all(0 < x < WIDTH for x in [*marks, drawn.post_x])


def test_higher_readings_stand_farther_right_and_the_mean_between_them() -> None:
    drawn = row(80, 90)
    assert drawn.dots[0].x < drawn.mean_x < drawn.dots[1].x
    assert drawn.mean_x == pytest.approx((drawn.dots[0].x + drawn.dots[1].x) / 2)


def test_equal_readings_stand_above_each_other() -> None:
    drawn = row(89, 91, 89)
    assert (drawn.dots[0].y, drawn.dots[2].y) == (FOOT, FOOT - STEP)
    assert drawn.dots[0].x == drawn.dots[2].x


def test_the_bracket_is_as_wide_as_the_spread_that_is_allowed_around_the_middle_of_the_ends() -> None:
    drawn = row(80, 91, 92, 92)
    ends = [dot.x for dot in drawn.dots]
    assert (drawn.bracket_x, drawn.bracket_width) == pytest.approx((min(ends), max(ends) - min(ends)))


def test_replicates_that_spread_too_wide_stand_outside_of_the_bracket() -> None:
    drawn = row(95, 81, 92, 84, allowed=13)
    high, low = drawn.dots[0].x, drawn.dots[1].x
    assert low < drawn.bracket_x
    assert high > drawn.bracket_x + drawn.bracket_width


def test_without_a_table_or_a_threshold_there_is_no_bracket_and_no_post() -> None:
    drawn = row(89, 91, allowed=None, limit=None)
    assert (drawn.bracket_width, drawn.post_x) == (0.0, None)


def test_one_reading_alone_can_be_drawn() -> None:
    assert row(89, allowed=None, limit=None).dots[0].x == WIDTH / 2
