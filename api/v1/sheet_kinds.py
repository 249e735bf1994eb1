"""What sheets may list: each kind with its columns, the words and units that are read, and an empty workbook."""

import io
from typing import Any

from django.http import HttpResponse
from django.urls import reverse
from rest_framework.request import Request
from rest_framework.views import APIView

from api.parsers import XLSX
from api.problems import NotThere
from api.v1.asked import asked, station_for
from api.v1.conditions import as_bytes, unless_known, unless_tagged, weak_tag
from api.v1.describing import Told, reads
from api.v1.exporting import AnyAccept
from api.v1.shapes import Shape
from inventory.importing.fields import UNITS, Field
from inventory.importing.kinds import all_kinds, kind_named
from inventory.importing.kinds.kind import Kind
from inventory.importing.words import UnknownWord

_TEXT: Shape = {"type": "string"}
_TEXTS: Shape = {"type": "array", "items": _TEXT}
_COLUMN: Shape = {
    "type": "object",
    "properties": {
        "column": {**_TEXT, "description": "as findings and answers may name it"},
        "heading": {**_TEXT, "description": "as the empty workbook has it, with its unit"},
        "reads": {**_TEXT, "description": "code, date, text, number, count, mass, moisture, area …; more may come"},
        "needed": {"type": "boolean"},
        "unit": {**_TEXT, "description": "of the empty workbook; empty where it has none"},
        "units": {**_TEXTS, "description": "that a heading or a cell may name"},
        "read_under": {
            "type": "object", "description": "headings that are understood, by language",
            "properties": dict.fromkeys(("en", "fr", "es"), _TEXTS),
        },
        "example": _TEXT, "says": _TEXT,
    },
    "required": ["column", "heading", "reads", "needed", "unit", "units", "read_under", "example", "says"],
}  # fmt: skip
_KIND: Shape = {
    "type": "object",
    "properties": {
        "kind": {**_TEXT, "description": "as `kind` of a sheet takes it"},
        "title": _TEXT,
        "acts": {**_TEXTS, "description": "what its rows become; who saves one must be allowed each"},
        "one_of": {"type": "array", "items": _TEXTS, "description": "of each group at least one column is needed"},
        "columns": {"type": "array", "items": _COLUMN},
        "template": {**_TEXT, "description": "address of an empty workbook"},
    },
    "required": ["kind", "title", "acts", "one_of", "columns", "template"],
}  # fmt: skip


class SheetKinds(APIView):
    """All kinds."""

    def get(self, request: Request) -> HttpResponse:
        """List those that the key's station reads; there are few, so that one page holds all."""
        asked(request)
        kinds = [_told(kind, request) for kind in all_kinds(station_for(request).code).values()]
        return unless_known(request, {"results": kinds, "next": None, "previous": None})

    @staticmethod
    def told(_method: str) -> Told:
        """Describe it."""
        page: Shape = {
            "type": "object", "required": ["results"], "properties": {"results": {"type": "array", "items": _KIND}},
        }  # fmt: skip
        return reads("What sheets may list: kinds, columns, the words and units that are read", page)


class OneSheetKind(APIView):
    """One kind."""

    def get(self, request: Request, name: str) -> HttpResponse:
        """Answer it."""
        asked(request)
        return unless_known(request, _told(_kind(request, name), request))

    @staticmethod
    def told(_method: str) -> Told:
        """Describe it."""
        return reads("One kind of sheet with its columns", _KIND)


class SheetTemplate(APIView):
    """An empty workbook, the same that pages give."""

    content_negotiation_class = AnyAccept

    def get(self, request: Request, name: str) -> HttpResponse:
        """Answer it, with the station's own lines, classes and places to choose from."""
        from inventory.importing.template import write_template  # noqa: PLC0415 - its library would load numpy at start

        asked(request)
        kind, file = _kind(request, name), io.BytesIO()
        lists = kind.lists(station_for(request))
        tag = weak_tag(as_bytes({**_told(kind, request), "lists": lists}))  # a workbook bears the moment of its making

        def write() -> bytes:
            write_template(kind.vocabulary, file, lists)
            return file.getvalue()

        answer = unless_tagged(request, tag, write, XLSX)
        answer["Content-Disposition"] = f'attachment; filename="{kind.name.replace(" ", "_")}.xlsx"'
        return answer

    @staticmethod
    def told(_method: str) -> Told:
        """Describe it."""
        file = {"description": "the workbook", "content": {XLSX: {"schema": {"type": "string", "format": "binary"}}}}
        return {**reads("An empty workbook of a kind, to fill in", {}), "responses": {"200": file}}


def _kind(request: Request, name: str) -> Kind:
    try:
        return kind_named(name, station_for(request).code)
    except UnknownWord as unknown:
        raise NotThere(unknown) from None


def _told(kind: Kind, request: Request) -> dict[str, Any]:
    vocabulary = kind.vocabulary
    return {
        "kind": kind.name,
        "title": vocabulary.title,
        "acts": list(kind.verbs),
        "one_of": [list(names) for names in vocabulary.one_of],
        "columns": [_column(field) for field in vocabulary.fields],
        "template": request.build_absolute_uri(reverse("api-sheet-template", args=[kind.name])),
    }


def _column(field: Field) -> dict[str, Any]:
    return {
        "column": field.name, "heading": field.heading, "reads": field.reads.value, "needed": field.needed,
        "unit": field.unit, "units": list(UNITS[field.reads]),
        "read_under": {"en": list(field.english), "fr": list(field.french), "es": list(field.spanish)},
        "example": field.example, "says": field.says,
    }  # fmt: skip
