"""Moisture: bases, drying, doubtful readings."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.amounts import AmountMissing, NotANumber
from inventory.rules.moisture import (
    Advice,
    LooksLikeDryBasis,
    LooksLikeFraction,
    MoistureLimits,
    MoistureOutOfRange,
    MoistureUnlikely,
    dried_mass,
    dry_to_wet,
    moisture_mistakes,
    read_moisture,
    shrink_percent,
    storage_advice,
    wet_to_dry,
)
from inventory.rules.rounding import half_up

percents = st.decimals(0, 99, places=2)


def pct(text):
    return Decimal(text)


def test_a_load_dried_keeps_its_dry_matter():
    assert half_up(Decimal(dried_mass(900_000_000, pct("17.4"), pct("15.2"))) / 10**6, 2) == pct("876.65")


@pytest.mark.outside(
    "Pioneer agronomy, 'Grain moisture shrink': 25.5 -> 15.5 is 11.83 %; Karki, The Public Opinion (2019): 25 -> "
    "15.5 is 11.24 %"
)
@pytest.mark.parametrize(
    ("before", "after", "shrink"),
    [("25.5", "15.5", "11.83"), ("25", "15.5", "11.24")],
)
def test_shrink_is_that_of_published_examples(before, after, shrink):
    assert half_up(shrink_percent(pct(before), pct(after)), 2) == pct(shrink)


@pytest.mark.outside(
    "eHow, 'How to calculate grain shrink': 1,000 lb from 25 to 15 % are 882 lb (mass right, percentage not)"
)
def test_a_thousand_pounds_dry_to_the_published_mass():
    assert half_up(Decimal(dried_mass(1_000_000, pct("25"), pct("15"))) / 1000, 0) == 882


@pytest.mark.parametrize(
    ("wet", "dry"),
    [
        ("10", "11.111"),
        ("12", "13.636"),
        ("14", "16.279"),
        ("16", "19.048"),
        ("18", "21.951"),
        ("20", "25.000"),
        ("15", "17.647"),
    ],
)
def test_wet_basis_becomes_dry_basis(wet, dry):
    assert half_up(wet_to_dry(pct(wet)), 3) == pct(dry)


@given(percents)
def test_the_two_bases_are_inverse(percent):
    exact = wet_to_dry(percent)
    assert 100 * exact / (100 + exact) == percent


@given(st.integers(0, 10**11), percents, percents)
def test_drying_and_wetting_again_comes_back(mg, before, after):
    there = dried_mass(mg, before, after)
    back = dried_mass(there, after, before)
    assert abs(back - mg) <= 1 + (100 - after) / (100 - before)


@given(st.integers(0, 10**11), percents)
def test_seed_that_is_not_dried_weighs_the_same(mg, percent):
    assert dried_mass(mg, percent, percent) == mg


def test_seed_that_took_up_water_shrinks_by_less_than_nothing():
    assert shrink_percent(pct("16"), pct("18")) < 0


@pytest.mark.parametrize(
    ("typed", "percent"),
    [
        ("16.2", "16.2"),
        ("16,2", "16.2"),
        ("16.2 %", "16.2"),
        ("16,2%", "16.2"),
        (16.2, "16.2"),
        (Decimal("0.160"), "0.160"),
        ("１６．２％", "16.2"),
    ],
)
def test_a_moisture_is_read(typed, percent):
    assert read_moisture(typed).percent == pct(percent)


@pytest.mark.parametrize(
    ("typed", "mistake"),
    [
        ("", AmountMissing),
        ("%", AmountMissing),
        ("dry", NotANumber),
        ("-1", MoistureOutOfRange),
        ("100", MoistureOutOfRange),
        (162, MoistureOutOfRange),
    ],
)
def test_what_cannot_be_a_moisture_is_refused(typed, mistake):
    with pytest.raises(mistake):
        read_moisture(typed)


@pytest.mark.parametrize("percent", ["5", "14.8", "16.2", "17.4", "20", "9.0"])
def test_a_usual_reading_is_not_asked_about(percent):
    assert moisture_mistakes(pct(percent)) == ()


def test_a_fraction_is_asked_about():
    (found,) = moisture_mistakes(pct("0.162"))
    assert isinstance(found, LooksLikeFraction)
    assert found.says == "0.162 % is too dry for beans. Did you mean 16.2 %?"
    assert moisture_mistakes(pct("0.160"))[0].proposal == "16.0"
    assert moisture_mistakes(read_moisture(0.16).percent)[0].says == "0.16 % is too dry for beans. Did you mean 16.0 %?"


def test_a_dry_basis_reading_is_asked_about_with_its_wet_basis():
    (found,) = moisture_mistakes(pct("21.1"))
    assert isinstance(found, LooksLikeDryBasis)
    assert found.says == (
        "21.1 % is high for beans coming in (15 to 18). Is it on dry basis? That would be 17.4 % wet basis."
    )
    assert found.proposal == "17.42"


@pytest.mark.parametrize("percent", ["0.01", "4.9", "1.62", "40.1", "99"])
def test_a_reading_far_from_any_bean_is_asked_about(percent):
    assert isinstance(moisture_mistakes(pct(percent))[0], MoistureUnlikely)


def test_the_limits_are_the_stations_own():
    limits = MoistureLimits(dry_basis_over=pct("25"))
    assert moisture_mistakes(pct("21.1"), limits) == ()


@pytest.mark.parametrize(
    ("percent", "over", "advice"),
    [("16.2", "16", "DRY or COOL"), ("16", "16", ""), ("15.8", "16", ""), ("15.8", "15.5", "DRY or COOL")],
)
def test_a_wet_lot_is_to_be_dried_or_cooled_over_the_limit(percent, over, advice):
    assert storage_advice(pct(percent), over=pct(over)) == Advice(advice)


@pytest.mark.parametrize("percent", ["-0.1", "100"])
def test_arithmetic_refuses_moistures_that_cannot_be(percent):
    with pytest.raises(ValueError, match="moisture"):
        dried_mass(1, pct(percent), pct("10"))


def test_dry_basis_may_be_over_a_hundred():
    assert dry_to_wet(pct("100")) == 50
