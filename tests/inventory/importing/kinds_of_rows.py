"""Sheets written as lines of text for tests, checked and loaded at a small station."""

import json
from typing import Any

from inventory.importing.answers import read_answers
from inventory.importing.kinds import kind_named
from inventory.importing.loading import Outcome, check_sheet, load_sheet
from tests.make import NOW, House


def check(plant: House, kind: str, text: str, answers: Any = ()) -> Outcome:
    """Check lines of a semicolon file."""
    given = read_answers(json.dumps(list(answers)))
    return check_sheet(_bytes(text), "in.csv", kind_named(kind), station=plant.station, answers=given, now=NOW)


def load(plant: House, kind: str, text: str, answers: Any = ()) -> Outcome:
    """Load lines of a semicolon file by records."""
    given = read_answers(json.dumps(list(answers)))
    return load_sheet(
        _bytes(text), "in.csv", kind_named(kind), station=plant.station, by=plant.records, answers=given, now=NOW
    )


def open_ones(outcome: Outcome) -> list[tuple[int | None, str, str]]:
    """Row, column and level of what has to be answered."""
    return [(f.row, f.column, f.level.value) for f in outcome.findings if f.is_open]


def _bytes(text: str) -> bytes:
    return "\n".join(line.strip() for line in text.strip().splitlines()).encode()
