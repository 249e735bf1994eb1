"""Telling the rows that hold data from titles, totals, repeated headings and signatures.

Nothing is left out in silence: each row that is not data and not blank gets a note.
"""

import re
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from inventory.importing.fields import Reads, Vocabulary, fold
from inventory.importing.findings import Finding, finding_at, finding_of_row
from inventory.importing.headings import HeadingRow
from inventory.importing.table import Cell, Row, SheetTable
from inventory.rules.mistakes import Mistake, Note
from inventory.rules.reading import quoted

TOTAL_WORDS = (  # as `fold` writes them: "sous-total" is "sou total"
    *("total", "grand total", "subtotal", "sub total", "sum", "overall", "average", "mean"),
    *("somme", "totaux", "sou total", "moyenne"),
    *("suma", "totale", "promedio", "media"),
)
SIGNED_WORDS = (
    *("signed", "signature", "checked by", "weighed by", "approved by", "prepared by"),
    *("signe", "verifie par", "pese par", "prepare par"),
    *("firma", "revisado por", "pesado por", "preparado por"),
)
NAMING = (Reads.CODE, Reads.DATE)
# Workbooks store functions under their English names whatever the program's language (ECMA-376-1, 18.17).
TOTAL_FORMULA = re.compile(r"\b(SUM|SUBTOTAL|AVERAGE)\((?:\d+,)?\$?([A-Z]+)\$?\d+:\$?([A-Z]+)\$?\d+", re.I)


class RowKind(StrEnum):
    """What a row is."""

    DATA = "data"
    BLANK = "blank"
    TITLE = "title"
    HEADING = "heading"
    TOTAL = "total"
    SIGNATURE = "signature"


@dataclass(frozen=True)
class SortedRows:
    """The rows below the headings, sorted.

    Args:
        data: those to read.
        left_out: the others, with what they are.
        findings: a note for each that was left out, for hidden data rows, an error for formulas without a value.
    """

    data: tuple[Row, ...]
    left_out: tuple[tuple[Row, RowKind], ...]
    findings: tuple[Finding, ...]


class RowIsTotal(Note):
    """A row of sums."""

    code = "row_is_total"

    def __init__(self, row: int) -> None:
        super().__init__(f"Row {row} is a total, so it was left out.")


class RowRepeatsHeadings(Note):
    """The heading row again, as on the next page."""

    code = "row_repeats_headings"

    def __init__(self, row: int) -> None:
        super().__init__(f"Row {row} repeats the headings, so it was left out.")


class RowIsText(Note):
    """A title or a signature among the rows."""

    code = "row_is_text"

    def __init__(self, row: int, text: str) -> None:
        super().__init__(f"Row {row} holds only {quoted(text)} and no record, so it was left out.")


class RowHidden(Note):
    """A data row that the sheet hides."""

    code = "row_hidden"

    def __init__(self, row: int) -> None:
        super().__init__(f"Row {row} is hidden in the sheet (by hand or by a filter); it was read like the others.")


class NeverCalculated(Mistake):
    """A formula whose value the file does not hold."""

    code = "never_calculated"

    def __init__(self, row: int, heading: str, formula: str) -> None:
        super().__init__(
            f"Row {row}, {heading}: the formula {quoted('=' + formula)} has never been calculated, so it has no value. "
            "Open the sheet in a spreadsheet program, save it and send it again, or type the value."
        )


class ErrorInCell(Mistake):
    """The spreadsheet's own error."""

    code = "error_in_cell"

    def __init__(self, row: int, heading: str, error: str) -> None:
        super().__init__(
            f"Row {row}, {heading}: the spreadsheet shows {error} instead of a value. "
            "Type the value there, or give it as the answer."
        )


def sort_rows(table: SheetTable, headings: HeadingRow, vocabulary: Vocabulary) -> SortedRows:
    """Sort the rows below the heading row.

    Args:
        table: the worksheet.
        headings: its heading row.
        vocabulary: of its kind.
    """
    data: list[Row] = []
    left_out: list[tuple[Row, RowKind]] = []
    findings: list[Finding] = []
    sums: dict[str, Decimal] = {}
    for row in table.rows:
        if row.number <= headings.row_number:
            continue
        kind = _kind(row, headings, vocabulary, sums, len(data))
        if kind is RowKind.DATA:
            data.append(row)
            _add(sums, row)
            findings += _findings_of_data(row, headings)
        else:
            left_out.append((row, kind))
            findings += _findings_of_left_out(row, kind)
    return SortedRows(tuple(data), tuple(left_out), tuple(findings))


def _kind(row: Row, headings: HeadingRow, vocabulary: Vocabulary, sums: dict[str, Decimal], above: int) -> RowKind:
    if not row.filled:
        return RowKind.BLANK
    if _repeats(row, headings):
        return RowKind.HEADING
    if _is_total(row, headings, vocabulary, sums, above):
        return RowKind.TOTAL
    if _says_signed(row.filled[0]) and not any(_is_number(cell) for cell in row.filled):
        return RowKind.SIGNATURE
    return RowKind.TITLE if _is_title(row, headings, vocabulary) else RowKind.DATA


def _repeats(row: Row, headings: HeadingRow) -> bool:
    """Say whether at least half of the headings stand again in their columns."""
    again = [
        column
        for column in headings.columns.values()
        if row.cell(column.letter).text.strip().casefold() == column.heading.strip().casefold()
    ]
    return len(again) >= max(2, len(headings.columns) // 2)


def _is_total(row: Row, headings: HeadingRow, vocabulary: Vocabulary, sums: dict[str, Decimal], above: int) -> bool:
    """Say whether a row sums up: it says so, or names nothing and holds only sums of what stands above it."""
    naming = _named_cells(row, headings, vocabulary)
    if any(_says_total(cell) for cell in [row.filled[0], *naming]):
        return len([cell for cell in naming if not _says_total(cell)]) <= 1  # a day's total may bear its date
    if naming or not all(_is_number(cell) or cell.is_formula for cell in row.filled):
        return False
    return all(_sums_a_column(cell) or (above > 1 and _equals_sum(cell, sums)) for cell in row.filled)


def _named_cells(row: Row, headings: HeadingRow, vocabulary: Vocabulary) -> list[Cell]:
    """Give the filled cells of columns that name a record: codes and dates."""
    names = [name for name in headings.columns if vocabulary.field(name).reads in NAMING and name != "unit"]
    return [cell for name in names if (cell := headings.cell(row, name)).is_filled]


def _says_total(cell: Cell) -> bool:
    """Say whether a cell's words begin a total: "TOTAL", "Total kg:", "Sous-total octobre"."""
    if not isinstance(cell.value, str):
        return False
    words = fold(cell.text).split()
    return any(" ".join(words[:length]) in TOTAL_WORDS for length in (1, 2)) and len(words) <= 4


def _says_signed(cell: Cell) -> bool:
    return isinstance(cell.value, str) and fold(cell.text).startswith(SIGNED_WORDS)


def _is_number(cell: Cell) -> bool:
    return isinstance(cell.value, Decimal)


def _sums_a_column(cell: Cell) -> bool:
    """Say whether a formula sums its own column downwards; a sum along the row is a record's own."""
    found = TOTAL_FORMULA.search(cell.formula or "")
    return bool(found and found[2] == found[3] == cell.letter)


def _equals_sum(cell: Cell, sums: dict[str, Decimal]) -> bool:
    return isinstance(cell.value, Decimal) and cell.value != 0 and sums.get(cell.letter) == cell.value


def _add(sums: dict[str, Decimal], row: Row) -> None:
    for cell in row.filled:
        if isinstance(cell.value, Decimal):
            sums[cell.letter] = sums.get(cell.letter, Decimal(0)) + cell.value


def _is_title(row: Row, headings: HeadingRow, vocabulary: Vocabulary) -> bool:
    """Say whether a row is one piece of prose: words across merged cells, or several words that name no record."""
    if len(row.filled) > 1 or not isinstance(row.filled[0].value, str):
        return False
    cell = row.filled[0]
    across = any(other.merged_from == cell.ref and other.letter != cell.letter for other in row.cells)
    prose = len(cell.text.split()) > 1 and not re.search(r"\d{3}", cell.text)
    return (
        across
        or prose
        or cell.letter
        not in {
            column.letter for name, column in headings.columns.items() if vocabulary.field(name).reads is not Reads.TEXT
        }
    )


def _findings_of_left_out(row: Row, kind: RowKind) -> list[Finding]:
    if kind is RowKind.BLANK:
        return []
    first = row.filled[0]
    if kind is RowKind.TOTAL:
        return [finding_of_row(row.number, RowIsTotal(row.number), first.text)]
    if kind is RowKind.HEADING:
        return [finding_of_row(row.number, RowRepeatsHeadings(row.number), first.text)]
    return [finding_of_row(row.number, RowIsText(row.number, first.text), first.text)]


def _findings_of_data(row: Row, headings: HeadingRow) -> list[Finding]:
    findings = [finding_of_row(row.number, RowHidden(row.number))] if row.hidden else []
    for name, column in headings.columns.items():
        cell = headings.cell(row, name)
        if cell.error is not None:
            mistake: Mistake = ErrorInCell(row.number, column.heading, cell.error)
        elif cell.formula is not None and cell.value is None:
            mistake = NeverCalculated(row.number, column.heading, cell.formula)
        else:
            continue
        findings.append(finding_at(row.number, column.heading, cell, mistake))
    return findings
