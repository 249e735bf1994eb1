"""The passports of a station's lines and crosses as a file, CSV or a workbook."""

import csv
import io
from collections.abc import Iterator
from pathlib import PurePath

from inventory.importing.export import safe_row, workbook_text
from inventory.models import Station
from inventory.queries.passports import station_passports
from inventory.rules.mcpd import table_of
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import quoted

FORMS = {
    "csv": "text/csv; charset=utf-8",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}


class NoPassportForm(Mistake):
    """A kind of file that passports are not written as."""

    code = "no_passport_form"

    def __init__(self, typed: str) -> None:
        super().__init__(f"Passports are written as csv or xlsx, not as {quoted(typed)}. Name one.", field="format")


def form_of(name: str) -> str:
    """Say as which kind of file a name asks for passports.

    Raises:
        NoPassportForm: as none of ours.
    """
    form = PurePath(name).suffix.removeprefix(".").casefold()
    if form not in FORMS:
        raise NoPassportForm(form or name)
    return form


def passport_file(station: Station, form: str) -> bytes:
    """Write the passports of all lines and crosses (9 queries, and 2 a generation of pedigrees).

    Raises:
        NoPassportForm: another kind of file.
    """
    if form not in FORMS:
        raise NoPassportForm(form)
    rows = (safe_row(row) for row in table_of(one.as_texts() for one in station_passports(station)))
    return _csv(rows) if form == "csv" else _workbook(rows)


def _csv(rows: Iterator[list[str]]) -> bytes:
    text = io.StringIO(newline="")
    csv.writer(text).writerows(rows)
    return text.getvalue().encode()


def _workbook(rows: Iterator[list[str]]) -> bytes:
    """Write a workbook in which every cell is text, so that no code loses its noughts."""
    import openpyxl  # noqa: PLC0415 - it brings numpy with it, which the site does without until a workbook is asked for

    book = openpyxl.Workbook(write_only=True)
    sheet = book.create_sheet("MCPD")
    for row in rows:
        sheet.append([workbook_text(cell) for cell in row])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()
