"""Sheets as text: values separated by comma, semicolon or tab (RFC 4180, read forgivingly), UTF-8 or Windows-1252."""

import csv
from collections import Counter
from collections.abc import Iterator
from io import StringIO

from inventory.importing import limits
from inventory.importing.gate import UTF16_MARKS
from inventory.importing.refusals import (
    FarCell,
    NothingInSheet,
    NotText,
    QuotesOpen,
    TooManyCells,
    TooManyRows,
)
from inventory.importing.table import Cell, Row, SheetTable, column_letter
from inventory.rules.mistakes import Refused

SEPARATORS = ("\t", ";", ",")
LOOK_AT_LINES = 200
CONTROL = frozenset(map(chr, range(32))) - set("\t\r\n\v\f") | {"\x7f"}


def read_text_sheet(content: bytes, name: str) -> SheetTable:
    """Read a text file as a sheet; every value is text as typed.

    Args:
        content: the file.
        name: of the file, used as the sheet's name.

    Raises:
        Refused: it is not text, or not a table that fits.
    """
    text = decode(content)
    rows = tuple(_rows(text, find_separator(text), name))
    if not rows:
        raise Refused([NothingInSheet()])
    return SheetTable(name, rows)


def decode(content: bytes) -> str:
    """Decode as UTF-8 where that fits, else as Windows-1252; UTF-16 only with its mark.

    Raises:
        Refused: the bytes are not text.
    """
    coding = "utf-16" if content.startswith(UTF16_MARKS) else "utf-8-sig"
    try:
        text = content.decode(coding)
    except UnicodeDecodeError:
        text = _decode_windows(content)
    if CONTROL & set(text):
        raise Refused([NotText()])
    return text


def _decode_windows(content: bytes) -> str:
    try:
        return content.decode("cp1252")
    except UnicodeDecodeError as error:
        raise Refused([NotText()]) from error


def find_separator(text: str) -> str:
    """Choose the separator that most lines hold equally often outside quotation marks.

    A decimal comma ("12,5;13,0") makes the comma common but uneven, so evenness decides; ties go to the rarer sign.
    """
    counts = {sign: Counter[int]() for sign in SEPARATORS}
    for line in _lines_to_look_at(text):
        for sign in SEPARATORS:
            counts[sign][line.count(sign)] += 1
    return max(SEPARATORS, key=lambda sign: _evenness(counts[sign]))


def _lines_to_look_at(text: str) -> Iterator[str]:
    """Give the first lines without what stands between quotation marks."""
    for line in text[: 400 * 1024].splitlines()[:LOOK_AT_LINES]:
        if line.strip():
            yield "".join(line.split('"')[::2])


def _evenness(counts: Counter[int]) -> int:
    return max((lines for times, lines in counts.items() if times), default=0)


def _rows(text: str, separator: str, name: str) -> Iterator[Row]:
    cells_read = 0
    reader = csv.reader(StringIO(text, newline=""), delimiter=separator, skipinitialspace=True)
    number = 1
    try:
        for values in reader:
            _check_size(name, number, values)
            cells = tuple(_cells(number, values))
            cells_read += len(cells)
            if cells_read > limits.MAX_CELLS:
                raise Refused([TooManyCells(name)])
            if cells:
                yield Row(number, cells)
            number += 1
    except csv.Error as error:
        raise Refused([QuotesOpen(number)]) from error


def _check_size(name: str, number: int, values: list[str]) -> None:
    if number > limits.MAX_ROWS:
        raise Refused([TooManyRows(name)])
    if len(values) > limits.MAX_COLUMNS and any(values[limits.MAX_COLUMNS :]):
        raise Refused([FarCell(name, f"{column_letter(len(values))}{number}")])


def _cells(number: int, values: list[str]) -> Iterator[Cell]:
    for column, value in enumerate(values[: limits.MAX_COLUMNS], start=1):
        if value:
            yield Cell(f"{column_letter(column)}{number}", value)
