"""A whole filtered list at once: CSV for statistics, a workbook for people, NDJSON for programs, a Data Package.

Each is one query, so that what is read is how the books stood at one moment however long the reading takes.
"""

import json
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from decimal import Decimal
from tempfile import TemporaryFile
from typing import IO, Any

from django.http import FileResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from rest_framework.negotiation import DefaultContentNegotiation
from rest_framework.request import Request
from rest_framework.views import APIView

from api.parsers import XLSX
from api.problems import Unusable
from api.v1.asked import ParameterUnread, asked
from api.v1.columns import Column, Kind, written
from api.v1.csv_form import cell_of, csv_lines, heads_of
from api.v1.data_packages import package_file
from api.v1.listing import as_json, columns_of, filtered, narrowing
from api.v1.ordering import Ordering, read_ordering
from api.v1.shelves import SHELVES, Rows, Shelf
from inventory.importing.export import workbook_text
from inventory.rules.mass import MG_PER_KG
from inventory.rules.mistakes import Mistake

FORMS = {"csv": "text/csv; charset=utf-8", "ndjson": "application/x-ndjson", "xlsx": XLSX, "package": "application/zip"}
MOST_IN_A_WORKBOOK = 100_000  # rows: it is written whole before its first byte is sent
_AT_ONCE = 2000  # rows


class TooManyRows(Mistake):
    """More rows than a workbook is made of."""

    code = "too_many_rows"

    def __init__(self) -> None:
        super().__init__(
            f"The list has more than the {MOST_IN_A_WORKBOOK:,} rows that a workbook is made of. Narrow it by its "
            "filters, or take it as csv.", field="format",
        )  # fmt: skip


class AnyAccept(DefaultContentNegotiation):
    """The form is named in the address, whatever the request says that it accepts; problems are JSON all the same."""

    def select_renderer(self, request: Request, renderers: Any, format_suffix: str | None = None) -> tuple[Any, str]:  # noqa: ARG002 - the framework's signature
        """Take the first."""
        return renderers[0], renderers[0].media_type


class Export(APIView):
    """A whole list."""

    shelf: Shelf = SHELVES[0]  # each address names its own
    content_negotiation_class = AnyAccept
    is_stream = True

    def get(self, request: Request) -> HttpResponseBase:
        """Stream all rows that the filters leave, newest first or as `ordering` says."""
        words = asked(request, "format", "fields", "ordering", *narrowing(self.shelf))
        form = words["format"]
        if form not in FORMS:
            raise Unusable(ParameterUnread("format", form, " or ".join(FORMS)))
        columns = columns_of(self.shelf, words["fields"])
        ordering = read_ordering(self.shelf, request)
        rows = rows_of(filtered(self.shelf, request), columns, ordering)
        name = file_name(self.shelf, form)
        if form in WHOLE_FILES:
            file = WHOLE_FILES[form](self.shelf, columns, rows)
            return FileResponse(file, as_attachment=True, filename=name, content_type=FORMS[form])
        said = {"Content-Disposition": f'attachment; filename="{name}"'}
        return StreamingHttpResponse(LINES[form](columns, rows), content_type=FORMS[form], headers=said)


def file_name(shelf: Shelf, form: str) -> str:
    """Name the file of an export: "lots.csv", "lots.zip" for a package."""
    return f"{shelf.name}.{'zip' if form == 'package' else form}"


def ndjson_lines(columns: Sequence[Column], rows: Iterator[Sequence[Any]]) -> Iterator[str]:
    """Write one object a line, as lists have them; the last line counts them, so that a broken stream is seen."""
    count = 0
    for count, row in enumerate(rows, start=1):  # noqa: B007 - counted for the last line
        yield json.dumps(as_json(columns, row), ensure_ascii=False, separators=(",", ":")) + "\n"
    yield json.dumps({"end": True, "count": count}) + "\n"


def workbook(shelf: Shelf, columns: Sequence[Column], rows: Iterator[Sequence[Any]]) -> IO[bytes]:
    """Write rows as a workbook under a line of names: masses in kilograms and exact numbers as numbers.

    Raises:
        Unusable: more rows than a workbook is made of.
    """
    from openpyxl import Workbook  # noqa: PLC0415 - it would load numpy at the start

    book = Workbook(write_only=True)
    sheet = book.create_sheet(shelf.name)
    sheet.append(heads_of(columns))
    for count, row in enumerate(rows):
        if count == MOST_IN_A_WORKBOOK:
            sheet.close()
            raise Unusable(TooManyRows())
        sheet.append([_workbook_cell(column.kind, value) for column, value in zip(columns, row, strict=True)])
    file = TemporaryFile()  # noqa: SIM115 - the answer closes it when it is sent
    book.save(file)
    file.seek(0)
    return file


def _workbook_cell(kind: Kind, value: Any) -> Any:
    if value is None or kind in (Kind.WHOLE, Kind.YES, Kind.DAY):
        return value
    if kind is Kind.MASS:
        return Decimal(value) / MG_PER_KG
    if kind is Kind.EXACT and re.fullmatch(r"-?\d{1,15}(\.\d{1,15})?", str(value), re.ASCII):
        return Decimal(str(value))
    return workbook_text(str(cell_of(written(kind, value))))


def rows_of(found: Rows, columns: Sequence[Column], ordering: Ordering | None = None) -> Iterator[Sequence[Any]]:
    """Read all rows by one query, newest first where nothing else is wanted."""
    paths = (column.path for column in columns)
    in_order = ordering.sorted(found) if ordering else found.order_by("-pk")
    return in_order.values_list(*paths).iterator(chunk_size=_AT_ONCE)


LINES: Mapping[str, Callable[[Sequence[Column], Iterator[Sequence[Any]]], Iterator[str]]] = {
    "csv": csv_lines, "ndjson": ndjson_lines,
}  # fmt: skip
WHOLE_FILES: Mapping[str, Callable[[Shelf, Sequence[Column], Iterator[Sequence[Any]]], IO[bytes]]] = {
    "xlsx": workbook, "package": package_file,
}  # fmt: skip
