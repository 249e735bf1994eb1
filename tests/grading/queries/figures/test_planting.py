"""The figures of planting: seed for an area, seeds for a stand, a row's length, and what is refused."""

import json

import pytest

from grading.queries.figures import figure_of
from inventory.importing.words import fill
from inventory.rules.mistakes import Refused


def ask(name, **words):
    figure = figure_of(name)
    answer = figure.work_out(fill(figure.asks, words), None)
    assert json.dumps(answer.as_json)
    assert all(step.formula and step.source for step in answer.working)
    return answer


def test_eight_tenths_of_a_hectare_at_fifty_five_kilograms_takes_forty_four():
    answer = ask("seed for area", area="0.8 ha", rate="55 kg/ha")
    assert (answer.values["kg"], answer.says) == ("44.0000", ("0.8 ha at 55 kg/ha takes 44.0 kg (97.0 lb).",))
    assert "55 kg/ha × 0.8 ha = 44.0000 kg" in answer.working[0].formula


def test_overage_and_bags_are_taken_in():
    answer = ask("seed for area", area="0.8", rate="55 kg/ha", overage_pct="10", bag="25 kg")
    assert (answer.values["kg"], answer.values["bags"]) == ("48.4000", 2)
    assert "2 bags of 25 kg" in answer.says[0]


@pytest.mark.outside(
    "Iowa State University Extension: 50 acres at 150,000 seeds an acre, 2,750 a pound: 2,727.3 lb, 55 bags"
)
def test_fifty_acres_take_fifty_five_bags():
    answer = ask("seeds to sow", plants="150,000/acre", area="50 acres", seeds_per_lb="2,750", bag="50 lb")
    assert (answer.values["lb_per_acre"], answer.values["bags"]) == ("54.55", 55)
    assert "1,237.07 kg (2,727.3 lb), 55 bags of 50 lb" in answer.says[-1]


def test_a_stand_on_plots_gives_seeds_grams_and_the_distance_in_the_row():
    answer = ask(
        "seeds to sow", plants="25/m2", area="4.5 m2", plots="12", seed_weight_g_per_100="25", germination_pct="90",
        emergence_pct="90", purity_pct="100", row_width="30 in",
    )  # fmt: skip
    assert (answer.values["seeds"], answer.values["whole_seeds"], answer.values["grams"]) == ("138.89", 139, "34.722")
    assert (answer.values["kg"], answer.values["in_row_cm"]) == ("0.4167", "4.25")
    assert answer.says[:2] == ("Sow 139 seeds a plot, 34.72 g.", "All 12 plots take 0.42 kg (0.9 lb).")
    assert answer.notes == ()


@pytest.mark.parametrize(
    ("plants", "weight", "germination", "grams"),
    [("400", "20", "95", "84.211"), ("320", "35", "90", "124.444"), ("400", "18.9", "98", "77.143")],
)
def test_a_count_needs_no_area(plants, weight, germination, grams):
    answer = ask("seeds to sow", plants=plants, seed_weight_g_per_100=weight, germination_pct=germination)
    assert answer.values["grams"] == grams
    assert "count as 100 % where they are not given" in answer.notes[0]


def test_a_row_of_a_thousandth_of_an_acre_says_its_stand():
    answer = ask("row length", row_width="22 in", counted="62", plants="62,500/acre")
    assert (answer.values["feet"], answer.values["inches"], answer.values["plants_per_acre"]) == (23, 9, "62000")
    assert (answer.values["in_row_in"], answer.values["in_length"]) == ("4.56", "62.5")


@pytest.mark.parametrize(
    ("name", "words", "says", "field"),
    [
        ("seed for area", {"area": "0 ha", "rate": "55 kg/ha"}, "is no plot's", "area"),
        ("seed for area", {"area": "0.8 ha", "rate": "55"}, "Write it like 55 kg/ha", "rate"),
        ("seed for area", {"area": "0.8 ha", "rate": "55 kg/ha", "bag": "0 kg"}, "A bag holds 0 kg", "bag"),
        ("seed for area", {"area": "0.8 ha", "rate": "55 kg/ha", "overage_pct": "-5"}, "is -5 %", "overage_pct"),
        ("seed for area", {"area": "NaN", "rate": "NaN"}, "NaN", "area"),
        ("seeds to sow", {"plants": "25/m2", "seed_weight_g_per_100": "18"}, "Area is missing", "area"),
        ("seeds to sow", {"plants": "400"}, "Seed weight g per 100 is missing", "seed_weight_g_per_100"),
        ("seeds to sow", {"plants": "400", "seed_weight_g_per_100": "0"}, "is 0 g", "seed_weight_g_per_100"),
        ("seeds to sow", {"plants": "400", "seed_weight_g_per_100": "18", "seeds_per_lb": "2500"}, "Give one of them",
         "seeds_per_lb"),
        ("seeds to sow", {"plants": "0", "seed_weight_g_per_100": "18"}, "Plants is 0", "plants"),
        ("seeds to sow", {"plants": "400", "seed_weight_g_per_100": "18", "germination_pct": "0"}, "is 0 %",
         "germination_pct"),
        ("seeds to sow", {"plants": "400", "seed_weight_g_per_100": "18", "germination_pct": "101"}, "is 101 %",
         "germination_pct"),
        ("seeds to sow", {"plants": "400", "seed_weight_g_per_100": "18", "plots": "2.5"}, "Give a whole number",
         "plots"),
        ("seeds to sow", {"plants": "400", "seed_weight_g_per_100": "18", "row_width": "30"}, "Write it like 30 in",
         "row_width"),
        ("row length", {"row_width": "0 in"}, "lies over 0", "row_width"),
        ("row length", {"row_width": "30 in", "counted": "6.5"}, "Give a whole number", "counted"),
        ("row length", {"row_width": "30 in", "acre_part": "0"}, "is 0", "acre_part"),
    ],
)  # fmt: skip
def test_what_cannot_be_planned_is_a_sentence_at_its_field(name, words, says, field):
    with pytest.raises(Refused) as refused:
        ask(name, **words)
    assert any(says in one.says and one.field == field for one in refused.value.mistakes), refused.value.mistakes
