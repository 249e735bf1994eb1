"""A filtered list as a Data Package: what its CSV holds, column by column, so that a program reads it without guessing.

Source: Data Package, Data Resource and Table Schema, Frictionless Data, version 1 (specs.frictionlessdata.io), which
version 2 reads.
"""

import hashlib
import json
import zipfile
from collections.abc import Iterator, Mapping, Sequence
from tempfile import TemporaryFile
from typing import IO, Any

from django.http import HttpResponse
from rest_framework.request import Request
from rest_framework.views import APIView

from api.v1.asked import asked
from api.v1.columns import Column, Kind
from api.v1.conditions import unless_known
from api.v1.csv_form import csv_lines, head_of
from api.v1.listing import columns_of, filtered, narrowing
from api.v1.ordering import read_ordering
from api.v1.shelves import SHELVES, Shelf
from inventory.rules.packages import DESCRIPTOR, unit_of

_TYPES: Mapping[Kind, Mapping[str, str]] = {
    Kind.NAME: {"type": "string"},
    Kind.UID: {"type": "string", "format": "uuid"},
    Kind.WHOLE: {"type": "integer"},
    Kind.MASS: {"type": "number"},
    Kind.INSTANT: {"type": "datetime"},
    Kind.DAY: {"type": "date"},
    Kind.YES: {"type": "boolean"},
    Kind.EXACT: {"type": "number"},
    Kind.DATA: {"type": "any"},
}
_MAY_BE_EMPTY = (Kind.NAME, Kind.EXACT)  # an empty text is a value here, and an empty cell of a table is none
_FORMULA = "A text that a spreadsheet would run as a formula has an apostrophe before it. Masses are kilograms."


class Descriptor(APIView):
    """What the CSV of a list holds."""

    shelf: Shelf = SHELVES[0]  # each address names its own

    def get(self, request: Request) -> HttpResponse:
        """Describe it, with the address of the CSV under the same filters."""
        words = asked(request, "fields", "ordering", *narrowing(self.shelf))
        columns = columns_of(self.shelf, words["fields"])
        read_ordering(self.shelf, request)
        filtered(self.shelf, request)
        given = request.query_params.copy()
        given["format"] = "csv"
        table = request.path.removesuffix(DESCRIPTOR) + "export"
        address = f"{request.build_absolute_uri(table)}?{given.urlencode()}"
        return unless_known(request, descriptor(self.shelf, columns, {"path": address}))


def descriptor(shelf: Shelf, columns: Sequence[Column], file: Mapping[str, Any]) -> dict[str, Any]:
    """Describe a list's CSV as a package of one table.

    Args:
        file: where it is, and what else is known of it: `path`, `bytes`, `hash`.
    """
    table = {
        "profile": "tabular-data-resource",
        "name": shelf.name,
        **file,
        "title": shelf.name,
        "description": f"One row a {shelf.one}. {_FORMULA}",
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "schema": schema_of(columns),
    }
    return {"profile": "tabular-data-package", "name": shelf.name, "title": shelf.name, "resources": [table]}


def schema_of(columns: Sequence[Column]) -> dict[str, Any]:
    """Describe the columns of a CSV as a Table Schema; rows are told apart by their id."""
    fields = [_field(column) for column in columns]
    key = {"primaryKey": ["id"]} if any(column.name == "id" for column in columns) else {}
    return {"fields": fields, **key, "missingValues": [""]}


def package_file(shelf: Shelf, columns: Sequence[Column], rows: Iterator[Sequence[Any]]) -> IO[bytes]:
    """Write a list's CSV with its description as one zip."""
    file, name = TemporaryFile(), f"{shelf.name}.csv"  # noqa: SIM115 - the answer closes it when it is sent
    digest, size = hashlib.sha256(), 0
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as packed:
        with packed.open(name, "w", force_zip64=True) as table:
            for line in csv_lines(columns, rows):
                written = line.encode()
                digest.update(written)
                size += table.write(written)
        said = descriptor(shelf, columns, {"path": name, "bytes": size, "hash": f"sha256:{digest.hexdigest()}"})
        packed.writestr(DESCRIPTOR, json.dumps(said, indent=1, ensure_ascii=False))
    file.seek(0)
    return file


def _field(column: Column) -> dict[str, Any]:
    unit = "kg" if column.kind is Kind.MASS else unit_of(column.name) if column.kind is Kind.EXACT else ""
    is_needed = not column.is_empty_allowed and column.kind not in _MAY_BE_EMPTY
    return {
        "name": head_of(column),
        **_TYPES[column.kind],
        **({"description": column.tells} if column.tells else {}),
        **({"unit": unit} if unit else {}),
        **({"constraints": {"required": True}} if is_needed else {}),
    }
