"""Many portions graded in one go: a line of JSON each, in their order, with ranges and chances worked out together."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import islice
from typing import Any

from grading.queries.answers import Given, answer_given, asked_of, beans_of, given
from grading.queries.shipped import shipped_rule_set
from grading.rules.exact_json import read_object
from grading.rules.rule_set import RuleSet
from grading.stats.many import worked_out
from inventory.rules.mistakes import Mistake, Refused

Find = Callable[[str], RuleSet]
BATCH = 2_000  # portions in memory at once
IDS = 64  # names of rule sets kept at once


@dataclass(frozen=True, slots=True)
class Line:
    """A line of a stream of portions.

    Attributes:
        number: from 1, blank lines counted too.
        answer: named values as `answers.answer` gives them; None where it was refused.
        refused: everything that can't be read or can't be true.
    """

    number: int
    answer: dict[str, Any] | None
    refused: tuple[Mistake, ...] = ()

    @property
    def as_json(self) -> dict[str, Any]:
        """The line as named values, its number first."""
        if self.answer is not None:
            return {"line": self.number, **self.answer}
        return {"line": self.number, "refused": [{"field": one.field, "says": one.says} for one in self.refused]}


def graded_lines(lines: Iterable[str], find: Find = shipped_rule_set, *, with_working: bool = False) -> Iterator[Line]:
    """Grade a stream of portions; stores nothing.

    Args:
        lines: one JSON object each, as `answers.graded` takes it; blank ones are passed over.
        find: finds the rule set by its id.
        with_working: give each its steps, too: that makes an answer several times as long.

    Yields:
        What each line reads as, or why it was refused; a refused line stops no other.
    """
    find = lru_cache(IDS)(find)  # a station's own editions are looked through once an id, not once a line
    numbered = ((number, text) for number, text in enumerate(lines, 1) if text.strip())
    while batch := list(islice(numbered, BATCH)):
        yield from _answered([_read(number, text, find) for number, text in batch], with_working=with_working)


def _read(number: int, text: str, find: Find) -> tuple[int, Given | tuple[Mistake, ...]]:
    try:
        return number, given(read_object(text), find)
    except Refused as refused:
        return number, refused.mistakes


def _answered(batch: Sequence[tuple[int, Given | tuple[Mistake, ...]]], *, with_working: bool) -> Iterator[Line]:
    read = [one for _, one in batch if isinstance(one, Given)]
    known = worked_out(
        [asked for one in read for asked in asked_of(one.result, beans_of(one.result, one.portion)).values()]
    )
    for number, one in batch:
        if isinstance(one, Given):
            yield Line(number, answer_given(one, known.likely, with_working=with_working))
        else:
            yield Line(number, None, one)
