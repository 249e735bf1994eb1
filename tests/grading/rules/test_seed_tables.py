"""The shipped tables of seed grades, cell by cell, typed from their sources in another layout.

Sources: Seeds Regulations (Canada), C.R.C., c. 1400, consolidation of 2025-07-25, Schedule I, Tables V and XVIII, s. 7;
7 CFR 201.76, Table 5; Michigan Administrative Code, R 285.623.203 (1994 AACS); Codex Standard for Certain Pulses, CXS
171-1989 (Rev. 1-1995).
"""

import json
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from importlib.resources import files
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grading.queries.answers import graded
from grading.queries.answers_in_words import answer_lines
from grading.queries.figures.grading_words import rule_set_of
from grading.queries.in_force import GradesSeed, NotInForce, rule_set_for
from grading.queries.rule_tables import head_line, rule_set_lines
from grading.queries.shipped import shipped_rule_set
from grading.rules.outcome import outcome
from grading.rules.portion import Portion
from grading.rules.rows import shortfalls
from grading.rules.rule_form import read_rule_set
from grading.rules.rule_set import RuleSet
from inventory.rules.mistakes import Refused

# One column a line: what it limits, then the grades from the best to the last, as printed.
CANADA = {
    "Table V": "Canada Foundation No. 1; Canada Foundation No. 2; Canada Registered No. 1; Canada Registered No. 2;"
    " Canada Certified No. 1; Canada Certified No. 2; Common No. 1; Common No. 2",
    "Table XVIII": "Canada Foundation No. 1; Canada Foundation No. 2; Canada Registered No. 1; Canada Registered No. 2;"
    " Canada Certified No. 1; Canada Certified No. 2; Canada No. 1; Canada No. 2",
}
FOLDER = files("grading") / "rule_sets"
COLUMNS = {"weed_seeds": "0 0 0 0 0 0 1 3", "other_crop_seeds": "0 0 0 1 1 3 4 10",
           "germination": "85 75 85 75 85 75 80 65"}  # fmt: skip
BY_SECTION_7 = ("Canada Foundation No. 2", "other_crop_seeds")  # s. 7(4.2), 7(10.2): one in 2 kg, despite the tables
SOURCE = "Seeds Regulations (Canada), C.R.C., c. 1400 (2025), Schedule I, {}, and s. 7"
FIELD = {"rule_set": "CA-SEED-BEAN", "class": "field bean", "portion_g": "1000", "weights_g": {}}
NONE_FOUND = {"weed_seeds": 0, "other_crop_seeds": 0, "prohibited_noxious_weed_seeds": 0}


def cells() -> Iterator[Any]:
    for table, names in CANADA.items():
        mark = pytest.mark.outside(SOURCE.format(table))
        for column, printed in COLUMNS.items():
            for grade, limit in zip(names.split("; "), printed.split(), strict=True):
                yield pytest.param(table, grade, column, limit, id=f"{table}, {grade}, {column}", marks=mark)


def row_of(rule_set: str, table: str, grade: str) -> Any:
    [found] = [each for each in shipped_rule_set(rule_set).tables if each.table.endswith(table)]
    return next(row for row in found.grades if row.name == grade)


@pytest.mark.parametrize(("table", "grade", "column", "limit"), cells())
def test_each_canadian_cell_is_as_printed(table: str, grade: str, column: str, limit: str) -> None:
    wanted = "0.5" if (grade, column) == BY_SECTION_7 else limit
    assert row_of("CA-SEED-BEAN", table, grade).limits[column] == wanted


@pytest.mark.outside(SOURCE.format("s. 7(4.2): one other crop seed in 2 kg"))
@pytest.mark.parametrize(("grams", "found", "meets"), [("2000", 1, True), ("1000", 1, False), ("2000", 2, False)])
def test_foundation_no_2_may_hold_one_other_crop_seed_in_two_kilograms(grams: str, found: int, meets: bool) -> None:
    answer = seed(portion_g=grams, counts={**NONE_FOUND, "other_crop_seeds": found}, status="foundation")
    assert ("Canada Foundation No. 2" in answer["qualifies_for"]) is meets


@pytest.mark.outside(SOURCE.format("s. 7(1)(b) to (d): a grade takes seed of its own status or of a higher one"))
@pytest.mark.parametrize(
    ("status", "best"),
    [("foundation", "Canada Foundation No. 1"), ("registered", "Canada Registered No. 1"),
     ("certified", "Canada Certified No. 1"), ("none", "Common No. 1")],
)  # fmt: skip
def test_status_goes_down_and_never_up(status: str, best: str) -> None:
    assert seed(status=status)["grade"] == best


@pytest.mark.outside(SOURCE.format("s. 7(1)(a): no prohibited noxious weed seeds in any grade"))
def test_a_prohibited_noxious_weed_seed_bars_every_grade() -> None:
    answer = seed(counts={**NONE_FOUND, "prohibited_noxious_weed_seeds": 1})
    assert (answer["grade"], answer["qualifies_for"]) == (
        "No seed grade, account prohibited noxious weed seeds", [],
    )  # fmt: skip


@pytest.mark.outside("7 CFR 201.76, Table 5: bean, field and garden")
@pytest.mark.parametrize(("grade", "limit"), [("Foundation", "0.05"), ("Registered", "0.1"), ("Certified", "0.2")])
def test_each_cell_of_the_federal_classes_is_as_printed(grade: str, limit: str) -> None:
    row = row_of("US-SEED-CLASSES", "Table 5", grade)
    assert (dict(row.limits), dict(row.needs)) == ({"other_varieties": limit}, {"field": grade.lower()})


@pytest.mark.outside("Michigan Administrative Code, R 285.623.203 (1994 AACS)")
@pytest.mark.parametrize(
    ("column", "foundation", "certified"),
    [("pure_seed", "99.0", "99.0"), ("inert_matter", "1.0", "1.0"), ("weed_seeds", "nil", "nil"),
     ("other_crop_seeds", "2", "5"), ("other_varieties", "20", "20"), ("contrasting_coloured", "2", "2"),
     ("common_mosaic", "3.0", "5.0"), ("anthracnose_or_blight", "nil", "nil")],
)  # fmt: skip
def test_each_cell_of_the_michigan_rule_is_as_printed(column: str, foundation: str, certified: str) -> None:
    rows = {row.name: row.limits[column] for row in shipped_rule_set("US-MI-BEAN-SEED").tables[0].grades}
    assert rows == {"Foundation": foundation, "Certified": certified}


@pytest.mark.outside("Codex Standard for Certain Pulses, CXS 171-1989 (Rev. 1-1995), s. 3.2.2")
@pytest.mark.parametrize(
    ("column", "limit"), [("extraneous_matter", "1"), ("mineral_matter", "0.25"), ("animal_impurities", "0.10")]
)
def test_each_cell_of_the_codex_standard_is_as_printed(column: str, limit: str) -> None:
    assert shipped_rule_set("CODEX-171").tables[0].grades[0].limits[column] == limit


@pytest.mark.outside("US customary units: 1 lb is 0.45359237 kg, so that a hundredweight of 100 lb is 45,359.237 g")
def test_a_hundredweight_is_a_hundred_pounds() -> None:
    grams = {each.per_g for each in shipped_rule_set("US-MI-BEAN-SEED").factors.values() if each.per_g}
    assert grams == {str(Decimal("0.45359237") * 1000 * 100).rstrip("0")}


def seed(status: str = "certified", germination: Any = "91", **changes: Any) -> dict[str, Any]:
    """The answer to a field bean of which nothing but seed was found."""
    usual = {"counts": NONE_FOUND, "readings": {"germination_pct": germination}, "appearance": {"status": status}}
    return graded({**FIELD, **usual, **changes})


@pytest.mark.parametrize(
    ("germination", "grade"),
    [("100", "Canada Certified No. 1"), ("85", "Canada Certified No. 1"), ("84.999", "Canada Certified No. 2"),
     ("75", "Canada Certified No. 2"), ("74", "Common No. 2"), ("64", "No seed grade, account germination"),
     ("0", "No seed grade, account germination")],
)  # fmt: skip
def test_a_germination_is_held_against_the_least_that_will_do(germination: str, grade: str) -> None:
    assert seed(germination=germination)["grade"] == grade


def test_a_least_is_rounded_as_it_is_written_where_the_rule_set_rounds() -> None:
    rounding = replace(shipped_rule_set("CA-SEED-BEAN"), rounds=True)
    assert [_grade(rounding, each) for each in ("84.5", "84.49")] == [
        "Canada Certified No. 1", "Canada Certified No. 2",
    ]  # fmt: skip


def _grade(rule_set: RuleSet, germination: str) -> str:
    words = {"judged": {"status": "certified"}, "readings": {"germination_pct": Decimal(germination)}}
    return outcome(rule_set, Portion("field bean", Decimal(1000), {}, counts=NONE_FOUND, **words)).grade


@settings(max_examples=150, deadline=None)
@given(
    st.tuples(st.integers(0, 12), st.integers(0, 12), st.integers(0, 1)),
    st.decimals(60, 90, places=2),
    st.sampled_from(["foundation", "registered", "certified", "none"]),
    st.sampled_from(["1000", "2000", "943.7"]),
    st.booleans(),
)
def test_every_row_is_barred_by_the_same_things_as_limit_by_limit(
    found: tuple[int, int, int], germination: Decimal, status: str, grams: str, rounds: bool
) -> None:
    rule_set = replace(shipped_rule_set("CA-SEED-BEAN"), rounds=rounds)
    counts = dict(zip(("weed_seeds", "other_crop_seeds", "prohibited_noxious_weed_seeds"), found, strict=True))
    readings = {"germination_pct": germination}
    portion = Portion("field bean", Decimal(grams), {}, counts=counts, judged={"status": status}, readings=readings)
    result = outcome(rule_set, portion)
    shares = {name: Fraction(n * 1000) / Fraction(grams) / 100 for name, n in counts.items()}
    shares["germination"] = Fraction(germination) / 100
    assert result.shares == shares
    for row in result.table.grades:
        plain = shortfalls(rule_set, row, shares, portion.judged)
        assert sorted(result.short[row.name], key=str) == sorted(plain, key=str)


def test_the_working_says_counts_tests_and_which_side_the_limit_is_on() -> None:
    answer = seed(portion_g="943.7", counts={**NONE_FOUND, "other_crop_seeds": 3}, germination="79")
    steps = {step["gives"]: step for step in answer["working"]}
    assert steps["other crop seeds"]["formula"] == "3 pieces / 943.7 g × 1000 g = 3.178976"
    assert steps["germination"]["formula"] == "79 % as tested"
    assert steps["germination"]["source"].startswith("Schedule I, Table V: at least Canada Foundation No. 1 85")
    assert steps["Canada Certified No. 1"]["formula"] == (
        "not met: other crop seeds 3.178976 > 1; germination 79 < 85"
    )  # fmt: skip
    assert "germination 79 ≥ 65" in steps["Common No. 2"]["formula"]


def test_as_lines_it_says_units_and_gives_no_chance() -> None:
    stored = {"sample": "G1", "lot": "24-0001-5", "date": "2024-11-01", "grader": "bench-1", "file_sample_of": None}
    lines = answer_lines({**seed(), **stored})
    assert "  other crop seeds 0 per kg in the portion" in lines
    assert "  germination 91 % as tested" in lines
    assert any(line.startswith("No chance is said of tests and counts here") for line in lines)


def test_the_table_says_least_and_per_kilogram() -> None:
    lines = rule_set_lines(shipped_rule_set("CA-SEED-BEAN"))
    assert any(line.startswith("germination (not less than)") for line in lines)
    assert any(line.startswith("other crop seeds (per kg)") for line in lines)
    assert head_line(shipped_rule_set("CA-SEED-BEAN")).endswith("seed grades, used only where they are named")


@pytest.mark.parametrize(
    ("changes", "field", "says"),
    [
        ({"readings": {}}, "readings.germination_pct", "asks for germination. Give what the test says"),
        ({"counts": {"weed_seeds": 0, "prohibited_noxious_weed_seeds": 0}}, "counts.other_crop_seeds", "0 for none"),
        ({"appearance": {}}, "appearance.status", "foundation, registered, certified or none"),
        ({"appearance": {"status": "breeder"}}, "appearance.status", "breeder"),
        ({"readings": {"germination_pct": "101"}}, "readings.germination_pct", "100"),
        ({"readings": {"germination_pct": "NaN"}}, "readings.germination_pct", "NaN"),
        ({"readings": {"germination_pct": 91, "vigour_pct": 3}}, "readings.vigour_pct", "vigour_pct"),
        ({"readings": [91]}, "readings", "readings"),
        ({"counts": {**NONE_FOUND, "weed_seeds": "1.5"}}, "counts.weed_seeds", "counted whole"),
        ({"weights_g": {"weed_seeds": "0.1"}}, "weights_g.weed_seeds", "Give the pieces as counts.weed_seeds"),
        ({"counts": {**NONE_FOUND, "weeds": 1}}, "counts.weeds", "weed_seeds"),
        ({"class": "pinto"}, "class", "pinto"),
        ({"portion_g": "0"}, "portion_g", "0 g"),
    ],
    ids=lambda one: str(one)[:40],
)
def test_a_seed_grade_is_refused_where_anything_that_it_claims_is_not_given(
    changes: dict[str, Any], field: str, says: str
) -> None:
    with pytest.raises(Refused) as refused:
        seed(**changes)
    assert any(each.field == field and says in each.says for each in refused.value.mistakes)


def test_readings_of_tests_are_nothing_to_a_rule_set_of_the_market() -> None:
    with pytest.raises(Refused, match="germination_pct"):
        graded({**FIELD, "rule_set": "CA-BEANS", "class": "pinto", "readings": {"germination_pct": 91}})


def test_seed_grades_are_never_chosen_for_a_portion_nor_taken_where_they_are_named() -> None:
    for wanted in ("field bean", "garden bean"):
        with pytest.raises(NotInForce):
            rule_set_for("", wanted, date(2025, 10, 1), "QM")
    with pytest.raises(GradesSeed, match=r"ask `manage\.py grade -` for a seed grade"):
        rule_set_for("CA-SEED-BEAN", "field bean", date(2025, 10, 1), "QM")
    with pytest.raises(GradesSeed):
        rule_set_of("ca-seed-bean")


def changed(pointer: str, value: Any) -> dict[str, Any]:
    """The written Canadian form with one value changed."""
    document: dict[str, Any] = json.loads((FOLDER / "CA-SEED-BEAN.json").read_text("utf-8"))
    *path, last = pointer.strip("/").split("/")
    inner: Any = document
    for name in path:
        inner = inner[int(name)] if isinstance(inner, list) else inner[name]
    inner[last] = value
    return document


WEED, GERMINATION = "/factors/weed_seeds", "/factors/germination"
LIMITS = "/tables/0/grades/0/limits"


@pytest.mark.parametrize(
    ("pointer", "value", "says"),
    [
        ("/purpose", "sowing", "We know no purpose 'sowing'"),
        (f"{WEED}/per_g", "0", 'Write the grams as per_g, as text such as "1000"'),
        (f"{WEED}/per_g", "a kilogram", "Write the grams as per_g"),
        (f"{WEED}/taken_by", "weight", "per_g is of factors with taken_by"),
        (f"{WEED}/sum_of", ["other_crop_seeds"], "stands alone. Leave out its sum_of"),
        (f"{WEED}/basis", "gross", "stands alone"),
        (f"{WEED}/limit_is", "lowest", "We know no side of a limit 'lowest'"),
        (f"{WEED}/reads", "germination_pct", "reads names the reading of a factor"),
        (f"{GERMINATION}/reads", "germination", "reads names the reading"),
        (f"{GERMINATION}/taken_by", "count", "Only what is read off"),
        (f"{LIMITS}/germination", "nil", "asks at least nil of germination"),
        (f"{LIMITS}/germination", "101", 'from "0" to "100"'),
        (f"{LIMITS}/weed_seeds", "1000", 'from "0" to "999"'),
        ("/tables/0/any_order", False, "asks 85 %, more than the 75 % of Canada Foundation No. 2"),
    ],
)
def test_a_form_says_what_is_wrong_with_a_reading_or_a_count_in_grams(pointer: str, value: Any, says: str) -> None:
    with pytest.raises(Refused) as refused:
        read_rule_set(changed(pointer, value))
    assert says in str(refused.value)
