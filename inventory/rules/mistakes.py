"""What can be wrong with an act, each worded for the person who did it.

A rule that finds something wrong makes a `Mistake`: a class per mistake, which words its own sentence from its
arguments and carries a stable code and the field it belongs to. Rules gather; an action raises all of them at once
as `Refused`. Doors (pages, commands, API, sheets) translate `Refused` and nothing else catches it.
"""

from collections.abc import Iterable, Mapping
from enum import StrEnum
from typing import ClassVar


class Level(StrEnum):
    """How much a finding stands in the way."""

    NOTE = "note"  # read with certainty, said for the record
    QUESTION = "question"  # may be right: a person decides, and the reason is kept
    DUPLICATE = "duplicate"  # looks typed twice: a person decides
    ERROR = "error"  # cannot be saved as it stands


class Mistake(Exception):  # noqa: N818 - the trade's word; "Error" would blame
    """One thing that is wrong or doubtful, in a full sentence that says what to do next.

    Args:
        says: the sentence, in the person's own numbers.
        field: the argument or column it belongs to; "" for the whole act.
        proposal: what we would write instead, where we know it.
    """

    code: ClassVar[str] = "mistake"
    level: ClassVar[Level] = Level.ERROR

    def __init__(self, says: str, *, field: str = "", proposal: str | None = None) -> None:
        super().__init__(says)
        self.says = says
        self.field = field
        self.proposal = proposal
        self.part = ""  # where in the words of the act it was found, such as "items.2.lot"; "" where `field` says it


class Question(Mistake):
    """Something that may be right: it goes through once the person answers with a reason."""

    code = "question"
    level = Level.QUESTION


class Note(Mistake):
    """Something read with certainty that is said all the same."""

    code = "note"
    level = Level.NOTE


class Refused(Exception):  # noqa: N818 - it is an answer, not a fault
    """An act that was not done, with everything that stands in its way at once."""

    def __init__(self, mistakes: Iterable[Mistake]) -> None:
        self.mistakes: tuple[Mistake, ...] = tuple(mistakes)
        super().__init__(" ".join(mistake.says for mistake in self.mistakes))


def refuse_if_any(mistakes: Iterable[Mistake], answers: Mapping[str, str] | None = None) -> dict[str, str]:
    """Raise `Refused` unless only notes and answered questions are left.

    Args:
        mistakes: all that was found.
        answers: code of a question or duplicate -> the person's reason for going on.

    Returns:
        The questions that were asked and answered: sentence -> reason, to be kept with the act.
    """
    answers = answers or {}
    asked: dict[str, str] = {}
    open_mistakes: list[Mistake] = []
    for mistake in mistakes:
        reason = answers.get(mistake.code, "").strip()
        if mistake.level in (Level.QUESTION, Level.DUPLICATE) and reason:
            asked[mistake.says] = reason
        elif mistake.level is not Level.NOTE:
            open_mistakes.append(mistake)
    if open_mistakes:
        raise Refused(open_mistakes)
    return asked
