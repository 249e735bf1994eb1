"""What a figure is: a calculation by name that any door can ask for, from typed words to an answer with its working."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from inventory.models import Station
from inventory.rules.working import Step


@dataclass(frozen=True, slots=True)
class Answer:
    """What a figure answers.

    Attributes:
        values: named results, ready for JSON: exact numbers as text, statistics as numbers, units in the names (`_g`).
        says: the result in sentences, for people.
        working: how it was worked out, by hand to follow.
        notes: what must be said with it: cautions, how numbers were read.
        table: rows of text for people, heads first, where the answer is a list; `values` hold the same.
    """

    values: Mapping[str, Any]
    says: tuple[str, ...]
    working: tuple[Step, ...]
    notes: tuple[str, ...] = ()
    table: tuple[tuple[str, ...], ...] = ()

    @property
    def as_json(self) -> dict[str, Any]:
        """The answer as named values."""
        return {
            **self.values,
            "says": list(self.says),
            "working": [step.as_json for step in self.working],
            "notes": list(self.notes),
        }


@dataclass(frozen=True, slots=True)
class Figure:
    """A calculation by name.

    Attributes:
        name: as people ask for it: "seed weight".
        tells: what it answers, in one sentence.
        asks: a frozen keyword-only dataclass of typed words (`Any` or text, as people and programs send them).
        work_out: from these words, and the station if it reads its books, to the answer; raises Refused.
        example: words that work, for help, documentation and tests.
        reads_books: it looks things up at a station, so a station is needed.
        looks_up: fields that are looked up; where none of them is typed, it works without a station too.
        knows_own_rules: it goes by the station's own editions where there is a station, and works without one.
    """

    name: str
    tells: str
    asks: type[Any]
    work_out: Callable[[Any, Station | None], Answer]
    example: Mapping[str, Any] = field(default_factory=dict)
    reads_books: bool = False
    looks_up: tuple[str, ...] = ()
    knows_own_rules: bool = False

    def needs_station(self, asked: Any) -> bool:
        """Say whether these words are looked up in the books of a station."""
        typed = [getattr(asked, name) for name in self.looks_up]
        return self.reads_books and (not self.looks_up or any(one not in (None, "", ()) for one in typed))
