"""Colours as they are typed."""

from decimal import Decimal
from typing import Any

import pytest

from grading.rules import colour_reading
from grading.rules.colour_reading import ColourRead, SeenColour, apart_mistakes, read_seen, unlike
from grading.stats import colour, colour_space
from inventory.rules.gathering import Gathering
from inventory.rules.mistakes import Refused


def read(**words: Any) -> ColourRead:
    gathering = Gathering()
    usual = {"lightness": ["62"], "a": ["6"], "b": ["18"], "illuminant": "D65", "observer": "10"}
    found = read_seen(gathering, SeenColour(**{**usual, **words}))
    gathering.finish()
    assert found is not None
    return found


@pytest.mark.parametrize("typed", ["10", "10°", "10 °", "10 deg", "10 degrees", 10])
def test_an_observer_is_read_however_it_is_written(typed: object) -> None:
    assert read(observer=typed).observer == "10"


@pytest.mark.parametrize("typed", ["D65", "d65", " d 65 "])
def test_a_light_is_read_however_it_is_written(typed: str) -> None:
    assert read(illuminant=typed).illuminant == "D65"


def test_one_reading_is_kept_as_typed_and_several_to_four_decimals() -> None:
    assert read(lightness="62.123456").mean == (Decimal("62.123456"), 6, 18)
    assert read(lightness=["1", "1", "2"], a=["0"] * 3, b=["0"] * 3).mean[0] == Decimal("1.3333")


def test_everything_wrong_is_said_at_once() -> None:
    with pytest.raises(Refused) as refused:
        read(lightness=["101"], a=["NaN"], b=[], illuminant="", observer="3", scale="rgb")
    fields = [mistake.field for mistake in refused.value.mistakes]
    assert fields == ["lightness", "a", "b", "scale", "illuminant", "observer"]


@pytest.mark.parametrize(
    ("words", "field"),
    [({"scale": "Hunter Lab"}, "scale"), ({"illuminant": "C"}, "illuminant"), ({"observer": "2"}, "observer")],
)
def test_colours_read_otherwise_are_not_compared(words: dict[str, str], field: str) -> None:
    [mistake] = unlike(read(), read(**words), "sample.")
    assert mistake.field == f"sample.{field}"
    assert "cannot be compared. Read both alike." in mistake.says
    assert unlike(read(), read(instrument="another"), "") == []


def test_readings_near_one_another_are_not_asked_about() -> None:
    assert apart_mistakes(read(lightness=["50", "70"], a=["0", "0"], b=["0", "0"])) == []
    [mistake] = apart_mistakes(read(lightness=["50", "70.1"], a=["0", "0"], b=["0", "0"]))
    assert "lies 10.1 from the mean" in mistake.says


def test_rules_and_statistics_know_the_same_lights_and_scales() -> None:
    assert colour_reading.ILLUMINANTS == colour_space.ILLUMINANTS
    assert colour_reading.OBSERVERS == colour_space.OBSERVERS
    assert colour_reading.SCALES == colour.SCALES
