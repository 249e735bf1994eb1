"""Which graders disagree: every factor over the samples that two of them picked."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_safe

from grading.drawing.diagonal import SIDE, Diagonal, diagonal
from grading.queries.figures.drifting import DriftAsked, drifting
from grading.queries.regrades import Pair, pairs_of
from inventory.pages.downloads import as_table
from inventory.pages.frame import station_here
from inventory.pages.pictures import Picture, picture_answer
from inventory.rules.mistakes import Refused
from inventory.rules.rounding import half_up


@require_safe
def graders(request: HttpRequest) -> HttpResponse:
    """Say how graders differ per factor, draw their pairs, and list them."""
    station = station_here(request)
    pairs = pairs_of(station)
    rows = [row for pair in pairs for row in _rows(pair)]
    heads = [gettext("Factor"), gettext("Samples"), gettext("First grader"), "%", gettext("Second grader"), "%"]
    if request.GET.get("format") == "csv":
        return as_table("graders", heads, rows)
    squares = _squares(pairs)
    asked = dict(squares).get(request.GET.get("factor", ""))
    if request.GET.get("format") == "svg" and asked is not None:
        return picture_answer(request, _picture(request.GET["factor"], asked, heads, rows))
    context: dict[str, Any] = {"heads": heads, "rows": rows, "squares": squares, "answer": None, "says": []}
    try:
        context["answer"] = drifting(DriftAsked(), station)
    except Refused as refused:
        context["says"] = [mistake.says for mistake in refused.mistakes]
    return render(request, "grading/graders.html", context)


def _picture(words: str, square: Diagonal, heads: Sequence[str], rows: Sequence[Sequence[str]]) -> Picture:
    """One factor's square as a file: what stands across and up is said below it."""
    says = ngettext("%(n)s pair of readings", "%(n)s pairs of readings", len(square.dots)) % {"n": len(square.dots)}
    far = gettext("Both sides run from 0 to %(end)s %%.") % {"end": half_up(Decimal(str(square.end)), 2)}
    lines = [gettext("Across: who picked first; up: who picked second."), far]
    own = [row for row in rows if row[0] == words]
    context = {"words": words, "square": square}
    title = gettext("Graders, %(factor)s") % {"factor": words}
    return Picture(title, says, "grading/_square.svg", context, 500, SIDE, heads, own, lines)


def _rows(pair: Pair) -> list[list[str]]:
    first, second = pair.graders
    return [
        [_words(factor), " / ".join(pair.samples), first, str(half_up(one, 2)), second, str(half_up(other, 2))]
        for factor, (one, other) in pair.shares_pct.items()
    ]


def _squares(pairs: Sequence[Pair]) -> list[tuple[str, Diagonal]]:
    """One square for each factor; across stands who picked first, up who picked second."""
    factors = dict.fromkeys(factor for pair in pairs for factor in pair.shares_pct)
    found = {
        factor: [(float(one), float(other)) for pair in pairs if factor in pair.shares_pct
                 for one, other in [pair.shares_pct[factor]]]
        for factor in factors
    }  # fmt: skip
    return [(_words(factor), diagonal(read)) for factor, read in found.items()]


def _words(factor: str) -> str:
    return factor.replace("_", " ")
