"""Finding the heading row and saying which column is which, however people wrote it."""

import difflib
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from inventory.importing.fields import HELP_SHEET, UNITS, Field, Vocabulary, fold, split_unit
from inventory.importing.findings import Finding, finding_at, finding_of_sheet
from inventory.importing.table import Cell, Row, SheetTable
from inventory.rules.mistakes import Mistake, Note, Refused
from inventory.rules.reading import listed, quoted

LOOK_AT_ROWS = 500
ENOUGH = 2  # one word alone may be a title


@dataclass(frozen=True, slots=True)
class Column:
    """A column as its heading names it.

    Args:
        letter: as the spreadsheet shows it.
        heading: as typed.
        unit: the unit in the heading ("lb", "% dry basis"); None where it names none.
    """

    letter: str
    heading: str
    unit: str | None = None


@dataclass(frozen=True)
class HeadingRow:
    """The row that heads the list.

    Args:
        row_number: as the spreadsheet shows it; the data begin below.
        columns: field name -> its column.
        unknown: columns whose heading says nothing to us.
        findings: notes about what is not read or read otherwise.
    """

    row_number: int
    columns: Mapping[str, Column]
    unknown: tuple[Column, ...] = ()
    findings: tuple[Finding, ...] = ()

    def cell(self, row: Row, field: str) -> Cell:
        """Give a row's cell of a field; an empty one where the sheet has no such column."""
        column = self.columns.get(field)
        return row.cell(column.letter) if column else Cell("", None)

    def heading(self, field: str) -> str:
        """Give a field's heading as typed; "" where the sheet has no such column."""
        column = self.columns.get(field)
        return column.heading if column else ""


class NoHeadings(Mistake):
    """No row looks like headings."""

    code = "no_headings"

    def __init__(self, vocabulary: Vocabulary) -> None:
        names = listed([field.title for field in vocabulary.fields if field.needed], "and")
        super().__init__(
            f"No row of the sheet holds the headings of a sheet of {vocabulary.title}. "
            f"Write a row of headings above the list, with at least {names}; `--template` writes a sheet that has them."
        )


class HeadingMissing(Mistake):
    """A column that can't be done without."""

    code = "heading_missing"

    def __init__(self, row: int, fields: tuple[Field, ...], near: Column | None) -> None:
        names = listed([field.title for field in fields])
        also = ", ".join(list(dict.fromkeys(h for field in fields for h in field.headings if h != field.title))[:6])
        looks_like = f" Is it {quoted(near.heading)} in column {near.letter}?" if near else ""
        super().__init__(
            f"Row {row} holds the headings, but none for {names}.{looks_like} Head its column {names}"
            + (f" (or {also})." if also else "."),
            field=fields[0].name,
        )


class HeadingTwice(Mistake):
    """Two columns say they are the same."""

    code = "heading_twice"

    def __init__(self, field: Field, columns: list[Column]) -> None:
        letters = listed([f"{column.letter} ({quoted(column.heading)})" for column in columns], "and")
        super().__init__(
            f"Columns {letters} are all headed as {field.title}. Keep the right one and rename the other.",
            field=field.name,
        )


class UnitDoesNotFit(Mistake):
    """A heading names a unit its values can't have."""

    code = "unit_does_not_fit"

    def __init__(self, field: Field, column: Column) -> None:
        units = UNITS[field.reads]
        advice = f"Write {listed(list(units))}." if units else "Leave the unit out."
        super().__init__(
            f"Column {column.letter} is headed {quoted(column.heading)}, but {field.title} can't be in {column.unit}. "
            + advice,
            field=field.name,
        )


class ColumnNotRead(Note):
    """A column we know no use for."""

    code = "column_not_read"

    def __init__(self, column: Column) -> None:
        super().__init__(
            f"Column {column.letter}, {quoted(column.heading)}, is not read: its heading is not known here."
        )


class ColumnHidden(Note):
    """A column that the sheet hides and we read."""

    code = "column_hidden"

    def __init__(self, column: Column) -> None:
        super().__init__(
            f"Column {column.letter}, {quoted(column.heading)}, is hidden in the sheet; it was read all the same."
        )


class OtherWorksheets(Note):
    """Further worksheets that hold something."""

    code = "other_worksheets"

    def __init__(self, read: str, others: tuple[str, ...]) -> None:
        names = listed([quoted(name) for name in others[:5]], "and")
        super().__init__(
            f"Worksheet {quoted(read)} was read. Not read, though something stands in it: {names}. "
            "To load it too, save it as a file of its own."
        )


def match_headings(table: SheetTable, vocabulary: Vocabulary) -> HeadingRow:
    """Find the heading row and name its columns.

    Args:
        table: the worksheet.
        vocabulary: of the kind of sheet it should be.

    Raises:
        Refused: no row looks like headings, one that is needed is missing, stands twice or has a wrong unit.
    """
    row = _heading_row(table, vocabulary)
    matched, unknown, mistakes = _name_columns(row, vocabulary)
    mistakes += _twice(matched, vocabulary) + _missing(row.number, matched, unknown, vocabulary)
    if mistakes:
        raise Refused(mistakes)
    columns = {name: found[0] for name, found in matched.items()}
    return HeadingRow(row.number, columns, tuple(unknown), _notes(table, row, columns, unknown))


def _count_headings(row: Row, vocabulary: Vocabulary) -> int:
    """Count the fields that a row's cells are headings of."""
    return len({field.name for cell in _own_cells(row) for field, _ in [_match(cell, vocabulary)] if field})


def _heading_row(table: SheetTable, vocabulary: Vocabulary) -> Row:
    """Take the first row with the most headings: a list broken over pages repeats them further down."""
    counted = [(_count_headings(row, vocabulary), row) for row in table.rows[:LOOK_AT_ROWS]]
    most = max((count for count, _ in counted), default=0)
    if most < ENOUGH:
        raise Refused([NoHeadings(vocabulary)])
    return next(row for count, row in counted if count == most)


def _own_cells(row: Row) -> list[Cell]:
    """Give the cells that may head a column, also those merged downwards, not those of a title merged across.

    A number may be a heading too: replicates are often headed 1, 2, 3, 4.
    """
    return [
        cell
        for cell in row.cells
        if isinstance(cell.value, str | Decimal)
        and cell.text.strip()
        and not cell.is_formula
        and (cell.merged_from is None or cell.merged_from.rstrip("0123456789") == cell.letter)
    ]


def _match(cell: Cell, vocabulary: Vocabulary) -> tuple[Field | None, Column]:
    """Say which field a cell is the heading of; a heading that names a unit goes to the field that can have it."""
    ways = split_unit(cell.text)
    units = dict(ways)
    whole = fold(cell.text)
    for named, unit in [*ways, (whole, next(iter(units.values()), None))]:
        fields = vocabulary.by_heading.get(named, ())
        fitting = [field for field in fields if unit is None or unit in UNITS[field.reads]]
        if fitting:
            return fitting[0], Column(cell.letter, cell.text, unit)
    for named, unit in [(whole, None), *ways]:
        if fields := vocabulary.by_heading.get(named, ()):
            return fields[0], Column(cell.letter, cell.text, unit)
    return None, Column(cell.letter, cell.text)


def _name_columns(row: Row, vocabulary: Vocabulary) -> tuple[dict[str, list[Column]], list[Column], list[Mistake]]:
    matched: dict[str, list[Column]] = {}
    unknown: list[Column] = []
    mistakes: list[Mistake] = []
    for cell in _own_cells(row):
        field, column = _match(cell, vocabulary)
        if field is None:
            unknown.append(column)
            continue
        matched.setdefault(field.name, []).append(column)
        if column.unit is not None and column.unit not in UNITS[field.reads]:
            mistakes.append(UnitDoesNotFit(field, column))
    return matched, unknown, mistakes


def _twice(matched: dict[str, list[Column]], vocabulary: Vocabulary) -> list[Mistake]:
    return [HeadingTwice(vocabulary.field(name), columns) for name, columns in matched.items() if len(columns) > 1]


def _missing(
    row: int, matched: dict[str, list[Column]], unknown: list[Column], vocabulary: Vocabulary
) -> list[Mistake]:
    groups: list[tuple[Field, ...]] = [(field,) for field in vocabulary.fields if field.needed]
    groups += [tuple(vocabulary.field(name) for name in names) for names in vocabulary.one_of]
    return [
        HeadingMissing(row, group, _nearest(group, unknown))
        for group in groups
        if not any(field.name in matched for field in group)
    ]


def _nearest(fields: tuple[Field, ...], unknown: list[Column]) -> Column | None:
    names = [fold(heading) for field in fields for heading in field.headings]
    near = [column for column in unknown if difflib.get_close_matches(fold(column.heading), names, 1, 0.75)]
    return near[0] if near else None


def _notes(table: SheetTable, row: Row, columns: Mapping[str, Column], unknown: list[Column]) -> tuple[Finding, ...]:
    others = tuple(name for name in table.other_sheets if name != HELP_SHEET)
    notes = [finding_of_sheet(OtherWorksheets(table.name, others))] if others else []
    used = {cell.letter for below in table.rows if below.number > row.number for cell in below.filled}
    said: list[tuple[Column, Mistake]] = [(c, ColumnNotRead(c)) for c in unknown if c.letter in used]
    said += [(c, ColumnHidden(c)) for c in columns.values() if c.letter in table.hidden_columns]
    return (*notes, *(finding_at(row.number, c.heading, row.cell(c.letter), note) for c, note in said))
