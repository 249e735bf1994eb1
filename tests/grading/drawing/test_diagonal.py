"""Pairs of readings around a diagonal, as numbers."""

import pytest

from grading.drawing.diagonal import SIDE, diagonal


def test_equal_readings_lie_on_the_diagonal() -> None:
    for x, y in diagonal([(0.5, 0.5), (1.0, 1.0), (2.0, 2.0)]).dots:
        assert x + y == pytest.approx(SIDE)


def test_a_second_grader_who_reads_more_stands_above_it() -> None:
    [(x, y)] = diagonal([(1.0, 1.5)]).dots
    assert y < SIDE - x


def test_both_sides_end_a_tenth_beyond_the_farthest_reading() -> None:
    drawn = diagonal([(1.0, 2.0)])
    assert drawn.end == pytest.approx(2.2)
    assert drawn.dots[0] == pytest.approx((SIDE / 2.2, SIDE - SIDE / 1.1))


def test_nothing_read_stays_in_the_corner() -> None:
    assert diagonal([(0.0, 0.0)]).dots == ((0.0, SIDE),)
    assert diagonal([]).dots == ()
