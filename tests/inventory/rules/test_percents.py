"""Whole per cents by the largest remainder."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.percents import whole_percents


@pytest.mark.parametrize(
    ("shares", "percents"),
    [
        ({"a": Fraction(1)}, {"a": 100}),
        ({"a": Fraction(1, 3), "b": Fraction(1, 3), "c": Fraction(1, 3)}, {"a": 34, "b": 33, "c": 33}),
        ({"a": Fraction(1, 200), "b": Fraction(199, 200)}, {"a": 1, "b": 99}),
        ({"a": Fraction(1, 6), "b": Fraction(5, 6)}, {"a": 17, "b": 83}),
        ({}, {}),
    ],
)
def test_they_are_rounded_by_the_largest_remainder(shares, percents):
    assert whole_percents(shares) == percents


@given(st.lists(st.integers(1, 10**9), min_size=1, max_size=12))
def test_they_add_up_to_a_hundred_and_none_is_off_by_one(masses):
    shares = {place: Fraction(mass, sum(masses)) for place, mass in enumerate(masses)}
    percents = whole_percents(shares)
    assert sum(percents.values()) == 100
    assert all(abs(percents[place] - share * 100) < 1 for place, share in shares.items())
