"""Read the cells of one row through the rules, gathering what is to be said about each."""

import re
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time
from decimal import Decimal
from functools import cached_property
from typing import Protocol, TypeVar

from inventory.importing.cell_mistakes import (
    MergedCell,
    MergedMass,
    NotAShare,
    NotWhole,
    NotYesNo,
    ReadByHabit,
    ReadDryBasis,
)  # fmt: skip
from inventory.importing.fields import DRY_BASIS, Vocabulary
from inventory.importing.habits import Habits, dated_value
from inventory.importing.headings import HeadingRow
from inventory.importing.known import Known
from inventory.importing.rows import ErrorInCell, NeverCalculated
from inventory.importing.table import Cell, Row, SheetTable, Value
from inventory.rules.amounts import TwoReadings, read_amount
from inventory.rules.codes import BETWEEN_CODES, CodeUnknown, read_code, read_plots
from inventory.rules.codes import Vocabulary as Codes
from inventory.rules.dates import DateMissing, DateTwoReadings, ReadDate, read_date
from inventory.rules.mass import ReadMass, UnitUnknown, read_mass, read_unit
from inventory.rules.mistakes import Level, Mistake, Note
from inventory.rules.moisture import dry_to_wet, read_moisture
from inventory.rules.reading import ReadCode, plain, typed_text
from inventory.rules.rounding import half_up

T = TypeVar("T")


class WithNotes(Protocol):
    """What a rule's reader returns."""

    @property
    def notes(self) -> tuple[Note, ...]:
        """What is to be said about how it was read."""


N = TypeVar("N", bound=WithNotes)

YES = ("yes", "y", "true", "1", "x", "ok", "done", "oui", "o", "si", "s", "✓", "✔")
NO = ("no", "n", "false", "0", "-", "not done", "non")


@dataclass(frozen=True)
class Said:
    """Something to say about one field of one row."""

    row: int
    field: str
    mistake: Mistake


@dataclass(frozen=True)
class Instead:
    """What an answer puts in place of a cell's words.

    Args:
        value: the words, or None where the cell is to count as empty.
        is_ours: it is our own proposal, in the field's own terms: % wet basis, not the heading's.
    """

    value: Value
    is_ours: bool = False


@dataclass
class Decided:
    """What answers, or proposals not answered yet, put in place of what is written."""

    instead: dict[tuple[int, str], Instead] = field(default_factory=dict)
    unit: str = ""


@dataclass(frozen=True)
class SheetRead:
    """A sheet whose columns and rows are known."""

    table: SheetTable
    vocabulary: Vocabulary
    headings: HeadingRow
    rows: tuple[Row, ...]
    known: Known
    habits: Habits
    prefix: str | None


class RowCells:
    """The cells of one row; what can't be read is said and its value is empty.

    Args:
        sheet: that the row is of.
        row: the row.
        decided: what stands in place of its words.
    """

    def __init__(self, sheet: SheetRead, row: Row, decided: Decided) -> None:
        self.sheet = sheet
        self.row = row
        self.decided = decided
        self.said: list[Said] = []
        self.unread: set[str] = set()

    def say(self, name: str, mistake: Mistake) -> None:
        """Gather something to say about a field."""
        self.said.append(Said(self.row.number, name, mistake))
        if mistake.level is Level.ERROR or isinstance(mistake, (DateTwoReadings, TwoReadings)):
            self.unread.add(name)

    def cell(self, name: str) -> Cell:
        """Give a field's cell, with what was decided in place of its words."""
        cell = self.sheet.headings.cell(self.row, name)
        instead = self.decided.instead.get((self.row.number, name)) if self.decided.instead else None
        if instead is None:
            return cell
        return replace(cell, value=instead.value, formula=None, merged_from=None, number_format="", error=None)

    def is_ours(self, name: str) -> bool:
        """Say whether our own proposal stands in place of the cell's words."""
        instead = self.decided.instead.get((self.row.number, name))
        return instead is not None and instead.is_ours

    def value(self, name: str, *, shared: bool = True) -> Value:
        """Give a field's value, None where nothing stands.

        Args:
            shared: several rows may share it; else a merged cell is asked about.
        """
        cell = self.cell(name)
        if cell.error is not None:
            self.say(name, ErrorInCell(self.row.number, self.sheet.headings.heading(name), cell.error))
            return None
        if cell.formula is not None and cell.value is None:
            self.say(name, NeverCalculated(self.row.number, self.sheet.headings.heading(name), cell.formula))
            return None
        if cell.value is None or (isinstance(cell.value, str) and not cell.value.strip()):
            return None
        return self._merged(name, cell, shared=shared) if cell.merged_from else cell.value

    def text(self, name: str) -> str:
        """Give a field's words."""
        return typed_text(self.value(name)).strip()

    def lot(self, name: str) -> str:
        """Give a lot's number as written; the act reads it."""
        return typed_text(self.value(name, shared=name == "feed_lot"))

    def date(self, name: str, *, needed: bool = False) -> date | datetime | None:
        """Read a day, or a moment where the cell holds one."""
        value = dated_value(self.value(name), first_1904=self.sheet.table.first_1904)
        if value is None:
            if needed and name not in self.unread:
                self.say(name, self._no_date(name))
            return None
        read = self._read(name, lambda: self._day(name, value))
        return (_moment(value) or read.value) if read else None

    def code(self, name: str, known: Codes) -> str:
        """Read a code that has to be known; "" where nothing stands or it is not."""
        text = typed_text(self.value(name))
        if not text or text in known.known:
            return text
        read = self._read(name, lambda: read_code(text, known, field=name))
        return read.value if read else ""

    def plots(self, name: str = "plot") -> tuple[str, ...]:
        """Read the plots of a cell."""
        text, known = typed_text(self.value(name)), self.sheet.known.plots
        if not text or text in known.known:
            return (text,) if text else ()
        read = self._read(name, lambda: _plots(text, known, self.sheet.prefix))
        return read.value if read else ()

    def mass(self, name: str) -> ReadMass | None:
        """Read a mass in the cell's own unit, else the row's, else the heading's, else the field's."""
        value = self.value(name, shared=False)
        if value is None:
            return None
        unit = self.unit(name)
        return self._read(
            name,
            lambda: self._number(
                name, value, lambda comma: read_mass(value, unit=unit, field=name, decimal_comma=comma)
            ),
        )

    def unit(self, name: str) -> str | None:
        """Say in which unit a field's bare numbers are."""
        if self.decided.unit:
            return self.decided.unit
        shown = re.findall(r'"([^"]+)"', self.cell(name).number_format)
        of_cell = next((unit for words in shown if (unit := read_unit(words.strip()))), None)
        column = self.sheet.headings.columns.get(name)
        of_heading = column.unit if column else None
        return of_cell or self._unit_of_row or of_heading or self.sheet.vocabulary.field(name).unit or None

    @cached_property
    def _unit_of_row(self) -> str | None:
        text = self.text("unit") if "unit" in self.sheet.headings.columns else ""
        unit = read_unit(plain(text))
        if text and unit is None:
            self.say("unit", UnitUnknown(text, field="unit"))
        return unit

    def moisture(self, name: str = "moisture") -> Decimal | None:
        """Read a moisture [% wet basis], from a per-cent cell or a dry-basis column too."""
        value = self.value(name, shared=False)
        if value is None:
            return None
        if self.cell(name).is_percent and isinstance(value, Decimal):
            value = value * 100
        read = self._read(
            name, lambda: self._number(name, value, lambda comma: read_moisture(value, field=name, decimal_comma=comma))
        )
        column = self.sheet.headings.columns.get(name)
        if read is None or column is None or column.unit != DRY_BASIS or self.is_ours(name):
            return read.percent if read else None
        wet = half_up(dry_to_wet(read.percent), 2)
        self.say(name, ReadDryBasis(read.percent, wet))
        return wet

    def number(self, name: str) -> Decimal | None:
        """Read a number."""
        value = self.value(name, shared=False)
        if value is None:
            return None
        read = self._read(
            name, lambda: self._number(name, value, lambda comma: read_amount(value, field=name, decimal_comma=comma))
        )
        return read.value if read else None

    def percent(self, name: str) -> Decimal | None:
        """Read a share [%] from a number, a text with its sign, or a per-cent cell."""
        value = self.value(name, shared=False)
        if value is None:
            return None
        number = value.strip().rstrip("%％").rstrip() if isinstance(value, str) else value
        if self.cell(name).is_percent and isinstance(value, Decimal):
            number = value * 100
        read = self._read(
            name, lambda: self._number(name, number, lambda comma: read_amount(number, field=name, decimal_comma=comma))
        )
        if read is None or 0 <= read.value <= 100:
            return read.value if read else None
        self.say(name, NotAShare(typed_text(value), name))
        return None

    def count(self, name: str) -> int | None:
        """Read a whole number."""
        value = self.value(name, shared=False)
        read = self._read(name, lambda: read_amount(value, field=name)) if value is not None else None
        if read is None:
            return None
        if read.value != read.value.to_integral_value() or not 0 <= read.value < 10**9:
            self.say(name, NotWhole(typed_text(value), name))
            return None
        return int(read.value)

    def yes(self, name: str, *, otherwise: bool) -> bool:
        """Read yes or no; an empty cell is `otherwise`."""
        text = self.text(name).casefold()
        if text not in (*YES, *NO, ""):
            self.say(name, NotYesNo(text, name))
        return text in YES if text else otherwise

    def _merged(self, name: str, cell: Cell, *, shared: bool) -> Value:
        """Read on what a merged cell above says; cells merged sideways say something about another column."""
        above = cell.merged_from or ""
        if above.rstrip("0123456789") != cell.letter:
            return None
        self.say(name, MergedCell(cell.text, above) if shared else MergedMass(cell.text, above))
        return cell.value

    def _no_date(self, name: str) -> Mistake:
        mistake = DateMissing(field=name)
        near = self.sheet.habits.near(name, self.row.number)
        mistake.proposal = near.isoformat() if near else None
        return mistake

    def _day(self, name: str, value: Value) -> ReadDate:
        habits = self.sheet.habits
        try:
            return read_date(value, field=name)
        except DateTwoReadings:
            order, row = habits.day_first(name), self.row.number
            near, is_below = habits.near(name, row), not habits.has_day_above(name, row)
            return read_date(value, day_first=order, near=near, near_is_below=is_below, field=name)

    def _number(self, name: str, value: Value, read: Callable[[bool | None], T]) -> T:
        """Read a number by itself; only where it can be two is the sheet's own decimal sign asked."""
        habits = self.sheet.habits
        if not isinstance(value, str):
            return read(None)
        if "," not in value or habits.comma_only:
            return read(habits.comma_proven or None)
        try:
            return read(None)
        except TwoReadings:
            found = read(habits.decimal_comma)
        self.say(name, ReadByHabit(value, is_decimal=habits.comma_proven))
        return found

    def _read(self, name: str, read: Callable[[], N]) -> N | None:
        """Read something that brings its notes along; what can't be read is said."""
        try:
            found = read()
        except Mistake as mistake:
            self.say(name, mistake)
            self.unread.add(name)
            return None
        for note in found.notes:
            self.say(name, note)
        return found


def _plots(text: str, known: Codes, prefix: str | None) -> ReadCode[tuple[str, ...]]:
    """Read plots; a proposal for one of several would not do for the whole cell, so it stays in the sentence."""
    try:
        return read_plots(text, known, prefix=prefix)
    except CodeUnknown as mistake:
        if len([piece for piece in BETWEEN_CODES.split(text) if piece.strip()]) > 1 or " " in text.strip():
            mistake.proposal = None
        raise


def _moment(value: Value) -> datetime | None:
    """Give the moment that a cell holds, where it holds more than a day."""
    if isinstance(value, str) and ":" in value:
        try:
            value = datetime.fromisoformat(value.strip())
        except ValueError:
            return None
    return value if isinstance(value, datetime) and (value.time() != time() or value.tzinfo) else None
