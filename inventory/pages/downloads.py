"""A page's numbers as a plain table, and its picture as a file: `?format=csv` and `?format=svg` on its own address."""

import csv
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string

from inventory.importing.export import safe_row


def as_table(name: str, heads: Sequence[str], rows: Iterable[Sequence[object]]) -> HttpResponse:
    """Give rows as CSV with a heading line; nothing in it runs in a spreadsheet.

    Args:
        name: of the file, without its ending.
    """
    answer = HttpResponse(content_type="text/csv; charset=utf-8", headers=_named(f"{name}.csv"))
    writer = csv.writer(answer)
    writer.writerow(heads)
    writer.writerows(safe_row(row) for row in rows)
    return answer


def as_picture(name: str, template: str, context: Mapping[str, Any], request: HttpRequest) -> HttpResponse:
    """Give a picture as an SVG file that stands alone.

    Args:
        name: of the file, without its ending.
        template: writes the whole file.
    """
    text = render_to_string(template, dict(context), request)
    return HttpResponse(text, content_type="image/svg+xml; charset=utf-8", headers=_named(f"{name}.svg"))


def _named(file_name: str) -> dict[str, str]:
    plain = "".join(sign if sign.isalnum() or sign in "-._" else "_" for sign in file_name)
    return {
        "Content-Disposition": f'attachment; filename="{plain.encode("ascii", "replace").decode().replace("?", "_")}"'
    }
