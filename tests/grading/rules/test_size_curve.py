"""Size curves worked by hand, read off exactly, and never beyond their screens."""

from decimal import Decimal
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from grading.rules.screens import read_stack
from grading.rules.sieving import read_sieving
from grading.rules.size_curve import (
    SizeStack,
    class_edges,
    passing_at,
    retained_between,
    size_passing,
    span,
    uniformity,
    uniformity_coefficient,
)
from inventory.rules.gathering import Gathering
from inventory.rules.mistakes import Refused
from inventory.rules.rounding import half_up


def stack(text: str, shape: str = "round") -> SizeStack:
    """A sieving as a line of text: "32/64 20, 30/64 95, pan 2"."""
    parts = [part.rpartition(" ") for part in text.split(", ")]
    screens, mistakes = read_stack([name for name, _blank, _amount in parts], shape=shape)
    assert mistakes == []
    return SizeStack(tuple(screens), tuple(Fraction(amount) for _name, _blank, amount in parts))


WORKED = stack("32/64 20, 30/64 95, 28/64 210, 26/64 110, 24/64 40, 22/64 18, 20/64 5, pan 2")


def test_what_passes_is_what_did_not_stay():
    assert WORKED.passing_pct == tuple(Fraction(text) for text in ("96", "77", "35", "13", "5", "1.4", "0.4"))
    assert sum(WORKED.retained_pct) == 100


@pytest.mark.parametrize(
    ("percent", "mm"), [(10, "10.02109"), (50, "11.39598"), (60, "11.58497"), (90, "12.44934")]
)  # fmt: skip
def test_sizes_are_read_off_straight_between_two_screens(percent, mm):
    assert half_up(size_passing(WORKED, Fraction(percent)), 5) == Decimal(mm)


def test_span_and_uniformity_coefficient_are_of_the_sizes_read_off():
    tenth, middle, sixtieth, ninetieth = (size_passing(WORKED, Fraction(percent)) for percent in (10, 50, 60, 90))
    assert span(WORKED) == (ninetieth - tenth) / middle
    assert uniformity_coefficient(WORKED) == sixtieth / tenth


def test_nothing_is_read_beyond_the_screens():
    coarse = stack("32/64 50, 30/64 30, pan 20")
    assert size_passing(coarse, Fraction(10)) is None
    assert size_passing(coarse, Fraction(90)) is None
    assert size_passing(coarse, Fraction(50)) == read_stack(["32/64", "pan"])[0][0].mm
    assert (span(coarse), uniformity_coefficient(coarse), uniformity(coarse)) == (None, None, None)
    assert passing_at(coarse, Fraction(13)) is None
    assert passing_at(coarse, Fraction(11)) is None
    assert retained_between(coarse, Fraction(13), Fraction(12)) is None


def test_where_the_curve_is_flat_the_lower_size_is_taken():
    flat = stack("32/64 50, 30/64 0, 28/64 40, pan 10")
    assert size_passing(flat, Fraction(50)) == Fraction(30, 64) * Fraction("25.4")


def test_between_two_screens_of_the_stack_is_what_stayed_on_those_between():
    wide, narrow = (Fraction(n, 64) * Fraction("25.4") for n in (30, 26))
    assert retained_between(WORKED, wide, narrow) == Fraction(210 + 110, 5)


def test_our_uniformity_is_what_lies_within_a_twentieth_of_the_middle():
    middle = size_passing(WORKED, Fraction(50))
    openings, passing = ([float(one) for one in column] for column in zip(*WORKED.points, strict=True))
    expected = np.interp([0.95 * float(middle), 1.05 * float(middle)], openings, passing)
    assert float(uniformity(WORKED)) == pytest.approx(expected[1] - expected[0], rel=1e-12)


@pytest.mark.outside("numpy.interp over the passing curve, as a second reading of it")
@pytest.mark.parametrize("sixty_fourths", ["20.5", "21", "23.25", "25", "27", "29.9", "31"])
def test_another_screen_reads_the_curve_as_a_table_is_interpolated(sixty_fourths):
    mm = Fraction(sixty_fourths) / 64 * Fraction("25.4")
    openings, passing = ([float(one) for one in column] for column in zip(*WORKED.points, strict=True))
    assert float(passing_at(WORKED, mm)) == pytest.approx(float(np.interp(float(mm), openings, passing)), rel=1e-12)


@pytest.mark.outside("numpy.interp of size over per cent passing, as a second reading of the curve")
@pytest.mark.parametrize("percent", [1, 5, 10, 16, 25, 50, 60, 75, 84, 90, 95])
def test_a_size_reads_the_curve_as_a_table_is_interpolated(percent):
    openings, passing = ([float(one) for one in column] for column in zip(*WORKED.points, strict=True))
    expected = float(np.interp(percent, passing, openings))
    assert float(size_passing(WORKED, Fraction(percent))) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("grams", "through_15", "over_12", "through_9"), [("97 3 0 0", 3, 100, 0), ("5 75 17 3", 95, 80, 3)]
)  # fmt: skip
def test_lentil_limits_are_read_on_their_own_screens(grams, through_15, over_12, through_9):
    sieved = stack(", ".join(f"{n} {g}" for n, g in zip(("15/64", "12/64", "9/64", "pan"), grams.split(), strict=True)))
    passed = [passing_at(sieved, Fraction(n, 64) * Fraction("25.4")) for n in (15, 12, 9)]
    assert passed == [through_15, 100 - over_12, through_9]


def test_the_ends_of_a_stack_are_one_step_further():
    edges = class_edges(WORKED.screens)
    assert edges == [Fraction(n, 64) * Fraction("25.4") for n in (34, 32, 30, 28, 26, 24, 22, 20, 18)]
    assert class_edges(stack("6 mm 1, 3 mm 1, 1 mm 1, pan 1").screens) == [9, 6, 3, 1, Fraction(1, 2)]


@given(st.lists(st.integers(0, 500), min_size=8, max_size=8).filter(any))
def test_reading_a_size_and_reading_it_back_agree(grams):
    curve = SizeStack(WORKED.screens, tuple(map(Fraction, grams)))
    for percent in (10, 37, 50, 90):
        size = size_passing(curve, Fraction(percent))
        if size is not None:
            assert passing_at(curve, size) == percent


def sieving(screens="24/64, 22/64, pan", grams="200, 90, 10", pct="", **more):
    words = Gathering()
    lists = [[one for one in text.split(", ") if one] for text in (screens, grams, pct)]
    found = read_sieving(words, *lists, **more)
    words.finish()
    return found


@pytest.mark.parametrize(
    ("words", "says", "field"),
    [
        ({"sieved_g": "302"}, "300.00 g, but 302 g were sieved: 0.66 % off, and 0.5 % is allowed", "sieved_g"),
        ({"sieved_g": "0"}, "Sieved g is 0 g", "sieved_g"),
        ({"grams": "200, 90"}, "There are 3 screens and 2 amounts", "grams"),
        ({"grams": "200, 90, -1"}, "is -1 g", "grams.3"),
        ({"grams": "200, 90, NaN"}, "cannot be read as a number", "grams.3"),
        ({"grams": "0, 0, 0"}, "All screens and the pan hold 0", "grams"),
        ({"pct": "50, 40, 10"}, "Both grams and pct are given", "pct"),
        ({"grams": "", "pct": "50, 40, 2"}, "Screens and pan make 92 %", "screens"),
        ({"grams": "", "pct": "50, 40, 110"}, "is 110 %", "pct.3"),
        ({"grams": "", "pct": "1e999, 40, 10"}, "cannot be read as a number", "pct.1"),
        ({"grams": ""}, "There are 3 screens and 0 amounts", "grams"),
        ({"screens": "22/64, 24/64, pan"}, "from the widest hole down", "screens.2"),
    ],
)
def test_a_sieving_that_does_not_add_up_is_a_sentence_at_its_field(words, says, field):
    with pytest.raises(Refused) as refused:
        sieving(**words)
    assert any(says in one.says and one.field == field for one in refused.value.mistakes), refused.value.mistakes


def test_half_a_per_cent_may_be_lost():
    assert sieving(sieved_g="301.5").grams == 300
    assert sieving(grams="", pct="50, 40, 9.5").grams is None
