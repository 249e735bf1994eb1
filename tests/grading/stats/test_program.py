"""Linear programs, in any numbers and in whole ones, against published solutions and corners counted out."""

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grading.stats.program import NotSolved, Program, _answer, solve


def test_without_a_solution_there_is_none():
    assert solve(Program([1.0], [[1.0]], [-1.0], [0.0], [9.0])) is None
    assert solve(Program([1.0], [[1.0]], [-1.0], [0.0], [9.0], is_whole=True)) is None


def test_without_rows_the_bounds_decide():
    assert solve(Program([1.0, -1.0], [], [], [0.0, 2.0], [5.0, 9.0])) == (5.0, 2.0)


def test_whole_numbers_are_no_rounded_ones():
    rows, caps, ends = [[5.0, 4.0], [10.0, 3.0]], [6.5, 7.6], ([0.0, 0.0], [9.0, 9.0])
    assert solve(Program([1.0, 1.0], rows, caps, *ends, is_whole=True)) == pytest.approx((0.0, 1.0))


def test_what_the_solver_gives_up_is_no_proof():
    class GaveUp:
        x, status, message = None, 4, "numerical difficulties"

    with pytest.raises(NotSolved, match="numerical"):
        _answer(GaveUp())


# Cat food of beef, chicken and others in 100 g: protein and fat at least, fibre and salt at most, cheapest.
_PULP = "PuLP documentation, case study 'A Blending Problem' (Stuart Mitchell, Antony Phillips, 2007)"
_COST = (0.013, 0.008, 0.010, 0.002, 0.005, 0.001)
_ROWS = (
    (-0.100, -0.200, -0.150, 0.000, -0.040, 0.000),
    (-0.080, -0.100, -0.110, -0.010, -0.010, 0.000),
    (0.001, 0.005, 0.003, 0.100, 0.150, 0.000),
    (0.002, 0.005, 0.007, 0.002, 0.008, 0.000),
)
_CAPS = (-8.0, -6.0, 2.0, 0.4)


@pytest.mark.outside(f"{_PULP}: two ingredients, cost 0.966666665; values from memory")
def test_the_cheapest_of_two_meats_is_as_published():
    found = solve(_mix(2))
    assert found == pytest.approx((100 / 3, 200 / 3))
    assert _cost(found) == pytest.approx(0.966666665, abs=1e-8)


@pytest.mark.outside(f"{_PULP}: six ingredients, 60 beef, 40 gel, cost 0.52; values from memory")
def test_the_cheapest_of_six_ingredients_is_as_published():
    found = solve(_mix(6))
    assert found == pytest.approx((0, 60, 0, 0, 0, 40), abs=1e-9)
    assert _cost(found) == pytest.approx(0.52)


def _mix(count):
    gains = [-cost for cost in _COST[:count]]
    return Program(gains, [row[:count] for row in _ROWS], _CAPS, [0.0] * count, [100.0] * count, total=100.0)


def _cost(found):
    return sum(cost * part for cost, part in zip(_COST, found, strict=False))


_SMALL = st.integers(-5, 5).map(float)


@pytest.mark.outside("fundamental theorem of linear programming: the best corner, all corners counted out")
@settings(max_examples=100, deadline=None)
@given(st.tuples(_SMALL, _SMALL), st.lists(st.tuples(_SMALL, _SMALL, st.integers(0, 9)), min_size=1, max_size=4))
def test_it_is_as_good_as_the_best_corner(gains, kept):
    rows, caps = [list(row[:2]) for row in kept], [float(row[2]) for row in kept]
    found = solve(Program(list(gains), rows, caps, [0.0, 0.0], [7.0, 7.0]))
    lines = [*kept, (1.0, 0.0, 7), (0.0, 1.0, 7), (1.0, 0.0, 0), (0.0, 1.0, 0)]
    corners = [corner for pair in combinations(lines, 2) if (corner := _meet(*pair)) and _fits(corner, rows, caps)]
    best = max(gains[0] * x + gains[1] * y for x, y in corners)
    assert found is not None
    assert gains[0] * found[0] + gains[1] * found[1] == pytest.approx(best, abs=1e-6)


def _meet(one, other):
    (a, b, c), (d, e, f) = one, other
    det = a * e - b * d
    return None if det == 0 else ((c * e - b * f) / det, (a * f - c * d) / det)


def _fits(corner, rows, caps):
    x, y = corner
    inside = -1e-9 <= x <= 7 + 1e-9 and -1e-9 <= y <= 7 + 1e-9
    return inside and all(row[0] * x + row[1] * y <= cap + 1e-9 for row, cap in zip(rows, caps, strict=True))
