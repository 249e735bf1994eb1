"""Rounding half up, once."""

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.rounding import half_up, half_up_int


@pytest.mark.parametrize(
    ("exact", "places", "rounded"),
    [
        (Fraction(5, 1000), 2, "0.01"),
        (Decimal("2.675"), 2, "2.68"),
        (Fraction(-5, 2), 0, "-3"),
        (Fraction(1, 3), 3, "0.333"),
        (0, 1, "0.0"),
    ],
)
def test_half_goes_up(exact, places, rounded):
    assert str(half_up(exact, places)) == rounded


@pytest.mark.outside(
    "Python's decimal module implements ROUND_HALF_UP of the General Decimal Arithmetic Specification (Cowlishaw)"
)
@given(st.decimals(-(10**9), 10**9, places=6), st.integers(0, 6))
def test_it_agrees_with_the_decimal_arithmetic_standard(number, places):
    assert half_up(number, places) == number.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)


def test_it_rounds_numbers_of_any_length_exactly():
    assert half_up_int(Fraction(10**40 * 2 + 1, 2)) == 10**40 + 1
