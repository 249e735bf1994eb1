"""The written form of rule sets: every fault is a sentence at its place."""

import copy
import json
from datetime import date
from importlib.resources import files

import pytest

from grading.rules.rule_form import read_rule_set
from inventory.rules.mistakes import Refused

DEMO = json.loads((files("grading") / "rule_sets" / "QM-DEMO.json").read_text("utf-8"))
CANADA = json.loads((files("grading") / "rule_sets" / "CA-BEANS.json").read_text("utf-8"))


def changed(pointer, value, document=DEMO):
    """Give the document with one place changed; the value `...` takes the place out."""
    document = copy.deepcopy(document)
    *path, last = (int(part) if part.isdigit() else part for part in pointer.strip("/").split("/"))
    place = document
    for part in path:
        place = place[part]
    if value is ...:
        del place[last]
    else:
        place[last] = value
    return document


def test_it_reads_what_is_shipped_and_keeps_its_dates():
    demo = read_rule_set(DEMO)
    assert (demo.id, demo.edition, demo.in_force_from, demo.in_force_until) == ("QM-DEMO", "1", date(2024, 1, 1), None)
    assert demo.is_in_force(date(2024, 1, 1))
    assert not demo.is_in_force(date(2023, 12, 31))
    assert demo.factors["total_defects"].dishes == (
        *("splits", "damaged", "stones", "other_foreign_material"),
        "contrasting_classes",
    )


def test_which_name_wins_is_a_setting():
    order = [
        *("Extra No. 1 Canada", "No. 1 Canada", "Canada No. 1 Select", "No. 1 Canada Select"),
        *("No. 2 Canada", "No. 3 Canada", "No. 4 Canada"),
    ]
    assert read_rule_set(changed("/name_order", order, CANADA)).name_order == tuple(order)
    assert read_rule_set(CANADA).name_order is None


ROW = "/tables/0/grades/0"


@pytest.mark.parametrize(
    ("pointer", "value", "says"),
    [
        ("/source", ..., "The source is missing"),
        ("/source", "", "The source is empty"),
        ("/source", 3, "It should be a text"),
        ("/form", 2, "We read form 1"),
        ("/sauce", "x", "Did you mean source?"),
        ("/tables", {}, "It should be a list"),
        ("/tables", [], "It holds no table"),
        ("/tables/0", "navy", "It should be an object"),
        ("/tables/0/grades", [], "lists no grade"),
        (f"{ROW}/limits/stones", 0.2, "Write the limit as text"),
        (f"{ROW}/limits/stones", "0,20", "Write a figure with a point"),
        (f"{ROW}/limits/stones", "NaN", "Write a figure with a point"),
        (f"{ROW}/limits/stones", "-1", "Write a figure with a point"),
        (f"{ROW}/limits/stones", "101", "Write a figure with a point"),
        (f"{ROW}/limits/stones", ..., "No. 1 has no limit for stones, its neighbours have"),
        (f"{ROW}/limits/stons", "0.20", "Did you mean stones?"),
        (f"{ROW}/limits/stones", "0.50", "stones: No. 2 allows 0.40 %, less than the 0.50 % of No. 1 above it"),
        (f"{ROW}/grade", "No. 2", "No. 2 stands twice"),
        (f"{ROW}/needs", {"colour": "off"}, "We know no judged thing 'colour'"),
        ("/tables/0/applies_to", ["navy", "Navy beans", "Demo"], "stands in two tables"),
        ("/factors/total_defects/sum_of", ["splits", "stons"], "Did you mean stones?"),
        ("/factors/total_defects/sum_of", ["splits", "stones", "foreign_material"], "sums stones twice"),
        ("/factors/total_defects/sum_of", ["splits", "total_defects"], "summed from itself"),
        ("/factors/foreign_material/sum_of", ["total_defects", "unknown"], "summed from itself"),
        ("/factors/splits/basis", "gross", "the same for all its dishes"),
        ("/factors/classes_that_blend/basis", "net", 'Use "cleaned" or "gross"'),
        ("/name_order", ["No. 1"], "a list of every grade name"),
        ("/name_order", 1, "a list of every grade name"),
        ("/in_force/from", "1/1/2024", "Write a date such as 2024-01-31"),
        ("/in_force/until", "2023-01-01", "before it begins"),
        ("/dockage/read_to", "tenth", 'Write it as text such as "0.1"'),
        ("/dockage/least_g", "1 kg", "Write whole grams"),
        ("/parts_read_to", 0.01, "It should be a text"),
        ("/instead", [{"factor": "x", "over": "2.5", "name": "y", "source": "z"}], "We know no factor 'x'"),
        ("/id", "QM DEMO", "letters, digits and hyphens"),
        ("/edition", "1" * 41, "edition has 41 signs"),
        ("/rounding", "down", "Known: as_written and none"),
        ("/standing", "doubtful", "Known: read and unverified"),
        ("/name_order", ["No. 1", "No. 3", "No. 4"], "No. 2 is missing. No. 4 is no grade of its tables."),
        ("/name_order", ["No. 1", "No. 2", "No. 3", "No. 3"], "No. 3 stands twice."),
        ("/factors/splits/taken_by", "eye", "Known: weight, count, reading and per_mass"),
        ("/factors/splits/taken_by", "count", "its dishes by count, weight"),
        ("/factors/total_defects/taken_by", "reading", "Leave out its sum_of"),
        ("/factors/total_defects/counted", {"splits": "0.5"}, 'such as "1/2"'),
        ("/factors/total_defects/counted", {"splits": "3/2"}, "at most the whole"),
        ("/factors/total_defects/counted", {"spilts": "1/2"}, "Did you mean splits?"),
        ("/factors/splits/least_portion_g", "half", "Write whole grams"),
        ("/tables/0/least_portion_g", "0.5", "Write whole grams"),
        ("/class_changes", [{"factor": "x", "over": "2.0", "makes": "Mixed", "source": "s"}], "We know no factor 'x'"),
        (
            "/class_changes",
            [{"factor": "splits", "over": "2 %", "makes": "Mixed", "source": "s"}],
            "The over of class change 1 is '2 %'",
        ),
        (
            "/below_last/further",
            [
                {"factor": "splits", "over": "9", "name": "out of type", "source": "s"},
                {"factor": "splits", "over": "8", "name": "disqualified", "source": "s"},
            ],
            "List the nearest first",
        ),
        (
            "/additions",
            [{"word": "Damp", "reading": "moistness", "over": "18.0", "source": "s"}],
            "We know no reading 'moistness'",
        ),
        (
            "/tables/0/allowances",
            [{"classes": ["pea"], "dish": "splits", "up_to": "2", "not_counted_in": ["total_defects"], "source": "s"}],
            "We know no class of demo 'pea'",
        ),
        (
            "/tables/0/allowances",
            [{"classes": ["navy"], "dish": "total_defects", "up_to": "2", "not_counted_in": ["splits"], "source": "s"}],
            "We know no dish 'total_defects'",
        ),
        (
            "/tables/0/allowances",
            [{"classes": ["navy"], "dish": "stones", "up_to": "two", "not_counted_in": ["splits"], "source": "s"}],
            "splits does not count stones",
        ),
    ],
)
def test_it_says_what_is_wrong_with_a_form_and_where(pointer, value, says):
    document = changed(pointer, value)
    if "two tables" in says:
        document["tables"].append({**DEMO["tables"][0], "class": "Other", "table": "second"})
    with pytest.raises(Refused) as refused:
        read_rule_set(document)
    assert says in str(refused.value)
    assert all(mistake.field.startswith("/") for mistake in refused.value.mistakes)


def test_a_word_of_quality_must_be_one_that_graders_use():
    with pytest.raises(Refused, match="Did you mean good_natural"):
        read_rule_set(changed("/tables/0/grades/0/needs/colour", "good natural", CANADA))


def test_tables_in_another_order_can_say_so():
    document = changed(f"{ROW}/limits/stones", "0.50")
    document["tables"][0]["any_order"] = True
    assert read_rule_set(document).tables[0].grades[0].limits["stones"] == "0.50"


def test_null_means_that_no_limit_is_printed():
    assert "stones" not in read_rule_set(changed(f"{ROW}/limits/stones", None)).tables[0].grades[0].limits


@pytest.mark.parametrize("document", [None, [], "QM-DEMO", 3])
def test_a_rule_set_is_an_object(document):
    with pytest.raises(Refused, match="Give an object"):
        read_rule_set(document)


def test_unverified_limits_say_why():
    with pytest.raises(Refused, match="Say why these limits are unverified"):
        read_rule_set({**DEMO, "standing": "unverified", "notes": []})
    assert read_rule_set(DEMO).is_verified
    assert not read_rule_set({**DEMO, "standing": "unverified"}).is_verified


def test_none_at_all_is_tighter_than_any_figure():
    document = changed("/tables/0/grades/0/limits/stones", "nil")
    assert read_rule_set(document).tables[0].grades[0].limits["stones"] == "nil"
    with pytest.raises(Refused, match="allows nil %, less than the"):
        read_rule_set(changed("/tables/0/grades/1/limits/stones", "nil"))


def test_everything_wrong_is_said_at_once():
    document = changed(f"{ROW}/limits/stones", "x")
    document["in_force"]["from"] = "yesterday"
    with pytest.raises(Refused) as refused:
        read_rule_set(document)
    assert [mistake.field for mistake in refused.value.mistakes] == [f"{ROW}/limits/stones", "/in_force/from"]
