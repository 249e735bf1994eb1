"""A whole filtered list as one stream: CSV for spreadsheets and statistics, NDJSON for programs.

Both are one query, so that what is read is how the books stood at one moment however long the reading takes.
"""

import csv
import json
from collections.abc import Iterator, Sequence
from typing import Any

from django.http import StreamingHttpResponse
from rest_framework.negotiation import DefaultContentNegotiation
from rest_framework.request import Request
from rest_framework.views import APIView

from api.problems import Unusable
from api.v1.asked import ParameterUnread, asked
from api.v1.columns import Column, Kind
from api.v1.listing import as_json, columns_of, filtered
from api.v1.shelves import SHELVES, Rows, Shelf
from inventory.importing.export import safe_cell

FORMS = {"csv": "text/csv; charset=utf-8", "ndjson": "application/x-ndjson"}
_AT_ONCE = 2000  # rows


class AnyAccept(DefaultContentNegotiation):
    """The form is named in the address, whatever the request says that it accepts; problems are JSON all the same."""

    def select_renderer(self, request: Request, renderers: Any, format_suffix: str | None = None) -> tuple[Any, str]:  # noqa: ARG002 - the framework's signature
        """Take the first."""
        return renderers[0], renderers[0].media_type


class Export(APIView):
    """A whole list."""

    shelf: Shelf = SHELVES[0]  # each address names its own
    content_negotiation_class = AnyAccept

    def get(self, request: Request) -> StreamingHttpResponse:
        """Stream all rows that the filters leave, newest first."""
        words = asked(request, "format", "fields", *self.shelf.filters.base_filters)
        form = words["format"]
        if form not in FORMS:
            raise Unusable(ParameterUnread("format", form, " or ".join(FORMS)))
        columns = columns_of(self.shelf, words["fields"])
        rows = _rows(filtered(self.shelf, request), columns)
        lines = csv_lines(columns, rows) if form == "csv" else ndjson_lines(columns, rows)
        name = f'attachment; filename="{self.shelf.name}.{form}"'
        return StreamingHttpResponse(lines, content_type=FORMS[form], headers={"Content-Disposition": name})


def csv_lines(columns: Sequence[Column], rows: Iterator[Sequence[Any]]) -> Iterator[str]:
    """Write rows as CSV (RFC 4180) under a line of names; masses in kilograms, which their names say.

    A text that a spreadsheet would run as a formula gets an apostrophe before it.
    """
    writer = csv.writer(_Line())
    heads = [f"{column.name}_kg" if column.kind is Kind.MASS else column.name for column in columns]
    yield writer.writerow(heads)
    for row in rows:
        yield writer.writerow([_cell(value) for value in as_json(columns, row).values()])


def ndjson_lines(columns: Sequence[Column], rows: Iterator[Sequence[Any]]) -> Iterator[str]:
    """Write one object a line, as lists have them; the last line counts them, so that a broken stream is seen."""
    count = 0
    for count, row in enumerate(rows, start=1):  # noqa: B007 - counted for the last line
        yield json.dumps(as_json(columns, row), ensure_ascii=False, separators=(",", ":")) + "\n"
    yield json.dumps({"end": True, "count": count}) + "\n"


def _rows(found: Rows, columns: Sequence[Column]) -> Iterator[Sequence[Any]]:
    paths = (column.path for column in columns)
    return found.order_by("-pk").values_list(*paths).iterator(chunk_size=_AT_ONCE)


def _cell(value: Any) -> Any:
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
