"""Colour differences against published pairs and an open colour library's own test values."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grading.stats.colour import Lab
from grading.stats.colour_difference import WEIGHTS, cie76, cie94, ciede2000
from tests.grading.stats.ciede2000_pairs import PAIRS, SOURCE

LIBRARY = "colour-science, its test module of colour differences (test_delta_e.py at commit 0177be6a), as read"
FAR = Lab(100, 21.57210357, 272.22819350)
NEAR = {"first": Lab(100, 426.67945353, 72.39590835), "second": Lab(100, 74.05216981, 276.45318193)}
NEAR["third"] = Lab(100, 8.32281957, -73.58297716)
# The last figure as printed may be half a step off, and the published one was rounded to four decimals.
TO_FOUR = 0.000051
some_lab = st.builds(Lab, st.floats(0, 100), st.floats(-128, 127), st.floats(-128, 127))


@pytest.mark.outside(SOURCE)
@pytest.mark.parametrize(("row", "steps"), PAIRS, ids=[f"pair-{int(row[0])}" for row, _steps in PAIRS])
def test_a_published_pair_is_as_far_apart_as_printed(row: list[float], steps: list[float]) -> None:
    found = ciede2000(Lab(*row[1:4]), Lab(*row[4:7])).estimate
    # Pair 14 lies on a jump: hues exactly 180 degrees apart, so that the last bit of atan2 chooses between two means.
    allowed = (4.8045, 4.7461) if row[0] == 14 else (row[7],)
    assert any(math.isclose(found, each, rel_tol=0, abs_tol=TO_FOUR) for each in allowed)


@pytest.mark.outside(f"{SOURCE}: the steps between")
@pytest.mark.parametrize(("row", "steps"), PAIRS, ids=[f"pair-{int(row[0])}" for row, _steps in PAIRS])
def test_a_published_pair_takes_the_printed_steps(row: list[float], steps: list[float]) -> None:
    one = ciede2000(Lab(*row[1:4]), Lab(*row[4:7]))
    found = [one.a_1, one.a_2, one.c_1, one.c_2, one.h_1, one.h_2, one.h_mean, one.g]
    found += [one.t, one.s_l, one.s_c, one.s_h, one.r_t]
    if row[0] == 14:  # mean hue, and what follows from it, jumps there: see above
        found, steps = found[:6], steps[:6]
    # Pairs 21 to 24 were sought to be 1.0000 apart: their steps were printed from more decimals than their colours.
    assert found == pytest.approx(steps, abs=0.0012 if 21 <= row[0] <= 24 else TO_FOUR)


@pytest.mark.parametrize(("row", "steps"), PAIRS, ids=[f"pair-{int(row[0])}" for row, _steps in PAIRS])
def test_a_pair_swapped_is_as_far_apart(row: list[float], steps: list[float]) -> None:
    one, other = Lab(*row[1:4]), Lab(*row[4:7])
    forth, back = ciede2000(one, other).estimate, ciede2000(other, one).estimate
    assert forth == pytest.approx(back, abs=1e-9) or row[0] == 14


@pytest.mark.outside(LIBRARY)
@pytest.mark.parametrize(
    ("other", "weights", "expected"),
    [
        ("first", "graphic arts", 83.779225500887094),
        ("second", "graphic arts", 10.053931954553839),
        ("third", "graphic arts", 57.535453706667425),
        ("first", "textiles", 88.335553057506502),
        ("second", "textiles", 10.612657890048272),
        ("third", "textiles", 60.368687261063329),
    ],
)
def test_cie94_is_what_the_library_has(other: str, weights: str, expected: float) -> None:
    assert cie94(FAR, NEAR[other], WEIGHTS[weights]) == pytest.approx(expected, abs=1e-9)


@pytest.mark.outside("colour-science, its documented example of CIE94, as read")
def test_cie94_is_what_the_library_shows() -> None:
    reference = Lab(48.99183622, -0.10561667, 400.65619925)
    assert cie94(reference, Lab(50.65907324, -0.11671910, 402.82235718)) == pytest.approx(1.671119130541200, abs=1e-9)


# Its third pair is left out: that edition takes a mean hue of 361° where the paper's eq. 14 says 1°.
@pytest.mark.outside(LIBRARY)
@pytest.mark.parametrize(("other", "expected"), [("first", 94.03564903), ("second", 14.87906419)])
def test_ciede2000_far_outside_of_all_beans_is_what_the_library_has(other: str, expected: float) -> None:
    assert ciede2000(FAR, NEAR[other]).estimate == pytest.approx(expected, abs=1e-7)


def test_cie94_is_weighed_by_the_reference() -> None:
    light, dark = Lab(62, 6, 18), Lab(55, 8, 20)
    assert cie94(light, dark) == pytest.approx(7.1953, abs=TO_FOUR)  # by hand
    assert cie94(dark, light) == pytest.approx(7.1767, abs=TO_FOUR)


def test_the_textile_weights_halve_lightness() -> None:
    assert cie94(Lab(60, 0, 0), Lab(50, 0, 0), WEIGHTS["textiles"]) == pytest.approx(5)


def test_cie76_is_the_plain_distance() -> None:
    assert cie76(Lab(50, 3, 0), Lab(50, 0, 4)) == 5
    assert cie76(Lab(62, 6, 18), Lab(55, 8, 20)) == pytest.approx(math.sqrt(57))


@pytest.mark.parametrize("zero", [0.0, -0.0])
@pytest.mark.parametrize("other_zero", [0.0, -0.0])
def test_two_greys_differ_in_lightness_alone_whatever_the_sign_of_nought(zero: float, other_zero: float) -> None:
    found = ciede2000(Lab(50, zero, other_zero), Lab(60, other_zero, zero))
    assert (found.h_1, found.h_2, found.d_h, found.h_mean) == (0, 0, 0, 0)
    assert found.estimate == pytest.approx(10 / found.s_l)


@given(some_lab, some_lab)
def test_nothing_is_negative_or_unequal_to_itself(one: Lab, other: Lab) -> None:
    for distance in (cie76, cie94, lambda a, b: ciede2000(a, b).estimate):
        assert distance(one, one) == pytest.approx(0, abs=1e-6)
        assert distance(one, other) >= 0


def test_it_grows_along_a_straight_way_of_lightness() -> None:
    steps = [ciede2000(Lab(20, 0.5, -0.4), Lab(20 + step, 0.5, -0.4)).estimate for step in range(0, 30, 3)]
    assert all(later > earlier for earlier, later in pairwise(steps))
