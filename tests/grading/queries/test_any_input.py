"""Whatever is sent, the answer is a grade or sentences: never anything else."""

import json

from hypothesis import given, settings
from hypothesis import strategies as st

from grading.queries.answers import graded
from grading.queries.shipped import shipped_rule_sets
from grading.rules.exact_json import read_object
from grading.rules.portion_form import KNOWN
from grading.rules.rule_set import RuleSet
from inventory.rules.mistakes import Refused

WORDS = st.sampled_from(
    [
        *("splits", "damaged", "stones", "foreign_material", "portion", "colour", "uniform_size", "odour", "factors"),
        *("navy", "Pinto", "QM-DEMO", "CA-BEANS", "good_natural", "off", "g", "1.5", "1e9", "-2", "NaN", "", "é\u0000"),
    ]
)
LEAVES = st.one_of(st.none(), st.booleans(), st.integers(-5, 2000), st.floats(), WORDS)
VALUES = st.recursive(LEAVES, lambda part: st.lists(part, max_size=3) | st.dictionaries(WORDS, part, max_size=4))
SHEETS = st.fixed_dictionaries({}, optional=dict.fromkeys(KNOWN, VALUES))
WEIGHTS = st.decimals(0, 20, places=3).map(str)
DISHES = ("splits", "damaged", "stones", "other_foreign_material", "contrasting_classes", "classes_that_blend")


def _grades_these(rule_set: RuleSet) -> bool:
    return "navy" in rule_set.table_by_class and set(DISHES) <= set(rule_set.factor_by_any_name)


GOOD_SHEETS = st.fixed_dictionaries(
    {
        "rule_set": st.sampled_from([each.id for each in shipped_rule_sets() if _grades_these(each)]),
        "class": st.just("Navy"),
        "portion_g": st.decimals(150, 2000, places=2).map(str),
        "weights_g": st.dictionaries(st.sampled_from(DISHES), WEIGHTS),
    },
    optional={
        "moisture_pct": st.decimals(5, 30, places=2).map(str),
        "seed_weight_g_per_100": st.decimals(15, 60, places=1).map(str),
        "stops": st.lists(st.sampled_from(["odour", "fireburnt"]), max_size=2),
    },
)


@settings(max_examples=300)
@given(SHEETS)
def test_any_object_is_graded_or_refused_in_sentences(sheet):
    try:
        assert graded(read_object(json.dumps(sheet)))["grade"]
    except Refused as refused:
        assert all(mistake.says.endswith((".", "?")) for mistake in refused.mistakes)


@given(GOOD_SHEETS)
def test_a_grade_never_stands_without_what_holds_it_back(sheet):
    result = graded(sheet)
    best = result["qualifies_for"][:1]
    every = [row["limits"] for row in result["factors"] if row["limits"]]
    first_listed = next(iter(every[0]))
    assert bool(result["limiting"]) == (best != [first_listed])
    for entry in result["limiting"]:
        assert entry["limit"] is None or float(entry["read_pct"]) > float(entry["limit"])


@given(GOOD_SHEETS, st.sampled_from(DISHES))
def test_more_of_a_defect_never_makes_a_grade_better(sheet, dish):
    sheet = {name: value for name, value in sheet.items() if name != "stops"}
    more = {**sheet["weights_g"], dish: str(float(sheet["weights_g"].get(dish, 0)) + 5)}
    assert set(graded({**sheet, "weights_g": more})["qualifies_for"]) <= set(graded(sheet)["qualifies_for"])
