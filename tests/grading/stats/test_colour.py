"""Chroma, hue and the mean of readings."""

import pytest

from grading.stats.colour import Conditions, Lab, mean_colour

LIBRARY = "colour-science, its test module of CIELAB (test_cie_lab.py at commit 04f4863e): LCHab, as read"


@pytest.mark.outside(LIBRARY)
@pytest.mark.parametrize(
    ("colour", "chroma", "hue"),
    [
        (Lab(37.98562910, -23.62907688, -4.41746615), 24.03845422, 190.58923377),
        (Lab(65.70971880, 41.56438554, 37.78303554), 56.17077461, 42.27159870),
        (Lab(50.86223896, 32.76150086, 20.25483590), 38.51719507, 31.72647736),
    ],
)
def test_chroma_and_hue_are_what_the_library_has(colour: Lab, chroma: float, hue: float) -> None:
    assert colour.chroma == pytest.approx(chroma, abs=1e-7)
    assert colour.hue == pytest.approx(hue, abs=1e-6)


@pytest.mark.parametrize(
    ("a", "b", "hue"), [(5, 0, 0), (0, 5, 90), (-5, 0, 180), (0, -5, 270), (-10, -10, 225), (5, -1e-12, 0)]
)
def test_hue_turns_from_red_by_yellow_green_and_blue(a: float, b: float, hue: float) -> None:
    found = Lab(50, a, b).hue
    assert found is not None
    assert found % 360 == pytest.approx(hue, abs=1e-9) or found == pytest.approx(360)


@pytest.mark.parametrize(("a", "b"), [(0.0, 0.0), (-0.0, 0.0), (0.0, -0.0), (0.003, 0.003)])
def test_a_grey_has_no_hue(a: float, b: float) -> None:
    assert Lab(50, a, b).hue is None


def test_the_mean_hue_is_that_of_the_mean_and_not_a_mean_of_hues() -> None:
    either_side_of_red = [Lab(50, 10, 0.1745), Lab(50, 10, -0.1745)]
    assert [each.hue for each in either_side_of_red] == [pytest.approx(1, abs=0.001), pytest.approx(359, abs=0.001)]
    assert mean_colour(either_side_of_red).estimate.hue == pytest.approx(0)


def test_mean_and_spread_are_by_components() -> None:
    found = mean_colour([Lab(60, 5, 14), Lab(62, 6, 16), Lab(64, 7, 18)])
    assert (found.estimate, found.spread, found.n) == (Lab(62, 6, 16), Lab(2, 1, 2), 3)
    assert found.apart == pytest.approx(2)  # 3, 0 and 3 from the mean


def test_one_reading_has_no_spread() -> None:
    found = mean_colour([Lab(60, 5, 14)])
    assert (found.estimate, found.spread, found.apart) == (Lab(60, 5, 14), None, None)


def test_no_reading_has_no_mean() -> None:
    with pytest.raises(ValueError, match="a mean needs a reading"):
        mean_colour([])


def test_conditions_say_themselves() -> None:
    assert Conditions("D65", "10").says == "CIELAB, D65, 10° observer"
