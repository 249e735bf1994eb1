"""How a sheet is written, as its own cells prove it: its decimal sign, its order of day and month, its site and year.

A habit decides only where a cell alone could be read in two ways; where the cells disagree there is no habit.
"""

import re
from bisect import bisect_left
from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from functools import cached_property

from inventory.importing.fields import Reads, Vocabulary
from inventory.importing.headings import HeadingRow
from inventory.importing.table import Cell, Row, Value
from inventory.rules.codes import BETWEEN_CODES
from inventory.rules.codes import Vocabulary as Codes
from inventory.rules.dates import SERIAL_START, DateTwoReadings, read_date
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import plain

NUMBERS = (Reads.MASS, Reads.MASS_OR_SHARE, Reads.MOISTURE, Reads.AREA, Reads.NUMBER)
COMMA = re.compile(r"\d,(\d{1,2}|\d{4,})\b|\.\d{3},\d|\b0,\d|\d{4,},\d")  # none of these can part thousands
THOUSANDS = re.compile(r"\d,\d{3}\.\d|\d,\d{3},\d{3}")
POINT = re.compile(r"\d\.(\d{1,2}|\d{4,})\b|,\d{3}\.\d|\b0\.\d|\d{4,}\.\d")
SLASHED = re.compile(r"\s*(\d{1,2})[/.-](\d{1,2})[/.-](\d{2}|\d{4})\b")
SERIAL_1904 = (date(1904, 1, 1) - SERIAL_START).days  # ECMA-376 part 1, 18.17.4.1: the 1904 date system starts later


def dated_value(value: Value, *, first_1904: bool) -> Value:
    """Bring a day number of the 1904 system to the 1900 system; anything else stays as it is."""
    return value + SERIAL_1904 if first_1904 and isinstance(value, Decimal) else value


class Habits:
    """What the cells of a sheet prove about how it is written.

    Args:
        rows: its data rows.
        headings: its columns.
        vocabulary: what they are.
        first_1904: its day numbers count from 1904.
    """

    def __init__(self, rows: Sequence[Row], headings: HeadingRow, vocabulary: Vocabulary, *, first_1904: bool) -> None:
        self._rows = rows
        self._headings = headings
        self._vocabulary = vocabulary
        self._first_1904 = first_1904
        self._days: dict[str, tuple[list[int], list[date]]] = {}

    @cached_property
    def comma_proven(self) -> bool:
        """Some number is written with a decimal comma and none, as text, with a point."""
        return any(COMMA.search(text) for text in self._number_texts) and not self._points

    @cached_property
    def thousands_proven(self) -> bool:
        """Some number has a comma between thousands, as 1,240.5 does, and none has it as its decimal sign."""
        texts = self._number_texts
        return any(THOUSANDS.search(text) for text in texts) and not any(COMMA.search(text) for text in texts)

    @cached_property
    def comma_only(self) -> bool:
        """All decimals of the sheet are written with a comma, none is stored as a number."""
        return self.comma_proven and not any(
            isinstance(cell.value, Decimal) and cell.value != cell.value.to_integral_value()
            for cell in self._cells(NUMBERS)
        )

    @property
    def decimal_comma(self) -> bool | None:
        """How "1,234" is meant: True 1.234, False 1234, None where nothing proves it."""
        return True if self.comma_proven else False if self.thousands_proven else None

    def prefix(self, known: Codes) -> str | None:
        """Give the site and year that all whole plot codes of the sheet share; None where they share none."""
        heads = set()
        for cell in self._column("plot"):
            for piece in BETWEEN_CODES.split(plain(cell.text)):
                for word in piece.split():
                    fits = known.fits(word)
                    heads.update([fits[0].rpartition("-")[0]] if len(fits) == 1 else [])
        return heads.pop() if len(heads) == 1 else None

    def day_first(self, field: str) -> bool | None:
        """Say how a column writes 10/02/24, as days over twelve in it prove."""
        first = middle = False
        for cell in self._column(field):
            if isinstance(cell.value, str) and (found := SLASHED.match(cell.value)):
                first |= int(found[1]) > 12 >= int(found[2])
                middle |= int(found[2]) > 12 >= int(found[1])
        return None if first == middle else first

    def near(self, field: str, row: int) -> date | None:
        """Give the day that a column has in the nearest row above, else below."""
        numbers, days = self._days_of(field)
        place = bisect_left(numbers, row)
        if place:
            return days[place - 1]
        later = [day for number, day in zip(numbers[:2], days[:2], strict=True) if number != row]
        return later[0] if later else None

    def has_day_above(self, field: str, row: int) -> bool:
        """Say whether the day that is near stands above the row."""
        numbers, _days = self._days_of(field)
        return bool(numbers) and numbers[0] < row

    def _days_of(self, field: str) -> tuple[list[int], list[date]]:
        if field not in self._days:
            self._days[field] = self._certain_days(field)
        return self._days[field]

    def _certain_days(self, field: str) -> tuple[list[int], list[date]]:
        numbers, days = [], []
        for row in self._rows:
            cell = self._headings.cell(row, field)
            if cell.value is None:
                continue
            try:
                days.append(read_date(dated_value(cell.value, first_1904=self._first_1904)).value)
            except (Mistake, DateTwoReadings):
                continue
            numbers.append(row.number)
        return numbers, days

    @cached_property
    def _number_texts(self) -> list[str]:
        return [cell.value for cell in self._cells(NUMBERS) if isinstance(cell.value, str)]

    @cached_property
    def _points(self) -> bool:
        return any(POINT.search(text) for text in self._number_texts)

    def _cells(self, reads: Sequence[Reads]) -> list[Cell]:
        names = [name for name in self._headings.columns if self._vocabulary.field(name).reads in reads]
        return [cell for name in names for cell in self._column(name)]

    def _column(self, field: str) -> list[Cell]:
        if field not in self._headings.columns:
            return []
        return [cell for row in self._rows if (cell := self._headings.cell(row, field)).value is not None]
