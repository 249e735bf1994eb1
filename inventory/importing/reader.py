"""The reader's own process: one workbook comes in on stdin, its rows go out on stdout as lines of JSON.

It knows no Django, no database and no settings. Whatever happens to it, its parent (`child`) goes on. Formulas are
never executed: the values that the spreadsheet program stored with them are read.
"""

import json
import sys
import zipfile
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from io import BytesIO
from typing import TextIO

from inventory.importing import limits
from inventory.importing.gate import BROKEN_ARCHIVE
from inventory.importing.parts import Workbook, Worksheet, check_prologs, read_workbook
from inventory.importing.refusals import CellTooLong, Damaged, FileMistake, NothingInSheet, TooManyCells
from inventory.importing.scan import Facts, Place, scan_worksheet
from inventory.importing.table import column_letter
from inventory.rules.mistakes import Refused

Raw = str | int | float | bool | date | datetime | time | timedelta
CellRecord = list[str | int | None]


def main() -> None:
    """Read stdin, write stdout; a file that can't be used is answered with its code, not with an exit status."""
    limit_this_process()
    content = sys.stdin.buffer.read()
    try:
        write_worksheet(content, sys.stdout)
    except Refused as refused:
        told = [[m.code, list(m.told)] for m in refused.mistakes if isinstance(m, FileMistake)]
        print(json.dumps({"refused": told}))  # noqa: T201 - stdout is this process's answer
    except BROKEN_ARCHIVE:
        print(json.dumps({"refused": [[Damaged.code, []]]}))  # noqa: T201 - stdout is this process's answer


def limit_this_process() -> None:
    """Bound memory, processor time and output, so that a file that slipped past the gate hurts only this process."""
    try:
        import resource  # noqa: PLC0415 - POSIX only; elsewhere the gate and the parent's time limit hold
    except ImportError:
        return
    seconds = int(limits.SECONDS_AT_MOST) + 1
    for what, most in (
        (resource.RLIMIT_AS, limits.READER_MEMORY_BYTES),
        (resource.RLIMIT_CPU, seconds),
        (resource.RLIMIT_FSIZE, limits.READER_OUTPUT_BYTES),
        (resource.RLIMIT_CORE, 0),
    ):
        hard = resource.getrlimit(what)[1]
        limit = most if hard == resource.RLIM_INFINITY else min(most, hard)
        resource.setrlimit(what, (limit, limit))


def write_worksheet(content: bytes, out: TextIO) -> None:
    """Write the first visible worksheet that holds anything: a line about it, a line a row, a line that it ended.

    Raises:
        Refused: with `FileMistake`s.
    """
    with zipfile.ZipFile(BytesIO(content)) as archive:
        check_prologs(archive)
        book = read_workbook(archive)
        sheet, facts, others = _choose(archive, book)
    anchors = _anchors(sheet.name, facts)
    values = _values(content, sheet.name)
    hidden = [column_letter(n) for first, last in facts.hidden_columns for n in range(first, min(last, 256) + 1)]
    about = {"name": sheet.name, "first_1904": book.first_1904, "hidden_columns": hidden, "other_sheets": others}
    out.write(json.dumps(about) + "\n")
    count = 0
    for number, cells in _rows(values, facts, anchors):
        out.write(json.dumps([number, number in facts.hidden_rows, cells], ensure_ascii=False) + "\n")
        count += 1
    out.write(json.dumps({"end": count}) + "\n")


def _choose(archive: zipfile.ZipFile, book: Workbook) -> tuple[Worksheet, Facts, list[str]]:
    filled: list[tuple[Worksheet, Facts]] = []
    for sheet in book.worksheets:
        if sheet.is_visible:
            facts = scan_worksheet(archive, sheet.part, sheet.name, book.unit_formats)
            if facts.filled_cells:
                filled.append((sheet, facts))
    if not filled:
        raise Refused([NothingInSheet()])
    sheet, facts = filled[0]
    return sheet, facts, [other.name for other, _ in filled[1:]]


def _values(content: bytes, name: str) -> list[list[Raw]]:
    """Let the value reader read a worksheet whose size the scan has seen."""
    import python_calamine  # noqa: PLC0415 - compiled code touches the file only after every check before it

    try:
        with python_calamine.load_workbook(BytesIO(content)) as book:
            return book.get_sheet_by_name(name).to_python(skip_empty_area=False)
    except python_calamine.CalamineError as error:
        raise Refused([Damaged()]) from error


def _rows(values: list[list[Raw]], facts: Facts, anchors: dict[Place, Place]) -> Iterator[tuple[int, list[CellRecord]]]:
    for number in range(1, facts.last_row + 1):
        row = values[number - 1] if number <= len(values) else []
        cells = [
            record
            for column in range(1, facts.last_column + 1)
            if (record := _record(values, row, (number, column), facts, anchors)) is not None
        ]
        if cells:
            yield number, cells


def _anchors(name: str, facts: Facts) -> dict[Place, Place]:
    """Map each cell that is merged with another to the one that holds the value."""
    anchors: dict[Place, Place] = {}
    covered = 0
    for (top, left), (bottom, right) in facts.merged:
        rows = range(top, min(bottom, facts.last_row) + 1)
        columns = range(left, min(right, facts.last_column) + 1)
        covered += len(rows) * len(columns)
        if covered > limits.MAX_CELLS:
            raise Refused([TooManyCells(name)])
        anchors.update({(row, column): (top, left) for row in rows for column in columns})
    return anchors


def _record(
    values: list[list[Raw]], row: list[Raw], place: Place, facts: Facts, anchors: dict[Place, Place]
) -> CellRecord | None:
    """Write one cell down: column, kind, text, then formula, anchor, format and error where there are any."""
    anchor = anchors.get(place, place)
    if anchor != place:
        kind, text = _kind(_at(values, anchor))
        return [place[1], kind, text, None, f"{column_letter(anchor[1])}{anchor[0]}", ""] if kind else None
    value = row[place[1] - 1] if place[1] <= len(row) else ""
    formula, error = facts.formulas.get(place), facts.errors.get(place)
    kind, text = _kind(value) if error is None else ("e", error)
    if not kind and formula is None:
        return None
    number_format = facts.formats.get(place, "")
    if formula is None and not number_format:
        return [place[1], kind, text]
    return [place[1], kind, text, formula, None, number_format]


def _at(values: list[list[Raw]], place: Place) -> Raw:
    row, column = place[0] - 1, place[1] - 1
    return values[row][column] if row < len(values) and column < len(values[row]) else ""


def _kind(value: Raw) -> tuple[str, str]:
    """Name the kind of a value and write it exactly; ("", "") where nothing stands."""
    if isinstance(value, str):
        if len(value) > limits.MAX_CELL_TEXT:
            raise Refused([CellTooLong()])
        return ("s", value) if value else ("", "")
    if isinstance(value, bool):
        return "b", "1" if value else ""
    if isinstance(value, int | float):
        return "n", exact_number(value)
    if isinstance(value, datetime):
        return ("d", value.date().isoformat()) if value.time() == time() else ("dt", value.isoformat())
    if isinstance(value, timedelta):
        return "td", str(value.total_seconds())
    return ("d" if isinstance(value, date) else "t"), value.isoformat()


def exact_number(value: float) -> str:
    """Write a number with the 15 digits that spreadsheets show, so that 10.93 - 0.10 is 10.83 and not 10.829999999."""
    text = format(value, ".15g")
    return format(Decimal(text), "f") if "e" in text else text
