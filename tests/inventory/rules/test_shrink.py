"""Shrink between two moistures, against published examples."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.rounding import half_up
from inventory.rules.shrink import shrink

MOISTURES = st.decimals(min_value=0, max_value=60, places=1)


def found(before, after, handling="0"):
    return shrink(Decimal(before), Decimal(after), Decimal(handling))


@pytest.mark.outside("Pioneer agronomy, moisture shrink: 25.5 to 15.5 is 11.83 %, 0.5 % handling makes 12.33 %")
@pytest.mark.parametrize(
    ("handling", "total", "left"), [("0", "11.83", "881.7"), ("0.5", "12.33", "876.7")]
)  # 881.7 lb is 15.744 bu of 56 lb; the page's 15.8 carries its rounding through
def test_drying_and_handling_take_what_the_page_says(handling, total, left):
    a = found("25.5", "15.5", handling)
    assert half_up(a.water_pct, 2) == Decimal("11.83")
    assert half_up(a.total_pct, 2) == Decimal(total)
    assert half_up(1000 * a.left, 1) == Decimal(left)


@pytest.mark.outside("Karki, The Public Opinion (2019): 25 to 15.5 is 11.24 %")
def test_drying_takes_what_the_column_says():
    assert half_up(found("25", "15.5").water_pct, 2) == Decimal("11.24")


@pytest.mark.outside("Extension tables of shrink factors, per point of moisture at 15.5, 15, 14, 13, 12 %")
@pytest.mark.parametrize(
    ("after", "factor"), [("15.5", "1.18"), ("15", "1.18"), ("14", "1.16"), ("13", "1.15"), ("12", "1.14")]
)
def test_a_point_of_moisture_takes_the_published_factor(after, factor):
    assert half_up(found("20", after).factor or 0, 2) == Decimal(factor)


@given(MOISTURES, MOISTURES)
def test_dry_matter_stays(before, after):
    left = shrink(before, after).left
    assert left * (100 - Fraction(after)) == 100 - Fraction(before)


def test_seed_that_takes_up_water_gains():
    assert half_up(found("16", "18").left, 5) == Decimal("1.02439")


def test_no_change_has_no_factor():
    a = found("16", "16")
    assert (a.water_pct, a.factor, a.left) == (0, None, 1)
