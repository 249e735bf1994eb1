"""How graders who give words agree: words in, words out, and what is refused at which field."""

from typing import Any

import pytest

from tests.grading.queries.figures.asking import asked, refused

PAIRS = {"first": "No. 1, No. 1, No. 2, No. 2, No. 1", "second": "No. 1, No. 2, No. 2, No. 2, No. 1"}


def test_pairs_of_words_and_their_table_give_the_same_kappa() -> None:
    by_words, by_table = asked("kappa", **PAIRS), asked("kappa", table=[["2", "1"], ["0", "2"]])
    assert by_words.values["kappa"] == by_table.values["kappa"]
    assert by_words.values["table"] == [[2, 1], [0, 2]]
    assert by_words.values["words"] == ["No. 1", "No. 2"]


def test_it_says_the_counts_beside_kappa() -> None:
    answer = asked("kappa", table=[["20", "5"], ["10", "15"]])
    assert answer.says == (
        "They gave the same word for 35 of 50 samples (70.0 %).",
        "Kappa is 0.40, likely 0.15 to 0.65 (95 in 100).",
    )


def test_one_word_throughout_is_not_defined_and_not_0_or_1() -> None:
    answer = asked("kappa", table=[["12", "0"], ["0", "0"]])
    assert answer.values["kappa"] is None
    assert answer.says[1].startswith("Kappa is not defined")
    assert "12 of 12" in answer.says[0]


def test_words_stand_in_the_order_that_is_named() -> None:
    answer = asked("kappa", **PAIRS, words="No. 2, No. 1, Sample", weights="linear")
    assert answer.values["words"] == ["No. 2", "No. 1", "Sample"]
    assert answer.values["table"][0] == [2, 0, 0]


def test_many_graders_are_said_with_what_chance_would_give() -> None:
    answer = asked("many graders", counts=[["3", "0"], ["2", "1"], ["0", "3"]])
    assert answer.values["kappa"] == 0.55
    assert "Two graders of 3 gave the same word 77.8 times in 100" in answer.says[0]


def test_many_graders_of_one_word_are_not_defined() -> None:
    answer = asked("many graders", counts=[["3", "0"], ["3", "0"]])
    assert answer.values["kappa"] is None
    assert "all always said the same word" in answer.says[1]


@pytest.mark.parametrize(
    ("words", "field", "says"),
    [
        ({}, "first", "The first grader gave 0 words"),
        ({"table": [["1"]]}, "table", "rows: 1, columns: 1"),
        ({"table": [["1", "2"], ["3"]]}, "table.2", "Cells in row 2: 1, in row 1: 2"),
        ({"table": [["1", "2", "3"], ["3", "1", "1"]]}, "table", "as many rows as columns"),
        ({"table": [["1", "2.5"], ["3", "1"]]}, "table.1.2", "2.5. Give a whole number"),
        ({"table": [["1", "NaN"], ["3", "1"]]}, "table.1.2", "cannot be read as a number"),
        ({"table": [["1", "-2"], ["3", "1"]]}, "table.1.2", "is -2"),
        ({"table": [["0", "0"], ["0", "0"]]}, "table", "holds no pair"),
        ({"table": [["1", "0"], ["0", "1"]], "words": "a"}, "words", "1 words are named"),
        ({"table": [["1", "0"], ["0", "1"]], "weights": "cubic"}, "weights", "none, linear or quadratic"),
        ({"table": [["1", "0"], ["0", "1"]], "level_pct": "100"}, "level_pct", "is 100 %"),
        ({"first": "a, b", "second": "a"}, "second", "gave 2 words, the second 1"),
        ({"first": "a, a", "second": "a, a"}, "words", "Only 'a' was said"),
        ({"first": "a, b", "second": "a, c", "words": "a, b"}, "second.2", "'c' is none of a or b"),
        ({"first": [str(i) for i in range(50)], "second": [str(i) for i in range(50)]}, "words", "There are 50 words"),
    ],
)
def test_kappa_is_refused_at_its_field(words: dict[str, Any], field: str, says: str) -> None:
    found = refused("kappa", **words)
    assert field in [mistake.field for mistake in found]
    assert any(says in mistake.says for mistake in found)


@pytest.mark.parametrize(
    ("counts", "field", "says"),
    [
        ([["3", "0"]], "counts", "Samples: 1, words: 2"),
        ([["3"], ["3"]], "counts", "words: 1"),
        ([["3", "0"], ["2", "0"]], "counts.2", "judged 2 times, sample 1 3 times"),
        ([["1", "0"], ["0", "1"]], "counts", "judged 1 times"),
        ([["1.5", "0"], ["0", "1"]], "counts.1.1", "whole number"),
        ([["1", "x"], ["0", "1"]], "counts.1.2", "cannot be read"),
    ],
)
def test_many_graders_are_refused_at_their_field(counts: list[list[str]], field: str, says: str) -> None:
    found = refused("many graders", counts=counts)
    assert field in [mistake.field for mistake in found]
    assert any(says in mistake.says for mistake in found)


def test_a_table_beyond_all_measure_is_refused() -> None:
    assert "Send 20,000 at most" in refused("many graders", counts=[["1"] * 201] * 100)[0].says
