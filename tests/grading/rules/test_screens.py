"""Screens as people write them, their millimetres, and stacks that are none."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grading.rules.screens import ScreenUnread, order_mistakes, read_screen, read_stack
from inventory.rules.rounding import half_up

WRITTEN = [
    ("24/64 round", "24/64 in round", "9.525", "round"),
    ("24/64 R", "24/64 in round", "9.525", "round"),
    ("24R", "24/64 in round", "9.525", "round"),
    ("11.1 mm round hole", "11.1 mm round", "11.1", "round"),
    ("trous ronds 8 mm", "8 mm round", "8", "round"),
    ("Ø8mm", "8 mm round", "8", "round"),
    ("agujero redondo 8,5 mm", "8.5 mm round", "8.5", "round"),
    ("5.5/64 x 3/4 slot", "5.5/64 x 3/4 in slotted", "2.1828125", "slotted"),
    ("5/64 × 3/4", "5/64 x 3/4 in slotted", "1.984375", "slotted"),
    ("14 x 3/4", "14/64 x 3/4 in slotted", "5.55625", "slotted"),
    ("4.5 mm slot", "4.5 mm slotted", "4.5", "slotted"),
    ("fente 4,5 mm", "4.5 mm slotted", "4.5", "slotted"),
    ("ranura 4,5 x 20 mm", "4.5 mm x 20 mm slotted", "4.5", "slotted"),
    ("2.8 x 20 mm oblong", "2.8 mm x 20 mm slotted", "2.8", "slotted"),
    ('3/8" round', "3/8 in round", "9.525", "round"),
    ("0.375 in", "0.375 in", "9.525", ""),
    ("24 64ths", "24/64 in", "9.525", ""),
    ("２４/６４", "24/64 in", "9.525", ""),
    ("12", "12/64 in", "4.7625", ""),
    ("pan", "pan", "0", ""),
    ("Fond", "pan", "0", ""),
    ("bandeja", "pan", "0", ""),
]


@pytest.mark.parametrize(("typed", "name", "mm", "shape"), WRITTEN, ids=[case[0] for case in WRITTEN])
def test_a_screen_is_read_as_people_write_it(typed, name, mm, shape):
    screen = read_screen(typed)
    assert (screen.name, screen.mm, screen.shape) == (name, Fraction(mm), shape)


@pytest.mark.outside(
    "64ths to mm, n/64 × 25.4: International Yard and Pound Agreement (1959), 1 inch = 25.4 mm exactly"
)
@pytest.mark.parametrize(
    ("written", "mm"),
    [
        ("9/64", "3.5719"), ("11/64", "4.3656"), ("12/64", "4.7625"), ("15/64", "5.9531"), ("20/64", "7.9375"),
        ("22/64", "8.7313"), ("24/64", "9.5250"), ("26/64", "10.3188"), ("28/64", "11.1125"), ("30/64", "11.9063"),
        ("32/64", "12.7000"), ("5/64 x 3/4 slot", "1.9844"), ("5.5/64 x 3/4 slot", "2.1828"),
        ("6/64 x 3/4 slot", "2.3813"), ("8/64 x 3/4 slot", "3.1750"),
    ],
)  # fmt: skip
def test_sixty_fourths_are_millimetres_exactly(written, mm):
    assert half_up(read_screen(written).mm, 4) == Decimal(mm)


@pytest.mark.outside(
    "Dry Beans and Pulses Production, Processing, and Nutrition, 2nd ed., chapter on grading, citing USDA 2017a: bean "
    "sieves in inches"
)
@pytest.mark.parametrize(("written", "inches"), [("30/64", "0.46875"), ("28/64", "0.4375"), ("24/64", "0.3750")])
def test_the_bean_sieves_in_inches_are_those_in_sixty_fourths(written, inches):
    assert read_screen(f"{written} round").mm == read_screen(f"{inches} in round").mm


@given(st.integers(4, 64), st.sampled_from(["round", "slot", "R", "fente", ""]))
def test_a_screen_reads_back_from_the_name_we_write(opening, shape):
    screen = read_screen(f"{opening} {shape}")
    again = read_screen(screen.name)
    assert (again.name, again.mm, again.shape) == (screen.name, screen.mm, screen.shape)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("", "names no opening"), ("round", "names no opening"), ("NaN", "holds the word 'nan'"),
        ("12 mesh", "counts wires"), ("5.5", "is it 5.5/64 or 5.5 mm?"), ("-3 mm", "names no opening"),
        ("0 mm", "is an opening of 0 mm"), ("60 mm", "lies over 0 and up to 50 mm"), ("3/4 mm", "fraction of a milli"),
        ("7/9", "in parts of 9"), ("1/0", "in parts of 0"), ("round slot 12/64", "both round and slotted"),
        ("24/64 round x 3/4", "only a slot has one"), ("1e5 mm", "holds the word 'e'"), (None, "names no opening"),
        ("5½/64", "names no opening"), ("12/64 x", "names no opening"), ("x" * 300, "holds the word"),
    ],
)  # fmt: skip
def test_what_names_no_opening_is_a_sentence_at_its_field(typed, says):
    with pytest.raises(ScreenUnread) as refused:
        read_screen(typed, field="screens.2")
    assert says in refused.value.says
    assert refused.value.field == "screens.2"


@given(st.text(max_size=30))
def test_any_text_is_a_screen_or_a_sentence(text):
    try:
        assert 0 <= read_screen(text).mm <= 50
    except ScreenUnread as unread:
        assert unread.says.endswith("slot.")


@pytest.mark.parametrize(
    ("stack", "says", "field"),
    [
        ("24/64, 26/64, pan", "26/64 stands under 24/64. Give the stack from the widest hole down", "screens.2"),
        ("24/64, 24/64, pan", "24/64 stands twice", "screens.2"),
        ("24/64, 9.525 mm, pan", "9.525 mm stands twice", "screens.2"),
        ("24/64, 22/64", "The pan is missing", "screens"),
        ("24/64, pan, 22/64", "22/64 stands under pan", "screens.3"),
        ("24/64, pan, pan", "pan stands twice", "screens.3"),
        ("24/64 round, 12/64 slot, pan", "Round and slotted screens are in one stack", "screens"),
        ("pan", "needs two screens or more", "screens"),
        ("24/64, wide, xx, pan", "holds the word 'xx'", "screens.3"),
    ],
)
def test_what_is_no_stack_is_a_sentence_at_its_screen(stack, says, field):
    _screens, mistakes = read_stack(stack.split(", "))
    assert [(says in one.says, one.field) for one in mistakes][-1] == (True, field)


def test_a_shape_is_said_once_for_the_whole_stack():
    screens, mistakes = read_stack(["24/64 round", "22", "pan"])
    assert ([one.shape for one in screens], mistakes) == (["round", "round", ""], [])
    screens, mistakes = read_stack(["14", "13", "pan"], shape="slots")
    assert ([one.name for one in screens], mistakes) == (["14/64 in slotted", "13/64 in slotted", "pan"], [])


def test_a_stack_is_not_given_a_shape_beside_its_own():
    assert "one stack" in read_stack(["24/64 round", "22", "pan"], shape="slot")[1][0].says
    assert read_stack(["24/64", "22", "pan"], shape="square")[1][0].field == "shape"


@pytest.mark.parametrize(
    ("stack", "fields"),
    [
        ("18/64 round, 11/64 x 3/4, 10/64 x 3/4, pan", []),
        ("11/64 x 3/4, 18/64 round, pan", []),
        ("11/64, 12/64, pan", ["fractions.2"]),
        ("12/64, 4.7625 mm, pan", ["fractions.2"]),
        ("12/64, pan, 11/64", ["fractions.3"]),
    ],
)
def test_screens_of_two_shapes_stand_over_each_other_on_a_line(stack, fields):
    screens = [read_screen(word) for word in stack.split(",")]
    assert [mistake.field for mistake in order_mistakes(screens, "fractions")] == fields
