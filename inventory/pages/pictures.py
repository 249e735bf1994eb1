"""A picture with its sentence and its numbers: as a page, as an SVG file, as a CSV file."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.text import slugify

from inventory.pages.downloads import as_picture, as_table


@dataclass(frozen=True)
class Picture:
    """Something drawn.

    Args:
        title: names the page and the file.
        says: the one sentence above it.
        marks: template of its marks; it is given `alone` where it stands in a file of its own.
        context: for that template.
        width, height: of the drawing [its units].
        heads, rows: the same numbers as a table.
        lines: words under the drawing in a file, where the page has them beside it.
        inline: template for the page, where its marks differ from the file's.
    """

    title: str
    says: str
    marks: str
    context: Mapping[str, Any]
    width: float
    height: float
    heads: Sequence[str]
    rows: Sequence[Sequence[str]]
    lines: Sequence[str] = field(default=())
    inline: str = ""


def picture_answer(
    request: HttpRequest, picture: Picture, *, back: str = "", page: str = "inventory/picture.html"
) -> HttpResponse:
    """Show a picture on a page of its own, or hand it over as `?format=svg` or `?format=csv`.

    Args:
        back: address of the page it belongs to.
        page: template of its page.
    """
    wanted, name = request.GET.get("format", ""), slugify(picture.title)
    if wanted == "svg":
        return as_picture(name, "inventory/pictures/alone.svg", file_context(picture), request)
    if wanted == "csv":
        return as_table(name, picture.heads, picture.rows)
    return render(request, page, {"picture": picture, "back": back, **picture.context})


def file_context(picture: Picture) -> dict[str, Any]:
    """Give what a file that needs nothing else is written from: its sentence above, its words below."""
    lines = [{"y": picture.height + 24 + 20 * place, "says": says} for place, says in enumerate(picture.lines)]
    context = {"picture": picture, "lines": lines, "whole": picture.height + 72 + 20 * len(lines), "alone": True}
    return {**picture.context, **context}
