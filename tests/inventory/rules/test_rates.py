"""Rates, populations and lengths as people write them."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.mistakes import Mistake
from inventory.rules.rates import is_rate, read_length, read_population, read_seed_rate


@pytest.mark.parametrize(
    ("typed", "kg_per_ha"),
    [
        ("55 kg/ha", "55"), ("55kg / ha", "55"), ("55 kg per hectare", "55"), ("5.5 g/m²", "55"), ("5,5 g/m2", "55"),
        ("1 lb/ac", "45359237/40468564.224"), ("55 kg par ha", "55"), ("0.055 t/ha", "55"),
    ],
)  # fmt: skip
def test_a_seed_rate_is_read_exactly(typed, kg_per_ha):
    top, _slash, bottom = kg_per_ha.partition("/")
    assert read_seed_rate(typed).per_ha == Fraction(top) / Fraction(bottom or 1)


@pytest.mark.outside("The SI Brochure (BIPM, 9th ed. 2019) and the Yard and Pound Agreement (1959): 1 lb/acre in kg/ha")
def test_a_pound_an_acre_is_so_many_kilograms_a_hectare():
    assert float(read_seed_rate("1 lb/acre").per_ha) == pytest.approx(1.120851, abs=5e-7)


@pytest.mark.parametrize(
    ("typed", "per_m2"),
    [
        ("25/m2", "25"), ("25 plants/m²", "25"), ("250,000/ha", "25"), ("250 000 plants per ha", "25"),
        ("27,5/m2", "27.5"),
        ("250000 plantas/ha", "25"),
    ],
)  # fmt: skip
def test_a_population_is_read_exactly(typed, per_m2):
    assert read_population(typed).per_m2 == Fraction(per_m2)


def test_a_population_per_acre_is_said_per_acre_again():
    assert read_population("62,500 plants/acre").per_acre == 62_500


@pytest.mark.parametrize(
    ("typed", "metres"),
    [("30 in", "0.762"), ('30"', "0.762"), ("75 cm", "0.75"), ("2.5 ft", "0.762"), ("0,75 m", "0.75"),
     ("30 pouces", "0.762")],
)  # fmt: skip
def test_a_length_is_read_exactly(typed, metres):
    assert read_length(typed) == Fraction(metres)


@pytest.mark.parametrize(
    ("read", "typed", "says"),
    [
        (read_seed_rate, "", "has no number"), (read_seed_rate, "55", "Write it like 55 kg/ha"),
        (read_seed_rate, "55 kg", "Write it like"), (read_seed_rate, "55 bags/ha", "Write it like"),
        (read_seed_rate, "55 kg/row", "Write it like"), (read_seed_rate, "0 kg/ha", "lies over 0"),
        (read_seed_rate, "5000 kg/ha", "up to 2000 kg/ha"), (read_seed_rate, "NaN kg/ha", "cannot be read"),
        (read_seed_rate, "-55 kg/ha", "lies over 0"), (read_population, "25", "Write it like 25/m2"),
        (read_population, "25 cows/m2", "Write it like"), (read_population, "0/m2", "lies over 0"),
        (read_population, "62500/m2", "up to 2000/m2"), (read_length, "30", "Write it like 30 in"),
        (read_length, "0 cm", "lies over 0"), (read_length, "", "has no number"),
        (read_length, "2 km", "Write it like"),
        (read_length, None, "has no number"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_a_sentence_at_its_field(read, typed, says):
    with pytest.raises(Mistake) as refused:
        read(typed, field="rate")
    assert says in refused.value.says
    assert refused.value.field == "rate"


@given(st.text(max_size=20), st.sampled_from([read_seed_rate, read_population, read_length]))
def test_any_text_is_read_or_is_a_sentence(text, read):
    try:
        read(text)
    except Mistake as mistake:
        assert mistake.says


@pytest.mark.parametrize(("typed", "yes"), [("25/m2", True), ("25 per m2", True), ("400", False), (400, False)])
def test_so_much_per_area_is_told_from_a_count(typed, yes):
    assert is_rate(typed) is yes
