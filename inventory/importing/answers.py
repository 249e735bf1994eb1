"""A person's answers to what a sheet was asked, read from a JSON file."""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from inventory.importing.fields import fold
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.reading import quoted

FORM = '[{"row": 8, "column": "Moist", "answer": "accept"}]'


class AnswerKind(StrEnum):
    """What a person decides: take the proposal, keep what was typed, leave the row out, or another value."""

    ACCEPT = "accept"
    KEEP = "keep"
    LEAVE_OUT = "leave_out"
    VALUE = "value"


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer.

    Args:
        row: as the spreadsheet shows it; None for the whole sheet.
        column: the heading as typed; "" for the whole row.
        kind: what was decided.
        value: for `VALUE`, as typed.
        reason: why, where the person says it.
    """

    row: int | None
    column: str
    kind: AnswerKind
    value: str = ""
    reason: str = ""

    def as_json(self) -> dict[str, int | str | None]:
        """Give the answer in the form it is read in."""
        said = self.value if self.kind is AnswerKind.VALUE else self.kind.value
        why = {"reason": self.reason} if self.reason else {}
        return {"row": self.row, "column": self.column, "answer": said, **why}


@dataclass(frozen=True)
class Answers:
    """All answers to one sheet."""

    given: tuple[Answer, ...] = ()

    def __iter__(self) -> Iterator[Answer]:
        return iter(self.given)

    def to(self, row: int | None, column: str) -> Answer | None:
        """Find the answer to a finding; headings are compared forgivingly."""
        for answer in self.given:
            if answer.row == row and fold(answer.column) == fold(column):
                return answer
        return None

    def leaves_out(self, row: int) -> bool:
        """Say whether any answer leaves the row out."""
        return any(answer.row == row and answer.kind is AnswerKind.LEAVE_OUT for answer in self.given)


class AnswersNotReadable(Mistake):
    """The file is not the JSON list we read."""

    code = "answers_not_readable"

    def __init__(self, why: str) -> None:
        super().__init__(f"The answers can't be read: {why}. Write a JSON list such as {FORM}.")


class AnswerIncomplete(Mistake):
    """One answer lacks something or says something we can't use."""

    code = "answer_incomplete"

    def __init__(self, number: int, why: str) -> None:
        super().__init__(f"Answer {number} {why}. Write it as {FORM[1:-1]}.")


class AnswerTwice(Mistake):
    """Two answers to one question."""

    code = "answer_twice"

    def __init__(self, answer: Answer) -> None:
        where = f"row {answer.row}, {answer.column}" if answer.column else f"row {answer.row}"
        super().__init__(f"There are two answers for {where}. Keep one of them.")


def read_answers(text: str) -> Answers:
    """Read a list of answers.

    Args:
        text: JSON: a list of objects with row, column and answer.

    Raises:
        Refused: with everything that can't be read.
    """
    entries = _entries(text)
    mistakes: list[Mistake] = []
    answers: dict[tuple[int | None, str], Answer] = {}
    for number, entry in enumerate(entries, start=1):
        try:
            answer = _answer(number, entry)
        except AnswerIncomplete as mistake:
            mistakes.append(mistake)
            continue
        place = (answer.row, fold(answer.column))
        if place in answers:
            mistakes.append(AnswerTwice(answer))
        answers[place] = answer
    if mistakes:
        raise Refused(mistakes)
    return Answers(tuple(answers.values()))


def _entries(text: str) -> list[Any]:
    try:
        entries = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise Refused([AnswersNotReadable("this is not JSON")]) from error
    if not isinstance(entries, list):
        raise Refused([AnswersNotReadable("this is JSON, but not a list")])
    return entries


def _answer(number: int, entry: object) -> Answer:
    if not isinstance(entry, dict):
        raise AnswerIncomplete(number, "is not an object with row, column and answer")
    row, column, said = entry.get("row"), entry.get("column") or "", entry.get("answer")
    if not isinstance(row, int) or isinstance(row, bool) or row < 1:
        raise AnswerIncomplete(number, "does not name its row by the number the spreadsheet shows")
    if not isinstance(column, str):
        raise AnswerIncomplete(number, "does not name its column by the heading as typed")
    if isinstance(said, bool) or not isinstance(said, str | int | float) or not str(said).strip():
        raise AnswerIncomplete(
            number, f"says {quoted(str(said))}, which is neither accept, keep, leave_out nor a value"
        )
    reason = entry.get("reason") or ""
    if not isinstance(reason, str):
        raise AnswerIncomplete(number, "gives a reason that is no text")
    return _with_kind(row, column, str(said).strip(), reason.strip())


def _with_kind(row: int, column: str, said: str, reason: str) -> Answer:
    word = said.lower().replace(" ", "_").replace("-", "_")
    if word in (AnswerKind.ACCEPT, AnswerKind.KEEP, AnswerKind.LEAVE_OUT):
        return Answer(row, column, AnswerKind(word), reason=reason)
    return Answer(row, column, AnswerKind.VALUE, said, reason)
