"""Growing degree days and crop heat units."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.heat import COLDEST, HOTTEST, crop_heat_units, growing_degrees, heat_sum, in_celsius

D = Decimal
DAYS = [("25", "10", "20.565", "7.5"), ("30", "15", "26.04", "12.5"), ("20", "2", "12.45", "1.0"), ("8", "3", "0", "0"),
        ("32", "18", "28.542", "15.0")]  # fmt: skip
TEMPERATURES = st.decimals(COLDEST, HOTTEST, places=1)


@pytest.mark.outside(
    "Crop heat units: formula of Field Crop News (Ontario), Using crop heat units, 2025, and open.canada.ca data set "
    "07875f11, worked day by day"
)
@pytest.mark.parametrize(("high", "low", "units", "_degrees"), DAYS)
def test_it_gives_crop_heat_units(high, low, units, _degrees):
    assert crop_heat_units(D(low), D(high)) == D(units)


@pytest.mark.outside("Growing degree days over 10 °C: max(0, (high + low)/2 - 10), worked day by day (no source)")
@pytest.mark.parametrize(("high", "low", "_units", "degrees"), DAYS)
def test_it_gives_growing_degree_days(high, low, _units, degrees):
    assert growing_degrees(D(low), D(high)) == D(degrees)


def test_each_half_of_crop_heat_units_stops_at_nought():
    assert crop_heat_units(D(2), D(20)) == (D("3.33") * 10 - D("0.084") * 100) / 2  # the night gives nothing
    assert crop_heat_units(D("9"), D("10")) == D("1.8") * D("4.6") / 2  # the day gives nothing


@given(TEMPERATURES, TEMPERATURES)
def test_no_day_takes_heat_away(one, other):
    low, high = sorted((one, other))
    assert growing_degrees(low, high) >= 0
    assert crop_heat_units(low, high) >= 0


def test_a_season_is_the_sum_of_its_days():
    days = [(D(low), D(high)) for high, low, _units, _degrees in DAYS]
    assert heat_sum("crop heat units", days) == D("87.597")
    assert heat_sum("growing degree days", days, D(10)) == D("36.0")


def test_fahrenheit_is_turned_into_celsius():
    assert (in_celsius(D(50), "F"), in_celsius(D("71.6"), "F"), in_celsius(D(7), "C")) == (10, 22, 7)


@pytest.mark.parametrize("work", [crop_heat_units, growing_degrees])
def test_a_lowest_over_its_highest_is_refused(work):
    with pytest.raises(ValueError, match="over the highest"):
        work(D(12), D(11))
