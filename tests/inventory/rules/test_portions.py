"""Masses split to the milligram."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.portions import split_mg

weights = st.lists(st.fractions(min_value=Fraction(1, 1000), max_value=1000), min_size=1, max_size=12)


@given(st.integers(0, 10**12), weights)
def test_the_parts_sum_to_the_whole_and_none_is_off_by_a_milligram(mg, parts):
    split = split_mg(mg, parts)
    assert sum(split) == mg
    assert all(abs(part - mg * weight / sum(parts)) < 1 for part, weight in zip(split, parts, strict=True))


def test_three_equal_parts_of_a_mass_that_does_not_divide():
    assert split_mg(100, [1, 1, 1]) == [33, 33, 34]


@pytest.mark.parametrize("bad", [[], [1, 0], [1, -1]])
def test_weights_of_nothing_are_the_programs_fault(bad):
    with pytest.raises(ValueError, match="are no weights"):
        split_mg(10, bad)
