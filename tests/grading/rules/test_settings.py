"""What a rule set may set: which name wins, factors on gross, the least sample for dockage."""

import json
from decimal import Decimal
from importlib.resources import files

import pytest

from grading.rules.outcome import outcome
from grading.rules.portion import pooled
from grading.rules.rule_form import read_rule_set
from inventory.rules.mistakes import Refused
from tests.grading.bench import portion

FOLDER = files("grading") / "rule_sets"
GOOD = {"colour": "good_natural", "uniform_size": "yes"}


def written(name):
    return json.loads((FOLDER / f"{name}.json").read_text("utf-8"))


def test_where_select_and_no_1_both_fit_the_setting_says_which_name_wins():
    document = written("CA-BEANS")
    fits_both = portion("Pea 1000: splits 15", judged={"colour": "reasonably_good", "uniform_size": "yes"})
    assert outcome(read_rule_set(document), fits_both).grade == "Canada No. 1 Select"
    document["name_order"] = [
        *("Extra No. 1 Canada", "No. 1 Canada", "Canada No. 1 Select", "No. 1 Canada Select"),
        *("No. 2 Canada", "No. 3 Canada", "No. 4 Canada"),
    ]
    result = outcome(read_rule_set(document), fits_both)
    assert result.grade == "No. 1 Canada"
    assert result.qualifies_for[:2] == ("Canada No. 1 Select", "No. 1 Canada")
    assert [entry.kept_from for entry in result.limiting] == ["Extra No. 1 Canada"] * 2


def test_a_factor_may_stand_on_the_uncleaned_weight():
    document = written("QM-DEMO")
    document["factors"]["classes_that_blend"]["basis"] = "gross"
    sheet = portion("navy 500: classes_that_blend 20", gross_g=Decimal(1000), dockage_g=Decimal(46))
    blend = next(
        reading
        for reading in outcome(read_rule_set(document), sheet).readings
        if reading.factor.name == "classes_that_blend"
    )
    assert (str(blend.read_pct), blend.factor.basis) == ("2.00", "gross")
    with pytest.raises(Refused, match="Give gross_g"):
        outcome(read_rule_set(document), portion("navy 500: classes_that_blend 20"))


@pytest.mark.outside(
    "Canadian Grain Commission, Official Grain Grading Guide, 19 Beans, 'Determination of dockage': at least 1 kg"
)
@pytest.mark.parametrize(("gross", "is_said"), [("999.9", True), ("1000", False)])
def test_dockage_from_less_than_a_kilogram_is_said(gross, is_said):
    sheet = portion("Pinto 500:", gross_g=Decimal(gross), dockage_g=Decimal(12), judged=GOOD)
    notes = outcome(read_rule_set(written("CA-BEANS")), sheet).notes
    assert any("asks at least 1000 g" in note for note in notes) == is_said


def test_counted_stones_are_weighed_because_no_seed_weight_stands_for_them():
    sheet = portion("navy 500:", counts={"stones": 3}, seed_weight_g_per_100=Decimal(18))
    with pytest.raises(Refused, match="3 pieces were counted and not weighed"):
        outcome(read_rule_set(written("QM-DEMO")), sheet)


def test_a_pool_keeps_only_what_its_portions_agree_on():
    first = portion("Pinto 500:", judged=GOOD, moisture_pct=Decimal(16), counts={"damaged": 2, "splits": 1})
    second = portion("Pinto 500:", judged={"colour": "off"}, moisture_pct=Decimal(17), counts={"damaged": 3})
    both = pooled([first, second])
    assert (both.judged, both.moisture_pct, both.counts) == ({}, None, {"damaged": 5})
    assert pooled([first, first]).judged == GOOD
