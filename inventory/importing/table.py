"""A worksheet as we hold it: rows and cells numbered as the spreadsheet shows them."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from functools import cached_property

Value = str | Decimal | bool | date | datetime | time | timedelta | None


def column_letter(number: int) -> str:
    """Name a column as the spreadsheet does: 1 -> "A", 27 -> "AA"."""
    letters = ""
    while number > 0:
        number, rest = divmod(number - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def column_number(letters: str) -> int:
    """Count a column's letters: "A" -> 1, "XFD" -> 16384."""
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return number


@dataclass(frozen=True, slots=True)
class Cell:
    """What stands in one cell.

    Args:
        ref: as the spreadsheet shows it, "F8".
        value: text as typed; numbers as the exact decimal the spreadsheet shows; dates as dates; None where empty.
        formula: the formula as text if the value was calculated ("SUM(G5:G17)"); it is never executed.
        merged_from: ref of the cell that this one is merged with and takes its value from; None otherwise.
        number_format: the format code of a number ("0.0%", '0.0" lb"'); "" where general.
        error: the spreadsheet's own error ("#REF!"); the value is then None.
    """

    ref: str
    value: Value
    formula: str | None = None
    merged_from: str | None = None
    number_format: str = ""
    error: str | None = None

    @property
    def letter(self) -> str:
        return self.ref.rstrip("0123456789")

    @property
    def is_formula(self) -> bool:
        return self.formula is not None

    @property
    def is_filled(self) -> bool:
        """Say whether anyone wrote something here; blanks and cells merged with another don't count."""
        return self.merged_from is None and (
            self.is_formula or self.error is not None or not (self.value is None or self.text.strip() == "")
        )

    @property
    def is_percent(self) -> bool:
        """Say whether the sheet shows this number as per cent: 0.162 is then read as 16.2 by people."""
        return isinstance(self.value, Decimal) and "%" in re.sub(r'"[^"]*"', "", self.number_format)

    @property
    def text(self) -> str:
        """Write the value as plain text: ISO dates, plain decimals, "" where empty, errors as shown."""
        if self.error is not None:
            return self.error
        if self.value is None:
            return ""
        return format(self.value, "f") if isinstance(self.value, Decimal) else str(self.value)


@dataclass(frozen=True)
class Row:
    """A row with at least one cell that is not empty.

    Args:
        number: as the spreadsheet shows it, the first line is 1.
        cells: from left to right, without empty ones.
        hidden: the sheet hides it (by hand or by a filter).
    """

    number: int
    cells: tuple[Cell, ...]
    hidden: bool = False

    def cell(self, letter: str) -> Cell:
        """Give the cell of a column; an empty one where nothing stands."""
        return self._by_letter.get(letter) or Cell(f"{letter}{self.number}", None)

    @cached_property
    def _by_letter(self) -> dict[str, Cell]:
        return {cell.letter: cell for cell in self.cells}

    @cached_property
    def filled(self) -> tuple[Cell, ...]:
        return tuple(cell for cell in self.cells if cell.is_filled)


@dataclass(frozen=True, slots=True)
class SheetTable:
    """The worksheet that was read.

    Args:
        name: of the worksheet; of the file for a .csv.
        rows: those that hold something, top to bottom.
        first_1904: day numbers count from 1904-01-01 (else from 1899-12-30).
        hidden_columns: letters of columns the sheet hides.
        other_sheets: names of further visible worksheets with something in them, which were not read.
    """

    name: str
    rows: tuple[Row, ...]
    first_1904: bool = False
    hidden_columns: frozenset[str] = field(default_factory=frozenset)
    other_sheets: tuple[str, ...] = ()

    def __iter__(self) -> Iterator[Row]:
        return iter(self.rows)
