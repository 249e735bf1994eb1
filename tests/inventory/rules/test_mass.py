"""Masses in and out."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.amounts import AmountMissing, NotANumber, TwoReadings
from inventory.rules.mass import (
    MG_PER_UNIT,
    GrossBelowTare,
    MassNegative,
    MassTooLarge,
    NetDiffers,
    UnitMissing,
    UnitUnknown,
    from_mg,
    kg_text,
    kg_words,
    net_mg,
    net_mistakes,
    read_mass,
    read_unit,
)


def mass(typed, unit="kg"):
    return read_mass(typed, unit=unit, field="gross")


@pytest.mark.outside(
    "International Yard and Pound Agreement (1959): 1 lb = 0.453 592 37 kg exactly, 1 oz = 1/16 lb; NIST Handbook "
    "44, appendix C (2020s editions): 1 ounce avoirdupois = 28.349 523 125 g, 1 short hundredweight = 45.359 237 "
    "kg"
)
def test_the_pound_is_the_one_of_the_agreement():
    assert mass("1", "lb").exact_mg * 10**2 == 45359237
    assert MG_PER_UNIT["oz"] == Decimal("28349.523125")
    assert MG_PER_UNIT["cwt"] == Decimal("45359237")


@pytest.mark.parametrize(
    ("typed", "unit", "mg"),
    [
        ("842", "kg", 842_000_000),
        ("842,0", "kg", 842_000_000),
        ("  842.0 kg", None, 842_000_000),
        ("1 240,5", "kg", 1_240_500_000),
        ("1\u202f240,5 kg", "kg", 1_240_500_000),
        ("1,240.5", "kg", 1_240_500_000),
        ("８４２ kg", None, 842_000_000),
        ("2,4 g", "kg", 2_400),
        ("1.5 t", None, 1_500_000_000),
        ("10 cwt", None, 453_592_370),
        ("16 oz", None, 453_592),
        ("500 Pounds", None, 226_796_185),
        ("500 livres", None, 226_796_185),
        ("12,5 kilogrammes", None, 12_500_000),
        ("3 toneladas", None, 3_000_000_000),
        ("3 onzas", None, 85_049),
        (842, "kg", 842_000_000),
        (12.42, "kg", 12_420_000),
        (Decimal("0.0000005"), "kg", 1),
        (0, "kg", 0),
    ],
)
def test_a_mass_is_read_in_its_unit(typed, unit, mg):
    assert read_mass(typed, unit=unit).mg == mg


def test_what_was_typed_is_kept():
    read = read_mass("  1680 lb", unit="kg", field="gross")
    assert (read.amount, read.unit, read.typed) == (Decimal(1680), "lb", "  1680 lb")


def test_a_unit_in_the_text_switches_and_says_so():
    assert mass("1680 lb").notes[0].says == "Read 1,680.0 as pounds, as it is written: 762.035 kg."
    assert mass("842.0 kg").notes == ()


def test_a_number_without_any_unit_is_not_guessed_at():
    with pytest.raises(UnitMissing) as caught:
        read_mass("842", unit=None, field="gross")
    assert caught.value.says == ("Gross 842.0 has no unit. Write it behind the number: 842.0 kg or 842.0 lb.")


@pytest.mark.parametrize("typed", ["5 ton", "5 quintal", "5 bushels", "5 kg net"])
def test_an_unknown_unit_is_named(typed):
    with pytest.raises(UnitUnknown):
        mass(typed)


@pytest.mark.parametrize(
    ("typed", "mistake"),
    [
        ("-3.5", MassNegative),
        ("100.000001 t", MassTooLarge),
        (1e30, MassTooLarge),
        ("1,234", TwoReadings),
        ("nan", NotANumber),
        (float("inf"), NotANumber),
        ("", AmountMissing),
        ("kg", NotANumber),
    ],
)
def test_a_mass_no_scale_shows_is_refused(typed, mistake):
    with pytest.raises(mistake):
        mass(typed)


def test_a_hundred_tonnes_are_still_read():
    assert mass("100 t").mg == 10**11


def test_net_in_pounds_is_converted_once():
    gross, tare = mass("1680", "lb"), mass("92.6", "lb")
    assert net_mg(gross, tare) == 720_032_528
    assert net_mistakes(gross, tare, mass("1587.4", "lb")) == ()


@given(st.decimals(0, 5000, places=2), st.decimals(0, 500, places=2))
def test_net_is_the_typed_difference_converted_once(tare, net):
    gross = read_mass(tare + net, unit="lb")
    assert net_mg(gross, read_mass(tare, unit="lb")) == read_mass(net, unit="lb").mg


def test_a_container_heavier_than_the_whole_is_said_in_its_own_numbers():
    with pytest.raises(GrossBelowTare) as caught:
        net_mg(mass("28.0"), mass("42.0"))
    assert caught.value.says == (
        "Gross 28.0 kg is less than the container, 42.0 kg. Weigh again, or scan the right container."
    )
    assert isinstance(net_mistakes(mass("28"), mass("42"), mass("14"))[0], GrossBelowTare)


def test_a_net_with_swapped_digits_is_asked_about_with_the_right_one():
    (found,) = net_mistakes(mass("13.05"), mass("0.10"), mass("12.59"))
    assert isinstance(found, NetDiffers)
    assert found.proposal == "12.95"
    assert found.says == (
        "Net 12.59 kg is not gross 13.05 kg minus tare 0.10 kg: that makes 12.95 kg. "
        "Is a digit wrong or are two swapped?"
    )


def test_a_net_from_a_formula_cell_is_not_asked_about():
    assert net_mistakes(mass(13.05), mass(0.1), mass(13.05 - 0.1)) == ()


def test_a_tare_in_another_unit_is_compared_to_the_decimals_of_the_net():
    assert net_mistakes(mass("762.0"), mass("92.6", "lb"), mass("720.0")) == ()
    assert net_mistakes(mass("762.0"), mass("92.6", "lb"), mass("721.0")) != ()


@pytest.mark.parametrize(
    ("word", "unit"),
    [
        ("Kg.", "kg"),
        ("(lb)", "lb"),
        ("LBS", "lb"),
        ("Pounds", "lb"),
        ("tonnes", "t"),
        ("métric ton", "t"),
        ("stone", None),
        ("", None),
    ],
)
def test_unit_words_are_read_in_three_languages(word, unit):
    assert read_unit(word) == unit


@given(st.integers(-(10**14), 10**14))
def test_kilograms_are_written_exactly(mg):
    assert Decimal(kg_text(mg)) * 1_000_000 == mg
    assert kg_words(mg).replace(",", "") == kg_text(mg)


def test_a_mass_is_shown_in_the_persons_unit():
    assert str(from_mg(720_032_528, "lb", 1)) == "1587.4"


@pytest.mark.parametrize(("unit", "mg"), [("KG", 2_000_000), ("lbs", 907_185), (" pounds ", 907_185)])
def test_an_agreed_unit_may_be_written_as_people_write_it(unit, mg):
    assert read_mass("2", unit=unit).mg == mg


def test_an_agreed_unit_that_is_none_is_refused_as_a_typed_one_is():
    with pytest.raises(UnitUnknown, match="is in 'stone', which is not a unit of mass here"):
        read_mass("2", unit="stone", field="mass")
    with pytest.raises(UnitMissing):
        read_mass("2", unit=" ", field="mass")
