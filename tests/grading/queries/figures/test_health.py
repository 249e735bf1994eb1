"""Seed health in typed words."""

import pytest

from tests.grading.queries.figures.working import figure, refused


@pytest.mark.parametrize(
    ("tested", "found", "most", "judgement"),
    [
        ("400", "0", "", "no limit is set"),
        ("400", "0", "0", "none found"),
        ("400", "1", "0", "over the limit"),
        ("400", "0", "1", "within the limit"),
        ("400", "1", "1", "too near to call"),
        ("400", "4", "1", "too near to call"),
        ("400", "5", "1", "over the limit"),
        ("298", "0", "1", "too near to call"),
        ("299", "0", "1", "within the limit"),
    ],
)
def test_a_count_is_held_against_its_limit(tested, found, most, judgement):
    assert figure("seed health", tested=tested, found=found, most_pct=most).values["judgement"] == judgement


def test_the_upper_limit_is_said_with_how_many_would_show_the_limit():
    answer = figure("seed health", tested="400", found="0", most_pct="1")
    assert answer.says[0] == "0 infected of 400: at most 0.75 % in the lot (95 in 100)."
    assert answer.values["needed_with_none_found"] == 299


def test_off_types_are_counted_the_same_way():
    assert "2 off-types of 200" in figure("seed health", tested="200", found="2", what="off-types").says[0]


@pytest.mark.parametrize(
    ("words", "field", "says"),
    [
        ({"tested": "400", "found": "401"}, "found", "Found is 401 of 400 looked at"),
        ({"tested": "0", "found": "0"}, "tested", "Tested is 0"),
        ({"tested": "400", "found": "1.5"}, "found", "it was counted"),
        ({"tested": "400", "found": "NaN"}, "found", "cannot be read"),
        ({"tested": "400", "found": "-1"}, "found", "Found is -1"),
        ({"tested": "400", "found": "1", "most_pct": "150"}, "most_pct", "up to 100"),
        ({"tested": "400", "found": "1", "sure_pct": "100"}, "sure_pct", "up to 99.9"),
    ],
)
def test_what_cannot_be_is_a_sentence_at_its_field(words, field, says):
    assert says in refused("seed health", **words)[field]
