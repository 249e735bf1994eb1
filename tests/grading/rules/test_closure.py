"""The pan must close within 0.1 % or say where it went."""

from decimal import Decimal

import pytest

from grading.rules.closure import pan_mistake


def pan(text):
    """Read "portion 500.3 sound 494.65 splits 2.4" into the function's arguments."""
    words = text.split()
    weights = {name: Decimal(weight) for name, weight in zip(words[::2], words[1::2], strict=True)}
    return weights.pop("portion"), weights, weights.pop("sound")


def test_a_typed_24_0_for_2_4_is_found_and_proposed():
    found = pan_mistake(*pan("portion 500.3 sound 494.65 splits 24.0 damaged 3.1 other_foreign_material 0.1 stones 0"))
    assert found.says == "Dishes and sound make 521.9 g, portion was 500.3. Splits 24.0: did you mean 2.4?"
    assert (found.field, found.proposal) == ("splits", "2.4")


@pytest.mark.parametrize(
    "text",
    [
        "portion 500.3 sound 494.65 splits 2.4 damaged 3.1 other_foreign_material 0.1",
        "portion 500 sound 499.5 splits 0",
    ],
)
def test_a_pan_within_a_thousandth_closes(text):
    assert pan_mistake(*pan(text)) is None


def test_a_pan_just_beyond_a_thousandth_is_asked_about():
    found = pan_mistake(*pan("portion 500 sound 499.499 splits 0"))
    assert found.says == "Dishes and sound make 499.5 g, portion was 500. Weigh again, or say where the rest went."
    assert found.proposal is None


def test_a_forgotten_point_is_proposed_the_other_way_too():
    assert pan_mistake(*pan("portion 500 sound 476 splits 2.4")).proposal == "24"


def test_it_proposes_nothing_when_two_dishes_could_have_slipped():
    assert pan_mistake(*pan("portion 500 sound 495.2 splits 24 damaged 24")).proposal is None
    assert pan_mistake(*pan("portion 500 sound 495.2 splits 24 damaged 2.4")).proposal == "2.4"
    assert pan_mistake(*pan("portion 500 sound 473.6 splits 24 damaged 24")).proposal is None
