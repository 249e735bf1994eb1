"""A good workbook with bytes changed at random: read or refused, never anything else."""

import random
import time
from pathlib import Path

import pytest

from inventory.importing.sheets import read_sheet
from inventory.importing.table import SheetTable
from inventory.rules.mistakes import Refused
from tests.inventory.importing.books import book_of, packed, parts

LIBREOFFICE = Path(__file__).parents[2] / "data" / "libreoffice_intake.xlsx"
SOURCES = (LIBREOFFICE.read_bytes(), book_of(["Date", "Lot"], ["2024-09-24", 1]))
SHEET = str(parts()["xl/worksheets/sheet1.xml"])


def read_or_refused(content: bytes) -> object:
    try:
        return read_sheet(content, "s.xlsx")
    except Refused as refused:
        return refused


def changed_bytes(rng: random.Random) -> bytes:
    content = bytearray(rng.choice(SOURCES))
    for _ in range(rng.randint(1, 8)):
        content[rng.randrange(len(content))] = rng.randrange(256)
    return bytes(content[: rng.choice((len(content), rng.randrange(4, len(content))))])


def changed_markup(rng: random.Random) -> bytes:
    text = list(SHEET)
    for _ in range(rng.randint(1, 4)):
        text[rng.randrange(60, len(text))] = rng.choice("<>/\"'=&ABZ019 \u00e9")
    return packed(parts(sheet="".join(text)))


@pytest.mark.slow
@pytest.mark.parametrize("change", [changed_bytes, changed_markup])
@pytest.mark.parametrize("seed", range(4))
def test_a_changed_workbook_is_read_or_refused_within_five_seconds(change, seed):
    rng = random.Random(seed)  # noqa: S311 - the same files every time, nothing secret
    for _ in range(60):
        content = change(rng)
        began = time.monotonic()
        assert isinstance(read_or_refused(content), SheetTable | Refused)
        assert time.monotonic() - began < 5
