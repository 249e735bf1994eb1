"""Answers of several people to one sheet: none takes the place of one that its giver had not seen."""

from typing import Any

import pytest

from inventory.rules import sheet_drafts
from inventory.rules.sheet_drafts import merged


def answer(row: int, said: str, column: str = "Moist", by: str = "records") -> dict[str, Any]:
    return {"row": row, "column": column, "answer": said, "by": by}


def said(answers: list[Any]) -> list[tuple[int, str]]:
    return [(one["row"], one["answer"]) for one in answers]


def test_answers_stand_beside_those_that_are_there() -> None:
    kept, wrong = merged([answer(3, "accept")], [answer(4, "keep")], {})
    assert (said(kept), wrong) == ([(3, "accept"), (4, "keep")], [])


def test_one_column_of_a_row_does_not_answer_for_another() -> None:
    kept, wrong = merged([answer(3, "accept")], [answer(3, "keep", "Net")], {})
    assert (len(kept), wrong) == (2, [])


def test_an_answer_that_was_seen_is_changed() -> None:
    kept, wrong = merged([answer(3, "accept")], [answer(3, "keep")], {(3, "Moist"): "accept"})
    assert (said(kept), wrong) == ([(3, "keep")], [])


def test_an_answer_that_was_not_seen_stands_and_is_said_with_its_giver() -> None:
    kept, [wrong] = merged([answer(3, "accept", by="line-1")], [answer(3, "keep")], {(3, "Moist"): ""})
    assert said(kept) == [(3, "accept")]
    assert wrong.says == (
        "Row 3, Moist was answered by line-1 since you opened this page: 'accept'. "
        "That stands; change it below if it is wrong."
    )


def test_two_who_say_the_same_agree() -> None:
    assert merged([answer(3, "accept")], [answer(3, "accept")], {})[1] == []


def test_an_empty_answer_takes_the_one_away_that_was_seen() -> None:
    assert merged([answer(3, "accept")], [answer(3, "")], {(3, "Moist"): "accept"}) == ([], [])
    assert merged([], [answer(3, "")], {}) == ([], [])


def test_no_sheet_has_more_answers_than_rows(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sheet_drafts, "MOST_ANSWERS", 2)
    assert [one.code for one in merged([], [answer(row, "accept") for row in range(3)], {})[1]] == ["too_many_answers"]
