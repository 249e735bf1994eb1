"""Rows as CSV: names above, masses in kilograms, and no text that a spreadsheet would run as a formula."""

import csv
import json
from collections.abc import Iterator, Sequence
from typing import Any

from api.v1.columns import Column, Kind
from api.v1.listing import as_json
from inventory.importing.export import safe_cell


def csv_lines(columns: Sequence[Column], rows: Iterator[Sequence[Any]]) -> Iterator[str]:
    """Write rows as CSV (RFC 4180) under a line of names; masses in kilograms, which their names say.

    A text that a spreadsheet would run as a formula gets an apostrophe before it.
    """
    writer = csv.writer(_Line())
    yield writer.writerow(heads_of(columns))
    for row in rows:
        yield writer.writerow([cell_of(value) for value in as_json(columns, row).values()])


def heads_of(columns: Sequence[Column]) -> list[str]:
    """Name the columns of a table; those of masses say that they are kilograms."""
    return [head_of(column) for column in columns]


def head_of(column: Column) -> str:
    """Name one column."""
    return f"{column.name}_kg" if column.kind is Kind.MASS else column.name


def cell_of(value: Any) -> Any:
    """Write a value of a row of JSON as a cell that no spreadsheet runs."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict) and set(value) == {"value", "unit"}:
        return value["value"]
    if isinstance(value, dict | list):
        return json.dumps(value, ensure_ascii=False)
    return safe_cell(value)


class _Line:
    """What a csv writer writes to: it hands each line back."""

    def write(self, line: str) -> str:
        return line
