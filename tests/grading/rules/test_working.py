"""The working of a grade: every number that led to it, so that anybody can do it again by hand."""

from decimal import Decimal

from grading.queries.shipped import shipped_rule_set
from grading.rules.outcome import outcome
from grading.rules.portion import Overlap
from tests.grading.bench import portion


def said(rule_set: str, text: str, **rest: object) -> list[str]:
    return [step.says for step in outcome(shipped_rule_set(rule_set), portion(text, **rest)).working]


def test_it_shows_dockage_dishes_totals_rows_and_the_name() -> None:
    lines = said(
        "QM-DEMO",
        "navy 954.0: splits 14.8, damaged 11.2, other_foreign_material 1.9, stones 0.8",
        gross_g=Decimal("1000.0"),
        dockage_g=Decimal("46.0"),
    )
    assert lines[0] == (
        "dockage: 46.0 g / 1000.0 g × 100 = 4.600000 %, on the uncleaned weight, read as 4.60, half up to 0.01"
        " [demo limits: no source]"
    )
    assert lines[1].startswith("splits: 14.8 g / 954.0 g × 100 = 1.551363 %, on the cleaned weight, read as 1.55")
    [total] = [line for line in lines if line.startswith("total defects")]
    assert total == (
        "total defects: (14.8 + 11.2 + 0.8 + 1.9) g / 954.0 g × 100 = 3.008386 %, on the cleaned weight, from the raw"
        " sum, read as 3.01, half up to 0.01 [demo: No. 1 2.00, No. 2 4.00, No. 3 6.00]"
    )
    assert "No. 1: not met: total defects 3.01 > 2.00 [demo, Demo beans]" in lines
    [second] = [line for line in lines if line.startswith("No. 2: met: ")]
    assert "total defects 3.01 ≤ 4.00; foreign material 0.28 ≤ 1.00; stones 0.08 ≤ 0.40" in second
    assert lines[-1] == "grade: No. 2: the first row that is met in the order of the table"


def test_it_shows_what_counts_once_though_it_lies_in_two_dishes() -> None:
    twice = (Overlap(("damaged", "contrasting_classes"), Decimal("1.0")),)
    lines = said("QM-DEMO", "pinto 500: damaged 3.0, contrasting_classes 2.0", overlaps=twice)
    assert any(line.startswith("total defects: ((3.0 + 2.0) − 1.0) g / 500 g × 100 = 0.800000 %") for line in lines)


def test_it_shows_words_that_were_asked() -> None:
    lines = said("CA-BEANS", "Pea 1000: splits 1", judged={"colour": "off", "uniform_size": "yes"})
    assert any("No. 1 Canada: not met: colour off, reasonably good is asked" in line for line in lines)


def test_each_total_is_worked_from_its_raw_sum() -> None:
    lines = said("QM-DEMO", "navy 1000: splits 0.04, damaged 0.04, contrasting_classes 0.04")
    [total] = [line for line in lines if line.startswith("total defects")]
    assert "(0.04 + 0.04 + 0.04) g / 1000 g × 100 = 0.012000 %" in total
    assert "read as 0.01" in total


def test_a_stop_and_what_stands_instead_say_why() -> None:
    assert said("CA-BEANS", "Pinto 500:", stops=("odour",))[-1] == "grade: not graded: odour, because of odour"
    last = said("CA-BEANS", "Pinto 1000: stones 25.5")[-1]
    assert last.startswith("grade: Sample Salvage: stones, shale or similar material over 2.5 stands instead")
