"""A plugin's kind of sheet: the site reads its cells and asks its questions, the plugin checks and saves rows."""

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from typing import TypeVar

from django.contrib.auth.models import User
from django.db import IntegrityError, OperationalError

from hilum.plugins import SheetFinding, SheetKind, SheetRow
from hilum.plugins.books import NotBooked
from inventory.actions.desk import Desk
from inventory.actions.drafts import Draft
from inventory.actions.reader import Reader
from inventory.importing.cells import RowCells
from inventory.importing.fields import Reads
from inventory.importing.kinds.kind import Kind
from inventory.importing.vocabulary import vocabulary_of
from inventory.rules.mass import MG_PER_G
from inventory.rules.mistakes import Level, Mistake, Refused
from inventory.rules.plugin_mistakes import PluginFailed

T = TypeVar("T")
Read = Callable[[RowCells, str], str]


class Found(Mistake):
    """What a plugin found in a row."""

    def __init__(self, found: SheetFinding) -> None:
        super().__init__(found.says, field=found.column, proposal=found.proposal)
        self.code = f"{found.column or 'row'}_{found.level}"  # type: ignore[misc]  # one of a level at each cell
        self.level = Level(found.level)  # type: ignore[misc]  # as the plugin says


class Rows:
    """The rows of one sheet beside a desk: what was found in them, and those that are to be saved."""

    def __init__(self, _desk: Desk) -> None:
        self.found: dict[SheetRow, list[SheetFinding]] = {}
        self.to_save: list[SheetRow] = []


def kind_of_plugin(brought: SheetKind) -> Kind:
    """Let a plugin's kind be loaded like our own."""
    asked = _Plugin(brought)
    return Kind(
        vocabulary_of(brought), (), asked.read, asked.expect, asked.plan, {}, books_later=True, follow=asked.follow
    )  # fmt: skip


class _Plugin:
    """Asks a plugin's kind for what our own kinds do themselves."""

    def __init__(self, brought: SheetKind) -> None:
        self._brought = brought
        self._reads = {column.name: _READS[Reads(column.reads)] for column in brought.columns}

    def read(self, rows: Sequence[RowCells]) -> SheetRow:
        """Read one row by its columns' manners of reading."""
        cells = rows[0]
        words = {name: self._reads[name](cells, name) for name in cells.sheet.headings.columns}
        return SheetRow(cells.row.number, _Values({name: text for name, text in words.items() if text}))

    def expect(self, desk: Desk, rows: Sequence[SheetRow]) -> None:
        """Let the plugin check rows, all at once."""
        found = desk.beside(Rows).found
        found.update({row: [] for row in rows})
        by_number = {row.number: row for row in rows}
        for finding in self._asked(lambda: self._brought.check(rows, desk.station.code)):
            if finding.row in by_number:
                found[by_number[finding.row]].append(finding)

    def plan(self, reader: Reader, row: SheetRow, _by: User) -> Sequence[Draft]:
        """Say what the plugin found; a row that an answer changed is checked again."""
        beside = reader.desk.beside(Rows)
        if row not in beside.found:
            self.expect(reader.desk, [row])
        for found in map(Found, beside.found[row]):
            if found.level is Level.NOTE:
                reader.notes.append(found)  # type: ignore[arg-type]  # it is one by its level
            else:
                reader.add(found)
        reader.finish()
        beside.to_save.append(row)
        return ()

    def follow(self, desk: Desk, by: User) -> Sequence[Draft]:
        """Let the plugin save the rows; the acts it calls for join the load."""
        rows = desk.beside(Rows).to_save
        self._asked(lambda: self._brought.save(rows, desk.station.code, by.get_username()))
        return ()

    def _asked(self, ask: Callable[[], T]) -> T:
        """Ask the plugin; what it is refused by the books is said as the books say it, and a fault names its sheet.

        Raises:
            Refused: nothing is saved.
        """
        try:
            return ask()
        except (Refused, OperationalError, IntegrityError):
            raise  # the books' own word, or a collision that is tried again
        except NotBooked as stopped:
            raise Refused([Mistake(one.says, field=one.field) for one in stopped.wrong]) from stopped
        except Exception as error:
            says = f"The plugin that brings the sheet {self._brought.title} failed ({type(error).__name__}: {error})."
            raise Refused([PluginFailed(f"{says} Nothing was saved. Tell whoever brought it.")]) from error


class _Values(dict[str, str]):
    """The values of a row, which nobody changes, so that rows can be told apart by them."""

    def __hash__(self) -> int:  # type: ignore[override]
        return hash(tuple(sorted(self.items())))


def _date(cells: RowCells, name: str) -> str:
    day = cells.date(name)
    return day.isoformat() if day else ""


def _number(cells: RowCells, name: str) -> str:
    number = cells.number(name)
    return f"{number:f}" if number is not None else ""


def _mass(cells: RowCells, name: str) -> str:
    """Give a mass in grams, exactly."""
    mass = cells.mass(name)
    return f"{(Decimal(mass.mg) / MG_PER_G).normalize():f}" if mass else ""


def _text(cells: RowCells, name: str) -> str:
    return cells.text(name)


_READS: Mapping[Reads, Read] = {
    Reads.TEXT: _text, Reads.CODE: _text, Reads.DATE: _date, Reads.NUMBER: _number, Reads.MASS: _mass,
}  # fmt: skip
