"""The portions that grading is timed on, and the bare way beside it."""

from collections import Counter

from benchmarks.grading import Sheet, some_portions
from grading.queries.shipped import shipped_rule_set
from grading.rules.outcome import outcome


def test_both_ways_give_the_same_grades_of_every_kind() -> None:
    rule_set, portions = shipped_rule_set("CA-BEANS"), some_portions(400)
    sheet = Sheet(rule_set, "Pinto")
    bare = [
        sheet.grade({"portion_g": each.portion_g, "weights_g": each.weights_g, "colour": each.judged["colour"]})
        for each in portions
    ]
    assert [outcome(rule_set, each).named.row for each in portions] == bare
    assert len(Counter(bare)) > 4
