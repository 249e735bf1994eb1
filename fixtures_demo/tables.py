"""The demo season's tables, as they lie in `data/` and `answers/`."""

import csv
from functools import cache
from pathlib import Path

HERE = Path(__file__).resolve().parent
Row = dict[str, str]


@cache
def table(name: str, folder: str = "data") -> tuple[Row, ...]:
    """Read a table as rows of text."""
    with (HERE / folder / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))


def of_year(name: str, year: int, column: str = "date") -> list[Row]:
    """Rows of one calendar year."""
    return [row for row in table(name) if row[column].startswith(str(year))]
