"""Will cleaning again help? What this plant's own machines took out of earlier lots, and would leave of this one."""

from dataclasses import replace
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

from grading.queries.blind import lots_hidden_from
from grading.queries.figures.cleaning_runs import PastRunsAsked, past_runs
from grading.queries.figures.figure import Answer
from inventory.models import Station
from inventory.pages.downloads import as_table
from inventory.pages.frame import station_here
from inventory.queries.finding import find_lot
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.runs import MACHINES


@require_safe
def recleaning(request: HttpRequest) -> HttpResponse:
    """Answer from the books; what stands in the way is said above what can be told without it."""
    station = station_here(request)
    asked = PastRunsAsked(lot=request.GET.get("lot", ""), machines=request.GET.get("machines", ""))
    asked, says = _without_hidden(station, asked, request.user.get_username())
    try:
        answer: Answer | None = past_runs(asked, station)
    except Refused as refused:
        says += [mistake.says for mistake in refused.mistakes]
        answer = None
    if answer and request.GET.get("format") == "csv":
        heads, *rows = answer.table or (("machines",),)
        return as_table("what-machines-took", heads, rows)
    context: dict[str, Any] = {
        "answer": answer, "says": says, "lot": request.GET.get("lot", ""),
        "machines": request.GET.get("machines", ""), "known": list(MACHINES),
    }  # fmt: skip
    return render(request, "grading/recleaning.html", context)


def _without_hidden(station: Station, asked: PastRunsAsked, person: str) -> tuple[PastRunsAsked, list[str]]:
    """Leave a lot out whose grade is hidden from this person: how it would read gives it away."""
    if not str(asked.lot).strip():
        return asked, []
    try:
        lot, _notes = find_lot(station, str(asked.lot))
    except Mistake:
        return asked, []
    if lot.pk not in lots_hidden_from(station, person):
        return asked, []
    return replace(asked, lot=""), [
        gettext("How %(lot)s reads is hidden from graders until a blind re-grade is in the books.")
        % {"lot": lot.number}
    ]
