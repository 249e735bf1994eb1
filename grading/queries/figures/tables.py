"""Tables of typed numbers, read so that each cell is refused at its own place."""

from collections.abc import Sequence
from typing import Any

from inventory.rules.gathering import Gathering
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import field_words

MOST_CELLS = 20_000
FURTHEST = 10**9  # squares of it still are numbers


class NotATable(Mistake):
    """Rows that are no full table, or too small a one."""

    code = "not_a_table"


def read_counts(words: Gathering, typed: Sequence[Sequence[Any]], field: str) -> list[list[int]]:
    """Read a table of counts; a cell is named by row and column: "table.2.1"."""
    cells = [
        [words.whole(cell, f"{field}.{i}.{j}", most=FURTHEST) for j, cell in enumerate(row, 1)]
        for i, row in enumerate(_few_enough(words, typed, field), 1)
    ]
    _check_widths(words, cells, field)
    return [[cell for cell in row if cell is not None] for row in cells]


def read_readings(words: Gathering, typed: Sequence[Sequence[Any]], field: str) -> list[list[float]]:
    """Read a table of readings; a cell is named by row and column."""
    cells = [
        [words.number(cell, f"{field}.{i}.{j}", least=-FURTHEST, most=FURTHEST) for j, cell in enumerate(row, 1)]
        for i, row in enumerate(_few_enough(words, typed, field), 1)
    ]
    _check_widths(words, cells, field)
    return [[float(cell) for cell in row if cell is not None] for row in cells]


def _few_enough(words: Gathering, typed: Sequence[Sequence[Any]], field: str) -> Sequence[Sequence[Any]]:
    cells = sum(len(row) for row in typed)
    if cells <= MOST_CELLS:
        return typed
    words.add(NotATable(f"{field_words(field)} has {cells:,} cells. Send {MOST_CELLS:,} at most.", field=field))
    return []


def _check_widths(words: Gathering, cells: Sequence[Sequence[object]], field: str) -> None:
    widths = [len(row) for row in cells]
    for place, width in enumerate(widths, 1):
        if width != widths[0]:
            says = f"Cells in row {place}: {width}, in row 1: {widths[0]}. Give every row the same number of cells."
            words.add(NotATable(says, field=f"{field}.{place}"))
