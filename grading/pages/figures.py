"""Figures on pages: what a calculation asks for as a form, its answer with the working; nothing is stored."""

import re
from collections.abc import Mapping
from typing import Any
from urllib.parse import urlencode

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

from grading.queries.blind import lots_hidden_from
from grading.queries.figures import FIGURES, Answer, Figure, figure_of
from inventory.importing.words import as_typed, fill
from inventory.models import Lot, Station
from inventory.pages.acts import UNPROCESSABLE, person, worded
from inventory.pages.downloads import as_table
from inventory.pages.forms import form_of, words_of
from inventory.pages.frame import station_here
from inventory.rules.mistakes import Mistake, Refused


class HiddenLot(Mistake):
    """A lot whose grade a blind re-grade hides from whoever asks."""

    code = "hidden_until_graded"

    def __init__(self, number: str) -> None:
        says = gettext("How %(lot)s reads is hidden from graders until a blind re-grade is in the books. Leave it out.")
        super().__init__(says % {"lot": number})


@require_safe
def figures(request: HttpRequest) -> HttpResponse:
    """List every figure with what it answers."""
    listed = [(figure.name, slug(figure.name), figure.tells) for _name, figure in sorted(FIGURES.items())]
    return render(request, "grading/figures.html", {"figures": listed})


@require_safe
def figure(request: HttpRequest, name: str) -> HttpResponse:
    """Ask one figure by its form; what was typed stands in the address, so that an answer can be sent on."""
    try:
        found = figure_of(name)
    except Mistake as mistake:
        raise Http404(mistake.says) from mistake
    station, typed = station_here(request), {key: str(value) for key, value in request.GET.items()}
    wanted, more = typed.pop("format", ""), typed.pop("more", "")
    answer, wrong = _worked_out(request, station, found, typed) if typed and not more else (None, ())
    if answer and answer.table and wanted == "csv":
        heads, *rows = answer.table
        return as_table(slug(found.name), heads, rows)
    context: dict[str, Any] = {
        "figure": found, "form": form_of(found.asks, typed, worded(station, wrong, typed), more=more),
        "answer": answer, "query": urlencode(typed), "example": _example(found),
    }  # fmt: skip
    return render(request, "grading/figure.html", context, status=UNPROCESSABLE if wrong else 200)


def slug(name: str) -> str:
    """Write a figure's name as it stands in an address: "seed weight" -> "seed-weight"."""
    return name.replace(" ", "-")


def _example(found: Figure) -> str:
    """Write an example that works as the query of the figure's own address."""
    return urlencode([pair.partition("=")[::2] for pair in as_typed(found.example)])


def _worked_out(
    request: HttpRequest, station: Station, found: Figure, typed: Mapping[str, str]
) -> tuple[Answer | None, tuple[Mistake, ...]]:  # fmt: skip
    hidden = _hidden_among(request, station, typed) if found.reads_books else []
    if hidden:
        return None, tuple(HiddenLot(number) for number in hidden)
    try:
        asked = fill(found.asks, words_of(found.asks, typed))
        return found.work_out(asked, station if found.reads_books or found.knows_own_rules else None), ()
    except Refused as refused:
        return None, refused.mistakes
    except Mistake as mistake:
        return None, (mistake,)


def _hidden_among(request: HttpRequest, station: Station, typed: Mapping[str, str]) -> list[str]:
    """The lots that were typed and whose grades this person may not see: any way of writing their digits counts."""
    keys = lots_hidden_from(station, person(request).get_username())
    numbers = Lot.objects.filter(pk__in=keys).values_list("number", flat=True) if keys else ()
    digits = re.sub(r"[^0-9]", "", " ".join(typed.values()).upper().replace("O", "0"))
    return [number for number in numbers if number.replace("-", "") in digits]
