"""JSON read exactly, and refused in sentences."""

from decimal import Decimal

import pytest

from grading.rules.exact_json import read_object
from inventory.rules.mistakes import Refused


def test_numbers_keep_the_digits_that_were_typed():
    assert read_object('{"a": 14.80, "b": 3, "c": "x"}') == {"a": Decimal("14.80"), "b": Decimal(3), "c": "x"}


def test_what_is_no_number_is_left_for_its_field_to_say():
    read = read_object('{"a": NaN, "b": -Infinity, "c": 1e99999999999999999999}')
    assert not any(number.is_finite() for number in read.values())


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "This is not JSON"),
        ("{", "This is not JSON"),
        ('{"a": 1,}', "line 1, column"),
        ("[1, 2]", "Give an object"),
        ('"navy"', "Give an object"),
        ('{"a": 1, "a": 2}', "a stands twice"),
        ('{"w": {"splits": 1, "splits": 2}}', "splits stands twice"),
        ("[" * 100_000, "nested too deep"),
        (" " * 1_000_001, "send one object"),
        ('{"a": ' + "9" * 5000 + "}", None),
    ],
)
def test_what_is_not_one_object_is_refused_in_a_sentence(text, says):
    if says is None:
        assert read_object(text)["a"] > 0
        return
    with pytest.raises(Refused, match=says):
        read_object(text)
