"""Screens as people write them."""

from fractions import Fraction

import pytest

from grading.rules.screens import NoScreen, read_screen, stack_mistakes


@pytest.mark.parametrize(
    ("typed", "mm", "is_slotted"),
    [
        ("18/64 round", "7.14375", False),
        ("11/64 x 3/4", "4.365625", True),
        ("11/64 × 3/4 slotted", "4.365625", True),
        ("4.5 mm", "4.5", False),
        ("4,5 mm oblong", "4.5", True),
        ("Pan", "0", False),
    ],
)
def test_a_hole_is_read_in_millimetres(typed, mm, is_slotted):
    screen = read_screen(typed, "screen")
    assert (screen.mm, screen.is_slotted) == (Fraction(mm), is_slotted)


@pytest.mark.outside(
    "Agreement of the English-speaking national standards bodies on yard and pound, 1959: 1 in = 25.4 mm"
)
@pytest.mark.parametrize(
    ("typed", "mm"), [("64/64", "25.4"), ("32/64", "12.7"), ("16/64", "6.35"), ("10/64", "3.96875")]
)
def test_sixty_fourths_of_an_inch_are_exact(typed, mm):
    assert read_screen(typed, "screen").mm == Fraction(mm)


@pytest.mark.parametrize("typed", ["", "12", "top", "0/64", "0 mm", "11/63", "mm"])
def test_a_word_without_a_size_is_no_screen(typed):
    with pytest.raises(NoScreen, match="Write its hole like 18/64 round"):
        read_screen(typed, "fractions.1.screen")


@pytest.mark.parametrize(
    ("stack", "says"),
    [
        ("12/64, 11/64, 10/64, pan", []),
        ("18/64 round, 11/64 x 3/4, 10/64 x 3/4, pan", []),
        ("11/64 x 3/4, 18/64 round, pan", []),
        ("11/64, 12/64, pan", ["fractions.2"]),
        ("12/64, 12/64, pan", ["fractions.2"]),
        ("12/64, 4.7625 mm, pan", ["fractions.2"]),
        ("12/64, pan, 11/64", ["fractions.3"]),
        ("12/64, pan, pan", ["fractions.3"]),
    ],
)
def test_a_stack_goes_from_the_widest_hole_down_each_once(stack, says):
    screens = [read_screen(word, "screen") for word in stack.split(",")]
    assert [mistake.field for mistake in stack_mistakes(screens, "fractions")] == says
