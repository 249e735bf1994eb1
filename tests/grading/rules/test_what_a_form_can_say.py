"""What the written form of a rule set can say beyond a plain ladder of limits."""

import json
from decimal import Decimal
from importlib.resources import files
from typing import Any

import pytest

from grading.rules.outcome import Outcome, outcome
from grading.rules.portion import Overlap
from grading.rules.rule_form import read_rule_set
from inventory.rules.mistakes import Refused
from tests.grading.bench import portion

DEMO = (files("grading") / "rule_sets" / "QM-DEMO.json").read_text("utf-8")


def demo(text: str, form: dict[str, Any], **rest: Any) -> Outcome:
    return outcome(read_rule_set(form), portion(text, **rest))


def form(**changes: Any) -> dict[str, Any]:
    document: dict[str, Any] = json.loads(DEMO)
    return {**document, **changes}


def with_factor(name: str, **entry: Any) -> dict[str, Any]:
    document = form()
    document["factors"][name] = {"words": name.replace("_", " "), **entry}
    return document


def limited(document: dict[str, Any], factor: str, *limits: str | None) -> dict[str, Any]:
    for row, limit in zip(document["tables"][0]["grades"], limits, strict=True):
        row["limits"][factor] = limit
    return document


def read(result: Outcome, factor: str) -> str:
    return next(str(reading.read_pct) for reading in result.readings if reading.factor.name == factor)


@pytest.mark.outside("China, ZB B23006-85: pure grain is what is left less impurities and half of the imperfect grains")
def test_half_of_a_dish_may_count() -> None:
    document = with_factor("taken_off", sum_of=["other_foreign_material", "damaged"], counted={"damaged": "1/2"})
    limited(document, "taken_off", "3.00", "4.00", "5.00")
    result = demo("navy 500: other_foreign_material 5, damaged 20", document)
    assert read(result, "taken_off") == "3.00"  # (5 + 20/2) / 500
    assert any("(5 + 1/2 × 20) g / 500 g × 100 = 3.000000 %" in step.says for step in result.working)


@pytest.mark.outside("7 CFR 810.1602(b): stinkbug-stung kernels count as damaged at one-fourth (soybeans)")
def test_a_quarter_of_a_dish_may_count() -> None:
    document = form()
    document["factors"] |= {
        "stung": {"words": "stung"},
        "damaged_total": {"words": "damaged, total", "sum_of": ["damaged", "stung"], "counted": {"stung": "1/4"}},
    }
    result = demo("navy 500: damaged 5, stung 10", limited(document, "damaged_total", "1.49", "1.50", "2"))
    assert read(result, "damaged_total") == "1.50"
    assert result.grade == "No. 2"


def test_what_lies_in_two_dishes_counts_as_the_one_that_counts_most() -> None:
    document = with_factor("both", sum_of=["contrasting_classes", "damaged"], counted={"damaged": "1/2"})
    twice = (Overlap(("damaged", "contrasting_classes"), Decimal(4)),)
    result = demo("navy 500: contrasting_classes 4, damaged 10", document, overlaps=twice)
    assert read(result, "both") == "1.40"  # 4 whole, and half of the 6 that are damaged alone


def test_a_factor_may_be_read_by_count() -> None:
    document = limited(with_factor("weevilled", taken_by="count"), "weevilled", "2.0", "6.0", "10.0")
    counts = {"portion": 400, "weevilled": 9}
    result = demo("navy 500:", document, counts=counts)
    assert (read(result, "weevilled"), result.grade) == ("2.3", "No. 2")  # 9 / 400 = 2.25 %
    assert any("9 pieces / 400 pieces × 100 = 2.250000 %, on the count" in step.says for step in result.working)


@pytest.mark.parametrize(
    ("text", "counts", "says"),
    [
        ("navy 500: weevilled 2", {}, "reads weevilled by count. Count the pieces and give counts.weevilled"),
        ("navy 500:", {"weevilled": 9}, "9 pieces were counted. Count all pieces of the portion too"),
        ("navy 500:", {"weevilled": 9, "portion": 8}, "9 pieces were picked out of a portion of 8 pieces"),
    ],
)
def test_a_count_that_cannot_be_read_is_asked_for(text: str, counts: dict[str, int], says: str) -> None:
    with pytest.raises(Refused, match=says):
        demo(text, with_factor("weevilled", taken_by="count"), counts=counts)


def test_moisture_may_lower_the_grade() -> None:
    document = limited(with_factor("moisture", taken_by="reading"), "moisture", "16.0", "18.0", None)
    assert demo("navy 500:", document, moisture_pct=Decimal("16.04")).grade == "No. 1"
    assert demo("navy 500:", document, moisture_pct=Decimal("16.05")).grade == "No. 2"
    assert demo("navy 500:", document, moisture_pct=Decimal("18.1")).grade == "No. 3"
    not_given = demo("navy 500:", document)
    assert not_given.grade == "No. 1"
    assert "Moisture was not given and held nothing back." in not_given.notes
    assert "moisture" not in {reading.factor.name for reading in not_given.readings}


def test_none_at_all_bars_what_would_round_to_nought() -> None:
    document = limited(form(), "stones", "nil", "0.40", "0.60")
    assert demo("navy 1000: stones 0.001", document).grade == "No. 2"
    assert demo("navy 1000:", document).grade == "No. 1"
    [held] = demo("navy 1000: stones 0.001", document).limiting
    assert (str(held.read_pct), held.limit) == ("0.0001", "nil")


def test_without_a_rule_for_rounding_nothing_is_rounded() -> None:
    just_over = "navy 1000: splits 20.01"  # 2.001 % reads 2.00
    assert demo(just_over, form()).grade == "No. 1"
    result = demo(just_over, form(rounding="none"))
    assert result.grade == "No. 2"
    assert [str(held.read_pct) for held in result.limiting] == ["2.001"]
    assert demo("navy 1000: splits 20.00", form(rounding="none")).grade == "No. 1"


@pytest.mark.outside("Michigan Administrative Code, R 285.523, note 4: some classes may hold 2 % of splits more")
def test_some_classes_may_hold_more_of_a_dish() -> None:
    document = form()
    document["tables"][0]["allowances"] = [
        {"classes": ["pinto"], "dish": "splits", "up_to": "2", "not_counted_in": ["total_defects"], "source": "note 4"}
    ]
    text = "500: splits 12, damaged 8"  # 2.4 and 1.6 %
    pinto, navy = demo(f"pinto {text}", document), demo(f"navy {text}", document)
    assert (read(pinto, "total_defects"), pinto.grade) == ("2.00", "No. 1")
    assert (read(navy, "total_defects"), navy.grade) == ("4.00", "No. 2")
    assert read(pinto, "splits") == "2.40"
    assert "pinto: splits up to 2 % are left out of total defects (note 4)." in pinto.notes
    little = demo("pinto 500: splits 5, damaged 8", document)
    assert read(little, "total_defects") == "1.60"


MIXED = {"factor": "contrasting_classes", "over": "2.0", "makes": "Mixed beans", "source": "7 CFR 68.137 (1982)"}


@pytest.mark.outside("7 CFR 68.137 to 68.140, footnotes (47 FR 19312, 1982): contrasting over 2.0 % is Mixed beans")
@pytest.mark.parametrize(("grams", "grade"), [("10.02", "No. 3"), ("10.25", "Mixed beans")])
def test_too_much_of_another_class_makes_it_mixed(grams: str, grade: str) -> None:
    result = demo(f"pinto 500: contrasting_classes {grams}", form(class_changes=[MIXED]))
    assert result.grade == grade
    if grade == "Mixed beans":
        assert (result.class_name, result.qualifies_for) == ("Mixed beans", ())
        [held] = result.limiting
        assert (held.factor, str(held.read_pct), held.limit) == ("contrasting_classes", "2.1", "2.0")
        assert any("Mixed beans, not pinto" in note and "was not graded" in note for note in result.notes)
        assert result.working[-1].says.startswith("grade: Mixed beans")


def test_another_class_is_graded_by_its_own_table_where_there_is_one() -> None:
    document = form(class_changes=[{**MIXED, "classes": ["pinto"]}])
    rows = [{"grade": "Mixed No. 1", "needs": {}, "limits": {"stones": "0.20"}}]
    document["tables"].append(
        {"class": "Mixed beans", "applies_to": [], "table": "second", "class_in_name": False, "grades": rows}
    )
    result = demo("pinto 500: contrasting_classes 40", document)
    assert (result.grade, result.class_name, result.table.table) == ("Mixed No. 1", "Mixed beans", "second")
    assert any("Mixed beans, not pinto" in note for note in result.notes)
    assert demo("navy 500: contrasting_classes 40", document).class_name == "navy"  # said of pinto only


@pytest.mark.outside("Brazil, IN 12/2008: dead insects over 0.30 to 0.60 % are out of type, over 0.60 % disqualified")
@pytest.mark.parametrize(
    ("grams", "grade"),
    [("1.5", "Tipo 3"), ("1.6", "Fora de Tipo"), ("3.0", "Fora de Tipo"), ("3.1", "Desclassificado")],
)
def test_below_the_last_grade_there_may_be_more_than_one_step(grams: str, grade: str) -> None:
    further = [{"factor": "dead_insects", "over": "0.60", "name": "Desclassificado", "source": "IN 12/2008"}]
    document = limited(with_factor("dead_insects"), "dead_insects", "0.10", "0.20", "0.30")
    document["below_last"] = {"name": "Fora de Tipo", "source": "IN 12/2008", "further": further}
    for row, name in zip(document["tables"][0]["grades"], ("Tipo 1", "Tipo 2", "Tipo 3"), strict=True):
        row["grade"] = name
    assert demo(f"navy 500: dead_insects {grams}", document).grade == grade


def test_a_factor_may_add_a_word_to_the_name() -> None:
    rule = {"word": "Split", "reading": "splits", "over": "1.0", "source": "ours"}
    result = demo("navy 500: splits 6", form(additions=[rule]))
    assert result.grade == "No. 1 Split"
    assert "Split: 1.2 %, over 1.0 (ours)." in result.notes
    assert demo("navy 500: splits 5", form(additions=[rule])).grade == "No. 1"


def test_a_portion_that_is_too_small_is_said() -> None:
    document = with_factor("stones", has_chance=False, least_portion_g="1000")
    document["tables"][0]["least_portion_g"] = "500"
    notes = demo("navy 499.9:", document).notes
    assert "The portion is 499.9 g; demo asks at least 500 g." in notes
    assert "Stones: read on 499.9 g; QM-DEMO asks at least 1000 g." in notes
    assert not any("asks at least" in note for note in demo("navy 1000:", document).notes)
