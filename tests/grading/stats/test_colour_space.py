"""White points, XYZ and back, and what a screen shows."""

import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grading.stats.colour import Lab
from grading.stats.colour_space import (
    BRADFORD,
    SCREEN_WHITE,
    WHITES,
    Triple,
    adapted,
    colour_of,
    lab_of,
    swatch,
    xyz_of,
)

LIBRARY = "colour-science, its test module of CIELAB (test_cie_lab.py at commit 04f4863e), as read"
CALCULATOR = "Lindbloom, colour calculator (sRGB, D65), corner colours as reprinted in scikit-image's tests"
D50_WHITE = (0.34570 / 0.35850, 1.0, (1 - 0.34570 - 0.35850) / 0.35850)
D65_WHITE = (0.31270 / 0.32900, 1.0, (1 - 0.31270 - 0.32900) / 0.32900)
A_WHITE = (0.44757 / 0.40745, 1.0, (1 - 0.44757 - 0.40745) / 0.40745)
OTHER_WHITE = (0.37208 / 0.37529, 1.0, (1 - 0.37208 - 0.37529) / 0.37529)
GREEN = (0.07049534, 0.10080000, 0.09558313)

CONVERSIONS = [
    (GREEN, D50_WHITE, Lab(37.98562910, -23.62907688, -4.41746615)),
    ((0.47097710, 0.34950000, 0.11301649), D50_WHITE, Lab(65.70971880, 41.56438554, 37.78303554)),
    ((0.25506814, 0.19150000, 0.08849752), D50_WHITE, Lab(50.86223896, 32.76150086, 20.25483590)),
    (GREEN, A_WHITE, Lab(37.98562910, -32.51333979, -35.96770745)),
    (GREEN, D65_WHITE, Lab(37.98562910, -22.61920654, 4.19811236)),
    (GREEN, OTHER_WHITE, Lab(37.98562910, -25.55521883, -11.26139386)),
]


@pytest.mark.outside(LIBRARY)
@pytest.mark.parametrize(("xyz", "white", "lab"), CONVERSIONS)
def test_xyz_becomes_the_librarys_lab(xyz: Triple, white: Triple, lab: Lab) -> None:
    found = lab_of(xyz, white)
    assert (found.lightness, found.a, found.b) == pytest.approx((lab.lightness, lab.a, lab.b), abs=1e-6)


@pytest.mark.outside(LIBRARY)
@pytest.mark.parametrize(("xyz", "white", "lab"), CONVERSIONS)
def test_lab_becomes_the_librarys_xyz(xyz: Triple, white: Triple, lab: Lab) -> None:
    assert xyz_of(lab, white) == pytest.approx(xyz, abs=1e-7)


@pytest.mark.outside("CIE 15:2018, Colorimetry: tristimulus values of illuminants, as reprinted in colour-science")
@pytest.mark.parametrize(
    ("illuminant", "observer", "published"),
    [
        ("A", "2", (109.85, 100, 35.58)), ("C", "2", (98.07, 100, 118.22)), ("D50", "2", (96.42, 100, 82.51)),
        ("D55", "2", (95.68, 100, 92.14)), ("D65", "2", (95.04, 100, 108.88)), ("D75", "2", (94.97, 100, 122.61)),
        ("A", "10", (111.14, 100, 35.20)), ("C", "10", (97.29, 100, 116.14)), ("D50", "10", (96.72, 100, 81.43)),
        ("D55", "10", (95.80, 100, 90.93)), ("D65", "10", (94.81, 100, 107.32)), ("D75", "10", (94.42, 100, 120.64)),
    ],
)  # fmt: skip
def test_a_white_point_is_the_published_one(illuminant: str, observer: str, published: Triple) -> None:
    # Two tables, made with other intervals of wavelength: they part by up to 0.03.
    assert WHITES[illuminant, observer] == pytest.approx(published, abs=0.03)


@pytest.mark.outside("ASTM E308, D65 and 10 degrees: x 0.31382, y 0.33100, as tabulated in colour-science")
def test_daylight_at_ten_degrees_has_its_published_chromaticity() -> None:
    x, y, z = WHITES["D65", "10"]
    assert (x / (x + y + z), y / (x + y + z)) == pytest.approx((0.31382, 0.33100), abs=0.000015)


@pytest.mark.outside(CALCULATOR)
@pytest.mark.parametrize(
    ("code", "lab"),
    [
        ("#ffffff", (100, 0, 0)), ("#ffff00", (97.1393, -21.5537, 94.4780)), ("#00ffff", (91.1132, -48.0875, -14.1312)),
        ("#00ff00", (87.7347, -86.1827, 83.1793)), ("#ff00ff", (60.3242, 98.2343, -60.8249)),
        ("#ff0000", (53.2408, 80.0925, 67.2032)), ("#0000ff", (32.2970, 79.1875, -107.8602)), ("#000000", (0, 0, 0)),
    ],
)  # fmt: skip
def test_a_corner_of_the_screen_is_where_it_is_published(code: str, lab: Triple) -> None:
    assert swatch(Lab(*lab), "D65", "2").code == code
    assert swatch(Lab(*lab), "D65", "2").is_in_gamut
    found = colour_of(code)
    # The standard's own matrix has four decimals, the calculator's seven.
    assert (found.lightness, found.a, found.b) == pytest.approx(lab, abs=0.06)


@pytest.mark.outside("CSS Color Module Level 4, lab() under D50: its green, and an open parser's tests, as read")
@pytest.mark.parametrize(
    ("lab", "shown"),
    [
        (Lab(46.2775, -47.5621, 48.5837), (0, 128, 0)), (Lab(0, 0, 0), (0, 0, 0)), (Lab(100, 0, 0), (255, 255, 255)),
        (Lab(50, 50, 0), (193, 78, 121)), (Lab(70, -45, 0), (27, 193, 169)), (Lab(70, 0, 70), (195, 169, 14)),
        (Lab(55, 0, -60), (33, 135, 237)),
    ],
)  # fmt: skip
def test_a_colour_read_under_d50_is_shown_as_published(lab: Lab, shown: tuple[int, int, int]) -> None:
    found = swatch(lab, "D50", "2")
    # One step of 255: the standard's matrix is rounded to four decimals, and near nought its curve is steep.
    assert [int(found.code[place : place + 2], 16) for place in (1, 3, 5)] == pytest.approx(shown, abs=1)
    assert found.adapted_from


@pytest.mark.outside("Lindbloom, chromatic adaptation: Bradford from D50 to D65, as reprinted in open colour software")
@pytest.mark.parametrize(
    ("axis", "column"),
    [
        (0, (0.9555766, -0.0282895, 0.0122982)), (1, (-0.0230393, 1.0099416, -0.0204830)),
        (2, (0.0631636, 0.0210077, 1.3299098)),
    ],
)  # fmt: skip
def test_bradford_from_d50_to_d65_is_the_published_matrix(axis: int, column: Triple) -> None:
    unit = [0.0, 0.0, 0.0]
    unit[axis] = 1.0
    assert adapted((unit[0], unit[1], unit[2]), WHITES["D50", "2"], SCREEN_WHITE) == pytest.approx(column, abs=1e-6)


@pytest.mark.outside("colour-science, its test module of adaptation (test_vonkries.py at commit 04f4863e), as read")
def test_bradford_from_a_to_daylight_is_what_the_library_has() -> None:
    found = adapted(GREEN, (1.09846607, 1.0, 0.35582280), (0.95042855, 1.0, 1.08890037))
    assert found == pytest.approx((0.08540328, 0.11401229, 0.29721491), abs=1e-7)


@pytest.mark.parametrize("white", sorted(WHITES))
def test_every_white_is_white_on_the_screen(white: tuple[str, str]) -> None:
    found = swatch(Lab(100, 0, 0), *white)
    assert (found.code, found.is_in_gamut) == ("#ffffff", True)


@given(st.floats(0, 100), st.floats(-128, 127), st.floats(-128, 127), st.sampled_from(sorted(WHITES)))
def test_a_colour_goes_to_xyz_and_back(lightness: float, a: float, b: float, white: tuple[str, str]) -> None:
    found = lab_of(xyz_of(Lab(lightness, a, b), WHITES[white]), WHITES[white])
    assert (found.lightness, found.a, found.b) == pytest.approx((lightness, a, b), abs=1e-8)


def test_a_colour_that_no_screen_can_show_says_how_far_it_was_clipped() -> None:
    found = swatch(Lab(60, -100, 60), "D65", "2")
    assert not found.is_in_gamut
    assert found.clipped == pytest.approx(-min(found.wanted))
    assert found.code.startswith("#00")


def test_an_unknown_white_has_no_swatch() -> None:
    with pytest.raises(KeyError):
        swatch(Lab(50, 0, 0), "F11", "2")


def test_bradfords_rows_give_white_light_to_each_cone() -> None:
    assert all(sum(row) == pytest.approx(1, abs=0.001) for row in BRADFORD)


def test_no_statistics_library_is_loaded_for_colours() -> None:
    says = "import sys, grading.stats.colour_space, grading.stats.colour_difference; print('numpy' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", says], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
