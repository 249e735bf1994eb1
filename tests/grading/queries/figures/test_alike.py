"""Heterogeneity in typed words."""

import pytest

from tests.grading.queries.figures.working import figure, refused

COUNTS = "5,8,10,20,25,9,10,11,18,16,19,22,4,13,20,30,27,12,15,18"


def test_the_verdict_names_its_formula():
    by_w0 = figure("heterogeneity", results=COUNTS, kind="other seeds")
    printed = figure("heterogeneity", results=COUNTS, kind="other seeds", formula="as printed")
    assert "by the formula W0, over the critical 1.27" in by_w0.says[0]
    assert "by the formula as printed, not over the critical 1.27" in printed.says[0]
    assert "printed in two ways" in by_w0.notes[0]


def test_a_formula_without_critical_values_gives_no_verdict():
    answer = figure("heterogeneity", results=COUNTS, kind="other seeds", formula="statute")
    assert answer.values["heterogeneous"] is None
    assert "no verdict" in answer.says[0]


def test_the_range_is_said_with_what_chance_may_make():
    answer = figure("heterogeneity", results="80,100," + ",".join(["90"] * 13), kind="germination")
    assert (answer.values["range"], answer.values["allowed_range"]) == ("20", 17.0)
    assert answer.says[1] == "R is 20, over the 17 that chance may make (recomputed rule)."


@pytest.mark.parametrize(
    ("words", "field", "says"),
    [
        ({"results": "99,98,97,96"}, "results", "results of 4 containers"),
        ({"results": "99,98,97,NaN,96"}, "results.4", "cannot be read"),
        ({"results": "99,98,97,101,96"}, "results.4", "up to 100"),
        ({"results": "5,8,10.5,2,9", "kind": "other seeds"}, "results", "whole numbers"),
        ({"results": "99.9,99.9,99.9,99.9,99.9"}, "results", "choose another attribute"),
        ({"results": "99,98,97,96,95", "kind": "colour"}, "kind", "purity, germination or other seeds"),
        ({"results": "99,98,97,96,95", "formula": "best"}, "formula", "W0, as printed or statute"),
    ],
)
def test_what_cannot_be_is_a_sentence_at_its_field(words, field, says):
    assert says in refused("heterogeneity", **words)[field]
