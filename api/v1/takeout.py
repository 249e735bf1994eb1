"""What leaves whole: everything as a Data Package, and lines and crosses as a passport file."""

import tempfile
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from django.http import FileResponse, HttpResponse
from rest_framework.request import Request
from rest_framework.views import APIView

from api.problems import Unusable
from api.v1.asked import ParameterUnread, asked, person_of, station_for
from api.v1.conditions import unless_tagged, weak_tag
from api.v1.describing import Told, query, reads
from api.v1.exporting import AnyAccept
from inventory.importing.passport_files import FORMS, passport_file
from inventory.queries.packages import pack
from inventory.queries.proofs import MOST_ACTS
from inventory.queries.taking_out import must_take_out


class Package(APIView):
    """Everything of every station."""

    content_negotiation_class = AnyAccept
    is_stream = True

    def get(self, request: Request) -> FileResponse:
        """Stream the zip; who may have it has the records of every station."""
        asked(request)
        must_take_out(person_of(request), MOST_ACTS)
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "package.zip"
            pack(path)
            file = path.open("rb")  # stays readable after its name is gone
        name = f"hilum-{datetime.now(UTC):%Y-%m-%d}.zip"
        return FileResponse(file, as_attachment=True, filename=name, content_type="application/zip")

    @classmethod
    def told(cls, _method: str) -> Told:
        """Describe it."""
        return _file("Everything as a Data Package, for records of every station", {"application/zip": "binary"})


class Passports(APIView):
    """The passports of lines and crosses."""

    content_negotiation_class = AnyAccept

    def get(self, request: Request) -> HttpResponse:
        """Answer a file in the form of MCPD V.2.1."""
        asked(request, "format")
        form = request.query_params.get("format", "csv")  # named and left empty is a mistake, not a wish for CSV
        if form not in FORMS:
            raise Unusable(ParameterUnread("format", form, " or ".join(FORMS)))
        station = station_for(request)
        rows = passport_file(station, "csv")
        tag = weak_tag(form.encode() + rows)  # a workbook bears the moment at which it was made
        answer = unless_tagged(
            request, tag, lambda: rows if form == "csv" else passport_file(station, form), FORMS[form]
        )
        answer["Content-Disposition"] = f'attachment; filename="passports.{form}"'
        return answer

    @classmethod
    def told(cls, _method: str) -> Told:
        """Describe it."""
        form = query("format", "csv, or xlsx for a workbook", {"type": "string", "enum": list(FORMS)})
        kinds = {kind.partition(";")[0]: "" if name == "csv" else "binary" for name, kind in FORMS.items()}
        return _file("Lines and crosses as a passport file (FAO/Bioversity MCPD V.2.1)", kinds, form)


def _file(summary: str, kinds: dict[str, str], *parameters: Told) -> Told:
    shapes: dict[str, Any] = {
        kind: {"schema": {"type": "string", **({"format": form} if form else {})}} for kind, form in kinds.items()
    }
    told = reads(summary, {}, *parameters)
    return {**told, "responses": {"200": {"description": "the file", "content": shapes}}}
