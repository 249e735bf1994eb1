"""A list in another order than newest first: by a column that its shelf offers, `at` or `-at`.

Rows of one value stand by their key, so that a page ends at one certain row: the next begins after it, however many
bear the same value and whatever is booked meanwhile (keyset paging: the last page costs what the first does).
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property
from typing import Any

from django.db.models import Q
from rest_framework.request import Request

from api.problems import Unusable
from api.v1.asked import ParameterUnread
from api.v1.columns import Column, Kind
from api.v1.cursors import Cursor, CursorNotOurs
from api.v1.shelf import Rows, Shelf
from inventory.importing.words import UnknownWord
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import listed

_LONGEST_WHOLE = 19  # digits


class NotOrderedBy(Mistake):
    """A column of the list by which it is not ordered."""

    code = "not_ordered_by"

    def __init__(self, name: str, shelf: Shelf) -> None:
        says = (
            f"{shelf.name} has a column {name} and is not ordered by it, since it may change or be empty between pages."
        )
        super().__init__(f"{says} Order it by {listed(orders_of(shelf), 'or')}.", field="ordering")


@dataclass(frozen=True)
class Ordering:
    """How a list is ordered.

    Attributes:
        is_down: the greatest first.
    """

    column: Column
    is_down: bool

    @property
    def name(self) -> str:
        """As it stands in an address."""
        return f"-{self.column.name}" if self.is_down else self.column.name

    @cached_property
    def paths(self) -> tuple[str, ...]:
        """What it is ordered by, the key last."""
        return (self.column.path, "pk")

    def sorted(self, rows: Rows, *, is_back: bool = False) -> Rows:
        """Put rows in this order, or in its reverse."""
        sign = "-" if self.is_down != is_back else ""
        return rows.order_by(*(f"{sign}{path}" for path in self.paths))

    def beyond(self, rows: Rows, cursor: Cursor) -> Rows:
        """Leave the rows after a cursor, or those before it where it leads back.

        Raises:
            Unusable: its value is none of this column.
        """
        value, path = _value_of(self.column.kind, cursor.value), self.column.path
        way = "lt" if self.is_down != cursor.is_back else "gt"
        same = Q(**{path: value, f"pk__{way}": cursor.key})
        # The first is said beside the rest so that an index by the column finds where to begin.
        return rows.filter(Q(**{f"{path}__{way}e": value}), Q(**{f"{path}__{way}": value}) | same)

    def cursor(self, key: int, value: Any, *, is_back: bool) -> Cursor:
        """Make the cursor beside a row."""
        text = value.isoformat() if isinstance(value, date) else str(value)
        return Cursor(key, is_back=is_back, ordering=self.name, value=text)


def orders_of(shelf: Shelf) -> list[str]:
    """Name the columns by which a list may be ordered."""
    return [column.name for column in shelf.columns if column.orders]


def read_ordering(shelf: Shelf, request: Request) -> Ordering | None:
    """Read how a list is wanted; none is newest first.

    Raises:
        Unusable: no column of the list, or one by which it is not ordered.
    """
    if "ordering" not in request.query_params:
        return None
    typed, may = request.query_params["ordering"], orders_of(shelf)
    name = typed.removeprefix("-")
    found = next((column for column in shelf.columns if column.name == name), None)
    if not name:
        raise Unusable(
            ParameterUnread("ordering", typed, f"one column: {listed(may, 'or')}; a hyphen before it turns it")
        )
    if found is None:
        raise Unusable(UnknownWord("column that orders this list", name.replace("\0", "?"), may, field="ordering"))
    if not found.orders:
        raise Unusable(NotOrderedBy(name, shelf))
    return Ordering(found, typed.startswith("-"))


def _value_of(kind: Kind, text: str) -> Any:
    try:
        return _READERS[kind](text)
    except ValueError:
        raise Unusable(CursorNotOurs()) from None


def _name(text: str) -> str:
    if "\0" in text:
        raise ValueError("kept by no database")
    return text


def _whole(text: str) -> int:
    if len(text) > _LONGEST_WHOLE or abs(int(text)) >= 2**63:
        raise ValueError("kept by no database")
    return int(text)


def _instant(text: str) -> datetime:
    moment = datetime.fromisoformat(text)
    if moment.tzinfo is None or moment.year not in range(2, 9999):
        raise ValueError("of no row")
    return moment


_READERS: Mapping[Kind, Callable[[str], Any]] = {
    Kind.NAME: _name, Kind.WHOLE: _whole, Kind.MASS: _whole, Kind.INSTANT: _instant, Kind.DAY: date.fromisoformat,
}  # fmt: skip
