"""Purity analyses by the federal rule, and in the one-decimal manner that is from memory."""

from decimal import Decimal
from fractions import Fraction

import pytest

from grading.rules.purity import DoesNotMakeTheSample, Weighed, loss_mistakes, purity, weighing_notes
from inventory.rules.mistakes import Refused

NAMES = {"pure": "pure_seed", "crop": "other_crop", "weed": "weed", "inert": "inert"}


def weighed(text):
    """Read "500.00: pure 497.31, crop 0.86, weed 0.21, inert 1.62"."""
    working, _, parts = text.partition(":")
    words = [part.split() for part in parts.split(",")]
    return Weighed(Decimal(working), {NAMES[name]: Decimal(grams) for name, grams in words})


def percent(text, **more):
    """The reported parts, in the order of the rule."""
    return " ".join(purity(weighed(text), **more).percent.values())


@pytest.mark.outside("7 CFR 201.47 (c)(3): two decimals, third decimal 5 or more up; found under 0.015 is 0.01")
@pytest.mark.parametrize(
    ("inert", "read"),
    [
        ("0.324", "0.32"), ("0.325", "0.33"), ("0.3249", "0.32"), ("0.3251", "0.33"), ("0.015", "0.02"),
        ("0.0149", "0.01"), ("0.0001", "0.01"), ("0.014", "0.01"), ("0.005", "0.01"), ("0", "0.00"), ("0.985", "0.99"),
        ("1.005", "1.01"), ("2.675", "2.68"),
    ],
)  # fmt: skip
def test_a_part_is_rounded_as_the_law_rounds(inert, read):
    assert percent(f"100.0: inert {inert}").split()[-1] == read


@pytest.mark.outside("7 CFR 201.47 (c)(2): from 25 g on original weight, pure seed by subtraction")
@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("500.0: crop 0.86, weed 0.21, inert 1.62", "99.47 0.17 0.04 0.32"),
        ("25.00: crop 0.10, weed 0.01, inert 0.26", "98.52 0.40 0.04 1.04"),
        ("500.0: pure 497.31, crop 0.86, weed 0.21, inert 1.62", "99.47 0.17 0.04 0.32"),
        ("500.0: pure 496.00, crop 0.86, weed 0.21, inert 1.62", "99.47 0.17 0.04 0.32"),
    ],
)
def test_a_sample_of_twenty_five_grams_or_more_stands_on_its_original_weight(text, read):
    assert percent(text) == read


@pytest.mark.outside("7 CFR 201.47 (c)(1): below 25 g on the sum of the four parts, not on the original weight")
@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("10.00: pure 9.600, crop 0.100, weed 0.100, inert 0.200", "96.00 1.00 1.00 2.00"),
        ("10.02: pure 9.600, crop 0.100, weed 0.100, inert 0.200", "96.00 1.00 1.00 2.00"),
        ("24.99: pure 24.00, crop 0.250, weed 0.250, inert 0.500", "96.00 1.00 1.00 2.00"),
    ],
)
def test_a_small_sample_stands_on_the_sum_of_its_parts(text, read):
    assert percent(text) == read


@pytest.mark.outside("7 CFR 201.47 (c)(4): a total of 99.99 or 100.01 is put right on the largest part")
@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("3.000: pure 1.000, crop 1.000, weed 0.999, inert 0.001", "33.34 33.33 33.30 0.03"),  # 99.99 before
        ("2.997: pure 2.000, crop 0.332, weed 0.332, inert 0.333", "66.73 11.08 11.08 11.11"),
        ("8.000: pure 7.999, crop 0, weed 0, inert 0.001", "99.99 0.00 0.00 0.01"),
    ],
)
def test_the_total_is_a_hundred(text, read):
    assert percent(text) == read
    assert sum(map(Decimal, read.split())) == 100


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("500.0: pure 497.31, crop 0.86, weed 0.21, inert 1.62", "99.5 0.2 TR 0.3"),
        ("500.0: pure 500.0, crop 0, weed 0, inert 0", "100.0 0.0 0.0 0.0"),
        ("300.0: pure 100.0, crop 100.0, weed 100.0, inert 0", "33.4 33.3 33.3 0.0"),
        ("500.0: pure 499.75, crop 0, weed 0.25, inert 0", "99.9 0.0 0.1 0.0"),
    ],
)
def test_the_one_decimal_manner_has_traces_and_still_makes_a_hundred(text, read):
    found = purity(weighed(text), "one decimal")
    assert " ".join(found.percent.values()) == read
    assert any("from memory" in step.source for step in found.working)


def test_the_one_decimal_manner_is_off_unless_asked_for():
    assert purity(weighed("500.0: inert 1")).manner == "two decimals"


def test_what_is_lost_is_asked_about_over_the_limit_only():
    assert loss_mistakes(weighed("500.0: pure 495, inert 2.5")) == []  # exactly 0.5 %
    [question] = loss_mistakes(weighed("500.0: pure 495, inert 2.4"))
    assert isinstance(question, DoesNotMakeTheSample)
    assert question.says.startswith("The parts make 497.4 g, the working sample was 500.0 g: 0.52 % apart, 0.5 is")
    assert loss_mistakes(weighed("500.0: pure 500, inert 2.6"))  # more than was there
    assert purity(weighed("500.0: pure 495, inert 2.4")).lost_pct == Fraction("0.52")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("0: pure 1", "The working sample weighs 0 g."),
        ("500.0: inert 501", "Inert matter weighs 501 g, more than the portion of 500.0 g."),
        ("24.00: inert 1", "Below 25 g all four parts are weighed"),
        ("500.0: crop 300, weed 300", "All parts together weigh"),
    ],
)
def test_weights_that_cannot_be_are_refused(text, says):
    with pytest.raises(Refused, match=says):
        purity(weighed(text))


def test_no_part_is_ever_below_nothing():
    parts = [Decimal(part) for part in percent("30.00: crop 10.005, weed 10.005, inert 9.990").split()]
    assert sum(parts) == 100
    assert min(parts) >= 0


def test_too_few_figures_are_said():
    assert weighing_notes(weighed("500.0: inert 1.6")) == ()
    assert "four figures" in weighing_notes(weighed("500: inert 1"))[0]
    assert "as many decimals" in weighing_notes(weighed("500.00: inert 1.6"))[0]
