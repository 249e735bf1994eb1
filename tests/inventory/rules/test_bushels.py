"""Test weight between bushels and hectolitres."""

from decimal import Decimal

import pytest

from inventory.rules.bushels import UNITS, from_kg_per_hl, kg_per_hl, step_of
from inventory.rules.rounding import half_up


@pytest.mark.outside("definitions of pound and bushel: 1 lb/US bu is 1.28718598 kg/hL, 1 lb/imperial bu 1.24720466")
@pytest.mark.parametrize(("unit", "kg_hl"), [("lb/bu us", "1.28718598"), ("lb/bu imperial", "1.24720466")])
def test_a_pound_to_the_bushel_is_so_many_kilograms_to_the_hectolitre(unit, kg_hl):
    assert half_up(kg_per_hl(Decimal(1), unit), 8) == Decimal(kg_hl)


@pytest.mark.outside("Canadian Grain Commission, conversion equations: lb/bu (Avery) = kg/hL / 1.247")
@pytest.mark.parametrize("kg_hl", ["60", "70", "74.8", "77.2", "80", "85"])
def test_an_imperial_bushel_weighs_what_the_canadian_equation_gives(kg_hl):
    exact = from_kg_per_hl(kg_per_hl(Decimal(kg_hl), "kg/hL"), "lb/bu imperial")
    assert float(exact) == pytest.approx(float(kg_hl) / 1.247, abs=0.02)


@pytest.mark.outside("Canadian Grain Commission, conversion equations: lb/bu (Winchester) = g/0.5 L x 0.1552")
@pytest.mark.parametrize("grams", ["360", "380", "400"])
def test_half_a_litre_weighs_within_two_tenths_per_cent_of_the_canadian_factor(grams):
    exact = from_kg_per_hl(kg_per_hl(Decimal(grams), "g/0.5 L"), "lb/bu us")
    assert float(exact) == pytest.approx(float(grams) * 0.1552, rel=0.002)


@pytest.mark.parametrize("unit", UNITS)
def test_there_and_back_changes_nothing(unit):
    assert from_kg_per_hl(kg_per_hl(Decimal("61.7"), unit), unit) == Decimal("61.7")


@pytest.mark.parametrize("unit", UNITS)
def test_every_unit_shows_its_working(unit):
    assert "77.2" in step_of(Decimal("60"), unit, "77.2").formula
