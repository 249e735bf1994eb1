"""What a kind of sheet has to say for itself: its columns, how rows make records, and the act that each record is."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.contrib.auth.models import User

from inventory.actions.desk import Desk
from inventory.actions.drafts import Draft
from inventory.actions.reader import Reader
from inventory.importing.cells import RowCells, SheetRead
from inventory.importing.fields import Vocabulary
from inventory.importing.table import Row
from inventory.models import Station
from inventory.rules.mass import ReadMass

Group = tuple[Row, ...]


def row_by_row(sheet: SheetRead) -> list[Group]:
    """Take each row as a record of its own."""
    return [(row,) for row in sheet.rows]


@dataclass(frozen=True)
class Kind:
    """A kind of sheet whose records are acts.

    Args:
        vocabulary: its columns.
        verbs: the acts it does; who loads it must be allowed each.
        read: turns the cells of one record into the act's typed words.
        expect: takes in at once, on the desk, what all records name.
        plan: drafts one record on the reader's desk; raises `Refused`.
        columns: field of an act's mistake -> the columns it may belong to, where it is not called alike.
        compared: codes of mistakes that hold masses against each other: nothing is said while one of them is unread.
        group: which rows make one record.
        books_later: its records are booked by `follow`, not by what `plan` drafts.
        part: in which part a record is booked; a later part may point at what an earlier one posted.
        before_posting: writes what the drafts point at.
        follow: drafts further acts that point at what was posted.
        lists: column -> what may be chosen there, for the template.
    """

    vocabulary: Vocabulary
    verbs: tuple[str, ...]
    read: Callable[[Sequence[RowCells]], Any]
    expect: Callable[[Desk, Sequence[Any]], None]
    plan: Callable[[Reader, Any, User], Sequence[Draft]]
    columns: Mapping[str, tuple[str, ...]]
    compared: tuple[str, ...] = ()
    group: Callable[[SheetRead], list[Group]] = row_by_row
    books_later: bool = False
    part: Callable[[Any], int] = lambda _words: 0
    before_posting: Callable[[Desk, Sequence[Draft]], None] = lambda _desk, _drafts: None
    follow: Callable[[Desk, User], Sequence[Draft]] = lambda _desk, _by: ()
    lists: Callable[[Station], Mapping[str, Sequence[str]]] = lambda _station: {}

    @property
    def name(self) -> str:
        """As in `--kind`."""
        return self.vocabulary.kind


def in_unit(mass: ReadMass | None, unit: str) -> Any:
    """Give a mass as an act takes it: the bare number where the act's own unit is meant, else with its unit."""
    if mass is None:
        return None
    return mass.amount if mass.unit == unit else f"{mass.amount:f} {mass.unit}"
