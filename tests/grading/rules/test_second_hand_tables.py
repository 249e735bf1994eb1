"""The shipped tables that were not read first-hand: cell by cell as they were read, marked, and never chosen alone.

Michigan: Michigan Administrative Code, Regulation No. 523, R 285.523 (1998-2000 AACS), adzuki beans. Its first two rows
were put in order from a shuffled text, so those cells are reasoned and not read. India: Warehousing Development and
Regulatory Authority, Rajma, commodity code 985 (a reprint, one copy, undated).
"""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from grading.queries.in_force import NotInForce, rule_set_for
from grading.queries.shipped import shipped_rule_set
from grading.rules.outcome import Outcome, outcome
from grading.rules.portion import Portion

MICHIGAN = "Michigan Administrative Code, R 285.523 (1998-2000 AACS), adzuki: read in a state copy, unverified"
SHUFFLED = "Michigan Administrative Code, R 285.523 (1998-2000 AACS), adzuki: rows put in order by us, unverified"
INDIA = "Warehousing Development and Regulatory Authority, Rajma, commodity code 985: second-hand, unverified"

# factor: No. 1, No. 2, No. 3, Generic
ADZUKI = """
    total_defects        1.0  2.0  3.0  5.0
    contrasting_classes  0.5  1.0  2.0  2.0
    foreign_material     0.2  0.2  0.3  0.3
    stones               0.1  0.1  0.2  0.2
    classes_that_blend   1.0  2.0  5.0  5.0
"""
# factor: Special, Standard, General
RAJMA = """
    moisture                  10    12.0  14
    foreign_matter_organic    0.10  0.50  0.75
    foreign_matter_inorganic  nil   0.10  0.25
    other_edible_grains       nil   2.0   6.0
    damaged                   2.0   4.0   5.0
    weevilled                 2.0   6.0   10.0
"""


def cells(rule_set: str, text: str, source: str, shuffled: str, first_sure: int) -> list[Any]:
    """One case a cell."""
    lines = [line.split() for line in text.strip().splitlines()]
    return [
        pytest.param(
            rule_set, at, factor, limit, id=f"{rule_set} {factor} row {at + 1}",
            marks=pytest.mark.outside(source if at >= first_sure else shuffled),
        )
        for factor, *limits in lines
        for at, limit in enumerate(limits)
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("rule_set", "at", "factor", "limit"),
    [
        *cells("US-MI-ADZUKI", ADZUKI, MICHIGAN, SHUFFLED, 2),
        *cells("IN-RAJMA", RAJMA, INDIA, INDIA, 0),
    ],
)
def test_each_cell_is_written_as_it_was_read(rule_set: str, at: int, factor: str, limit: str) -> None:
    [table] = shipped_rule_set(rule_set).tables
    assert table.grades[at].limits[factor] == limit


@pytest.mark.outside(MICHIGAN)
def test_adzuki_rows_have_their_names_and_colours() -> None:
    rows = shipped_rule_set("US-MI-ADZUKI").tables[0].grades
    assert [(row.name, row.needs["colour"]) for row in rows] == [
        ("Michigan No. 1", "good"),
        ("Michigan No. 2", "fair"),
        ("Michigan No. 3", "fair"),
        ("Michigan Generic", "fair"),
    ]


@pytest.mark.outside("Michigan Administrative Code, R 285.523.2(e): defects are splits, damaged, contrasting, foreign")
def test_adzuki_defects_sum_four_things_and_not_what_blends() -> None:
    factor = shipped_rule_set("US-MI-ADZUKI").factors["total_defects"]
    assert set(factor.dishes) == {"splits", "damaged", "contrasting_classes", "stones", "other_foreign_material"}


@pytest.mark.outside(INDIA)
def test_rajma_has_three_grades() -> None:
    assert [row.name for row in shipped_rule_set("IN-RAJMA").tables[0].grades] == ["Special", "Standard", "General"]


def adzuki(**grams: str) -> Outcome:
    weights = {dish: Decimal(each) for dish, each in grams.items()}
    return outcome(shipped_rule_set("US-MI-ADZUKI"), Portion("adzuki", Decimal(100), weights))


# Derived by us from the two tables, not published; the first, second, third and fifth stand on rows we put in order.
@pytest.mark.parametrize(
    ("grams", "grade"),
    [
        pytest.param(
            {"splits": "0.3", "damaged": "0.4", "contrasting_classes": "0.2", "other_foreign_material": "0.1",
             "classes_that_blend": "0.5"},
            "Michigan No. 1", id="a total at its limit is within it",
        ),
        pytest.param(
            {"splits": "0.4", "damaged": "0.4", "contrasting_classes": "0.2", "other_foreign_material": "0.1",
             "classes_that_blend": "0.5"},
            "Michigan No. 2", id="every part passes, the sum does not",
        ),
        pytest.param({"other_foreign_material": "0.1", "stones": "0.2"}, "Michigan No. 3", id="foreign material 0.3"),
        pytest.param({"splits": "3.0", "damaged": "0.5"}, "Michigan Generic", id="a total of 3.5"),
        pytest.param({"stones": "0.1", "classes_that_blend": "1.5"}, "Michigan No. 2", id="blend alone"),
        pytest.param({"splits": "5.0", "damaged": "0.2"}, "no Michigan grade", id="a total of 5.2"),
    ],
)  # fmt: skip
def test_adzuki_examples_derived_by_us(grams: dict[str, str], grade: str) -> None:
    assert adzuki(**grams).grade == grade


def rajma(moisture: str, weevilled: int = 0, **grams: str) -> Outcome:
    weights = {dish: Decimal(each) for dish, each in grams.items()}
    counts = {"portion": 1000, "weevilled": weevilled}
    portion = Portion("rajma", Decimal(1000), weights, counts=counts, moisture_pct=Decimal(moisture))
    return outcome(shipped_rule_set("IN-RAJMA"), portion)


@pytest.mark.parametrize(
    ("result", "grade"),
    [
        pytest.param(
            rajma("9.8", weevilled=20, foreign_matter_organic="1.0", damaged="20"), "Special", id="all at Special"
        ),
        pytest.param(rajma("9.8", foreign_matter_inorganic="0.5"), "Standard", id="nil is exactly none"),
        pytest.param(rajma("9.8", foreign_matter_inorganic="0.00001"), "Standard", id="nil is none before rounding"),
        pytest.param(rajma("12.5"), "General", id="moisture alone lowers the grade"),
        pytest.param(rajma("14"), "General", id="at the limit"),
        pytest.param(rajma("14.1"), "below General", id="nothing is rounded where the source has no rule for it"),
    ],
)
def test_rajma_examples_derived_by_us(result: Outcome, grade: str) -> None:
    assert result.grade == grade


def test_what_was_not_checked_is_never_chosen_on_its_own_and_says_so_when_named() -> None:
    with pytest.raises(NotInForce):
        rule_set_for("", "rajma", date(2025, 1, 1), "QM")
    named = rule_set_for("in-rajma", "rajma", date(2025, 1, 1), "QM")
    assert outcome(named, Portion("rajma", Decimal(500), {})).notes[1].startswith("Unverified limits: IN-RAJMA")
    assert "Moisture was not given and held nothing back." in outcome(named, Portion("rajma", Decimal(500), {})).notes
