"""How people and instruments who give numbers agree: words in, words out, and what is refused at which field."""

from typing import Any

import pytest

from tests.grading.queries.figures.asking import asked, refused

TWO = {"A": [["1.1", "2.0"], ["1.0", "2.1"]], "B": [["1.2", "2.2"], ["1.1", "2.1"]]}


def test_it_says_which_correlation_is_for_a_bench() -> None:
    answer = asked("icc", rows=[["9", "2", "5", "8"], ["6", "1", "3", "2"], ["8", "4", "6", "8"]])
    assert set(answer.values) >= {"1,1", "2,1", "3,1", "1,k", "2,k", "3,k"}
    assert "(2,1)" in answer.says[0]
    assert "3 targets, 4 graders" in answer.says[0]
    assert "use (2,1), absolute agreement" in answer.notes[0]


def test_a_gauge_study_says_parts_people_and_repeats() -> None:
    answer = asked("gauge study", readings=TWO)
    assert answer.values["people"] == answer.values["trials"] == answer.values["parts"] == 2
    assert [line["line"] for line in answer.values["variance"]] == ["people", "parts", "people × parts", "repeats"]
    assert "Common practice, no source." in answer.says[1]


def test_a_gauge_study_says_how_it_read_the_table_and_asks_whether_it_is_turned_round() -> None:
    by_part = {"anna": [["18.0", "18.1"], ["19.0", "19.2"], ["20.1", "20.0"]],
               "ben": [["18.1", "18.1"], ["19.1", "19.1"], ["20.0", "20.2"]]}  # fmt: skip
    wrong = asked("gauge study", readings=by_part)
    assert (
        "Read as 2 parts, 3 repeats, 2 people: anna read in the first round part 1 as 18.0, part 2 as 18.1."
        in wrong.says
    )
    by_round = {name: [list(one) for one in zip(*rows, strict=True)] for name, rows in by_part.items()}
    right = asked("gauge study", readings=by_round)
    assert f"measuring is {right.values['grr_pct_of_tv']:.1f} in 100" in wrong.notes[0]
    assert right.notes == ()
    assert (
        "Read as 3 parts, 2 repeats, 2 people: anna read in the first round part 1 as 18.0, part 2 as 19.0"
        in (right.says[-1])
    )


def test_a_gauge_study_by_ranges_has_no_analysis_of_variance() -> None:
    answer = asked("gauge study", readings=TWO, road="ranges")
    assert (answer.values["variance"], answer.values["interaction_is_pooled"]) == ([], None)


def test_a_gauge_that_never_varies_says_so() -> None:
    answer = asked("gauge study", readings={"A": [["1", "1"], ["1", "1"]], "B": [["1", "1"], ["1", "1"]]})
    assert (answer.values["grr_pct_of_tv"], answer.values["ndc"]) == (None, None)
    assert "neither the parts nor the measuring vary" in answer.says[0]


def test_a_perfect_gauge_tells_every_part_apart() -> None:
    answer = asked("gauge study", readings={"A": [["1", "2"], ["1", "2"]], "B": [["1", "2"], ["1", "2"]]})
    assert "It can tell every part apart." in answer.says[0]


def test_agreement_says_who_reads_over_whom_by_how_much() -> None:
    answer = asked("agreement", first="4.1, 3.0, 2.2, 5.0", second="4.3, 3.2, 2.4, 5.2", unit="%")
    assert answer.values["mean_difference"] == 0.2
    assert answer.says[0].startswith("The second reads 0.2 % over the other on average")
    assert answer.says[0].endswith("they stand apart.")


def test_agreement_without_a_shown_difference_says_so() -> None:
    answer = asked("agreement", first=["1", "2", "3"], second=["1.1", "1.9", "3"])
    assert answer.says[0].endswith("no difference is shown.")


@pytest.mark.parametrize(
    ("name", "words", "field", "says"),
    [
        ("icc", {"rows": [["1", "2"]]}, "rows", "Targets: 1, graders: 2"),
        ("icc", {"rows": [["1"], ["2"]]}, "rows", "graders: 1"),
        ("icc", {"rows": [["1", "2"], ["3"]]}, "rows.2", "Cells in row 2: 1"),
        ("icc", {"rows": [["1", "NaN"], ["3", "1"]]}, "rows.1.2", "cannot be read"),
        ("icc", {"rows": [["1", ""], ["3", "1"]]}, "rows.1.2", "missing"),
        ("icc", {"rows": [["1", "1e300"], ["3", "1"]]}, "rows.1.2", ""),
        ("icc", {"rows": [["2", "2"], ["2", "2"]]}, "rows", "All readings are the same"),
        ("icc", {"rows": [["2", "1"], ["2", "2"]], "level_pct": "0"}, "level_pct", "is 0 %"),
        ("gauge study", {"readings": {"A": TWO["A"]}}, "readings", "People who read: 1"),
        ("gauge study", {"readings": {**TWO, "B": [["1", "2"]]}}, "readings.B", "parts: 2, trials: 1"),
        ("gauge study", {"readings": {**TWO, "B": [["1", "2", "3"]] * 2}}, "readings.B", "equally often"),
        ("gauge study", {"readings": {**TWO, "B": [["1", "2"], ["x", "3"]]}}, "readings.B.2.1", "cannot be read"),
        ("gauge study", {"readings": TWO, "pool_at": "2"}, "pool_at", "is 2"),
        ("gauge study", {"readings": TWO, "road": "guess"}, "road", "variance or ranges"),
        ("agreement", {"first": "1", "second": "1"}, "first", "has 1 numbers"),
        ("agreement", {"first": "1, 2", "second": "1, 2, 3"}, "second", "gave 2 readings, the second 3"),
        ("agreement", {"first": "1, inf", "second": "1, 2"}, "first.2", "cannot be read"),
    ],
)
def test_what_cannot_be_compared_is_refused_at_its_field(
    name: str, words: dict[str, Any], field: str, says: str
) -> None:
    found = refused(name, **words)
    assert field in [mistake.field for mistake in found]
    assert any(says in mistake.says for mistake in found)
