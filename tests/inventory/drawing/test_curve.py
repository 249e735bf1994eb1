"""A curve over what was found before, laid out as numbers."""

from decimal import Decimal

import pytest

from hilum.plugins import Curve
from inventory.drawing.curve import FOOT, HEIGHT, LEFT, RIGHT, TOP, WIDTH, draw_curve, round_numbers


def curve(*points: tuple[int, int], before: tuple[tuple[int, int, int], ...] = ()) -> Curve:
    decimals = tuple((Decimal(x), Decimal(y)) for x, y in points)
    band = tuple((Decimal(x), Decimal(low), Decimal(high)) for x, low, high in before)
    return Curve("24-0001-5", "screen [mm]", "passed [%]", decimals, band)


def test_the_outermost_numbers_stand_at_the_ends_of_both_sides() -> None:
    drawn = draw_curve(curve((4, 0), (6, 100)))
    assert drawn.dots == ((LEFT, HEIGHT - FOOT), (WIDTH - RIGHT, TOP))
    assert drawn.line == f"{LEFT:.1f},{HEIGHT - FOOT:.1f} {WIDTH - RIGHT:.1f},{TOP:.1f}"


def test_what_was_found_before_is_a_closed_band_from_most_to_least() -> None:
    drawn = draw_curve(curve((0, 0), (10, 100), before=((0, 0, 50), (10, 50, 100))))
    assert len(drawn.band.split()) == 4
    assert drawn.band.split()[0].endswith(f",{TOP + (HEIGHT - FOOT - TOP) / 2:.1f}")


def test_without_anything_before_there_is_no_band() -> None:
    assert draw_curve(curve((4, 0), (6, 100))).band == ""


@pytest.mark.parametrize(
    ("low", "high", "numbers"),
    [(0, 100, (0, 20, 40, 60, 80, 100)), (4, 6, (4, 4.5, 5, 5.5, 6)), (3.97, 7.14, (4, 5, 6, 7)), (7, 7, (7,))],
)
def test_round_numbers_stand_beside_the_field(low: float, high: float, numbers: tuple[float, ...]) -> None:
    assert round_numbers(low, high) == numbers


def test_a_flat_curve_stays_inside_its_field() -> None:
    drawn = draw_curve(curve((4, 50), (6, 50)))
    assert all(TOP <= y <= HEIGHT - FOOT for _x, y in drawn.dots)
