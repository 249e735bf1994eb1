"""Write a sheet as lines of text: a line a row, cells between bars, "-" for an empty cell."""

from decimal import Decimal, InvalidOperation

from inventory.importing.table import Cell, Row, SheetTable, Value, column_letter


def value(text: str) -> Value:
    try:
        return Decimal(text)
    except InvalidOperation:
        return text


def cell(number: int, column: int, text: str) -> Cell:
    ref = f"{column_letter(column)}{number}"
    if text.startswith("="):
        return Cell(ref, None, formula=text[1:])
    if text.startswith("#"):
        return Cell(ref, None, error=text)
    return Cell(ref, value(text))


def table(text: str, **about: object) -> SheetTable:
    """Build a table; a blank line is a blank row, numbers are numbers, =… a formula that was never calculated."""
    rows = []
    for number, line in enumerate(text.strip("\n").splitlines(), start=1):
        typed = [part.strip() for part in line.split("|")]
        cells = tuple(cell(number, column, part) for column, part in enumerate(typed, start=1) if part not in ("", "-"))
        if cells:
            rows.append(Row(number, cells))
    return SheetTable("Intake", tuple(rows), **about)
