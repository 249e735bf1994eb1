"""Moisture figures in typed words."""

import pytest

from tests.grading.queries.figures.working import figure, refused


@pytest.mark.outside("Pioneer agronomy, moisture shrink: 1000 lb, 25.5 to 15.5, 0.5 % handling: 876.7 lb")
def test_a_mass_shrinks_as_published():
    values = figure(
        "shrink", before_pct="25.5", after_pct="15.5", mass="1000 lb", handling_pct="0.5", lb_per_bushel="56"
    ).values
    assert values["left"] == "876.657"
    assert values["bushels"] == "15.6546"


@pytest.mark.outside("eHow, how to calculate grain shrink: 1000 lb from 25 to 15 % are 882 lb (its per cent is wrong)")
def test_the_mass_of_the_page_is_right_and_its_per_cent_is_not():
    values = figure("shrink", before_pct="25", after_pct="15", mass="1000", unit="lb").values
    assert values["left"] == "882.353"
    assert values["water_shrink_pct"] == "11.7647"


def test_damp_is_said_only_over_the_canadian_limit():
    assert any("Damp" in note for note in figure("shrink", before_pct="18.1", after_pct="16").notes)
    assert not any("Damp" in note for note in figure("shrink", before_pct="18.0", after_pct="16").notes)


def test_water_taken_up_is_said():
    answer = figure("shrink", before_pct="16", after_pct="18", mass="1000")
    assert answer.values["left"] == "1024.390"
    assert "gains mass" in answer.notes[0]


@pytest.mark.parametrize(
    ("wet", "dry"),
    [("10", "11.1111"), ("12", "13.6364"), ("14", "16.2791"), ("16", "19.0476"), ("18", "21.9512"), ("20", "25.0000")],
)
def test_wet_and_dry_basis_go_both_ways(wet, dry):
    assert figure("dry basis", moisture_pct=wet).values["dry_basis_pct"] == dry
    back = figure("dry basis", moisture_pct=dry, basis="dry").values["wet_basis_pct"]
    assert float(back) == pytest.approx(float(wet), abs=0.001)


def test_a_test_weight_is_told_in_every_unit():
    values = figure("test weight", value="60", unit="lb/bu us").values
    assert (values["kg/hL"], values["lb/bu imperial"]) == ("77.2312", "61.9234")
    assert figure("test weight", value="60", unit="lb/bu imperial").values["kg/hL"] == "74.8323"


@pytest.mark.parametrize(
    ("name", "words", "field", "says"),
    [
        ("shrink", {"before_pct": "100", "after_pct": "16"}, "before_pct", "cannot be"),
        ("shrink", {"before_pct": "18", "after_pct": "-1"}, "after_pct", "cannot be"),
        ("shrink", {"before_pct": "18", "after_pct": "NaN"}, "after_pct", "cannot be read as a number"),
        ("shrink", {"before_pct": "", "after_pct": "16"}, "before_pct", "is missing"),
        ("shrink", {"before_pct": "18", "after_pct": "16", "mass": "10 stones"}, "mass", "not a unit of mass"),
        ("shrink", {"before_pct": "18", "after_pct": "16", "handling_pct": "30"}, "handling_pct", "up to 20"),
        ("dry basis", {"moisture_pct": "100"}, "moisture_pct", "up to 99"),
        ("dry basis", {"moisture_pct": "10", "basis": "moist"}, "basis", "Give wet or dry"),
        ("test weight", {"value": "0"}, "value", "from 1"),
        ("test weight", {"value": "60", "unit": "lb"}, "unit", "kg/hL"),
    ],
)
def test_what_cannot_be_is_a_sentence_at_its_field(name, words, field, says):
    assert says in refused(name, **words)[field]


def test_seed_that_takes_up_water_is_said_to_gain():
    says = figure("shrink", before_pct="16", after_pct="18").says
    assert says[0] == "The seed takes up water: 2.44 % of the first mass; with handling it gains 2.44 %."
