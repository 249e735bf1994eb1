"""Half-up rounding against the printed examples of two regulations."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grading.rules.rounding import decimals_of, read_as
from inventory.rules.rounding import half_up


@pytest.mark.outside(
    "7 CFR 868.308(a) prints these five figures; 0.35 and 2.45 are the ties that floats and banker's rounding miss"
)
@pytest.mark.parametrize(
    ("figure", "reported"), [("6.36", "6.4"), ("0.35", "0.4"), ("2.45", "2.5"), ("8.34", "8.3"), ("1.22", "1.2")]
)
def test_it_reports_the_figures_printed_in_the_federal_rice_rule(figure, reported):
    assert str(half_up(Decimal(figure), 1)) == reported


@pytest.mark.outside(
    "Canada Grain Regulations, C.R.C., c. 889, Schedule 3, s. 1 (a), (b), (c): whole, tenth, hundredth; ties go up"
)
@pytest.mark.parametrize(
    ("limit", "value", "reads"),
    [
        ("1", "1.4", "1"),
        ("1", "1.5", "2"),
        ("1", "0.4999", "0"),
        ("1.0", "1.04", "1.0"),
        ("1.0", "1.05", "1.1"),
        ("0.05", "0.054", "0.05"),
        ("0.05", "0.055", "0.06"),
        ("0.00", "0.004", "0.00"),
        ("0.00", "0.005", "0.01"),
    ],
)
def test_it_rounds_to_the_precision_in_which_the_criterion_is_written(limit, value, reads):
    assert str(read_as(Decimal(value), limit)) == reads


@pytest.mark.parametrize(("written", "decimals"), [("1", 0), ("10.0", 1), ("0.10", 2)])
def test_it_counts_the_decimals_of_a_written_limit(written, decimals):
    assert decimals_of(written) == decimals


@given(st.fractions(min_value=0, max_value=100), st.integers(0, 6))
def test_it_is_never_more_than_half_a_step_away_and_a_tie_goes_up(value, decimals):
    step = Fraction(1, 10**decimals)
    gap = Fraction(half_up(value, decimals)) - value
    assert -step / 2 < gap <= step / 2
