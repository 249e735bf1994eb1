"""Numbers as people write them."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.amounts import AmountMissing, NotANumber, TwoReadings, amount_text, read_amount


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ("842", "842"),
        ("842,0", "842.0"),
        ("  842.0 ", "842.0"),
        ("12,52", "12.52"),
        ("0,10", "0.10"),
        ("0,234", "0.234"),
        ("1 240,5", "1240.5"),
        ("1\u00a0240,5", "1240.5"),
        ("1\u202f240,5", "1240.5"),
        ("1’240.5", "1240.5"),
        ("1,240.5", "1240.5"),
        ("1.240,5", "1240.5"),
        ("1,234,567", "1234567"),
        ("1.234.567", "1234567"),
        ("1234,567", "1234.567"),
        ("1.234", "1.234"),
        ("８４２．５", "842.5"),
        ("+3.5", "3.5"),
        ("−3.5", "-3.5"),
        ("- 3,5", "-3.5"),
        (",5", "0.5"),
        ("5.", "5"),
    ],
)
def test_a_number_is_read_as_written(typed, value):
    assert read_amount(typed).value == Decimal(value)


@pytest.mark.parametrize("typed", ["1,234", "999,000"])
def test_a_comma_before_three_digits_is_asked_about(typed):
    with pytest.raises(TwoReadings) as caught:
        read_amount(typed, field="gross")
    assert caught.value.level == "question"


def test_the_question_names_both_readings():
    with pytest.raises(TwoReadings) as caught:
        read_amount("1,234", field="gross")
    assert caught.value.says == "Gross '1,234' can be 1.234 or 1,234. Which is it?"
    assert caught.value.readings == (Decimal("1.234"), Decimal(1234))


def test_a_known_decimal_sign_settles_it():
    assert read_amount("1,234", decimal_comma=True).value == Decimal("1.234")
    assert read_amount("1,234", decimal_comma=False).value == Decimal(1234)
    assert read_amount("1.234", decimal_comma=False).value == Decimal("1.234")


def test_a_point_in_a_sheet_of_commas_is_asked_about():
    with pytest.raises(TwoReadings):
        read_amount("1.234", decimal_comma=True)


@pytest.mark.parametrize(
    "typed", ["abc", "1.2.3", "12,34,56", "1 24,5", "1e3", "--5", "12-5", "=A1", "nan", "inf", "9" * 41, "٣x", True]
)
def test_what_is_not_a_number_is_said_to_be_none(typed):
    with pytest.raises(NotANumber):
        read_amount(typed)


@pytest.mark.parametrize(
    "value",
    [
        float("nan"),
        float("inf"),
        Decimal("NaN"),
        Decimal("-Infinity"),
        Decimal("1e999999"),
        pytest.param(10**5000, id="long"),
        1e300,
    ],
)
def test_endless_numbers_are_refused_in_words(value):
    with pytest.raises(NotANumber):
        read_amount(value)


@pytest.mark.parametrize("value", [None, "", "  ", "\u00a0"])
def test_nothing_is_said_to_be_missing(value):
    with pytest.raises(AmountMissing):
        read_amount(value, field="net")


@pytest.mark.parametrize(
    ("value", "read"), [(0.1, "0.1"), (13.05 - 0.10, "12.95"), (0.1 + 0.2, "0.3"), (16, "16"), (1587.4, "1587.4")]
)
def test_a_float_cell_brings_no_binary_drift(value, read):
    assert read_amount(value).value == Decimal(read)


@given(st.decimals(-99_999, 99_999, places=3))
def test_what_we_write_we_read(number):
    assert read_amount(amount_text(number), decimal_comma=False).value == number


@given(st.text(max_size=50))
def test_any_text_is_read_or_refused(text):
    try:
        assert read_amount(text).value.is_finite()
    except (AmountMissing, NotANumber, TwoReadings) as mistake:
        assert mistake.says.endswith((".", "?"))


@pytest.mark.parametrize(
    ("typed", "comma", "notes"),
    [
        ("12,5", None, 1),
        ("12,5", False, 1),
        ("12,5", True, 0),
        ("12.5", None, 0),
        ("１２", None, 1),
        ("1,240.5", None, 0),
    ],
)
def test_a_decimal_comma_is_noted_where_it_was_not_agreed(typed, comma, notes):
    assert len(read_amount(typed, decimal_comma=comma).notes) == notes
