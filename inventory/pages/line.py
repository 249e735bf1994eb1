"""The cleaning line: what runs now, what still misses kilos, and a run to start."""

from collections.abc import Mapping, Sequence
from typing import Any
from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_safe

from inventory.actions.drafting import RunStart, start_run
from inventory.actions.reader import Missing
from inventory.models import RunDraft, Station
from inventory.pages.acts import UNPROCESSABLE, person
from inventory.pages.areas import request_role
from inventory.pages.carrying import carried
from inventory.pages.flow_picture import Picture, picture
from inventory.pages.forms import Form, form_of, taken
from inventory.pages.frame import station_here
from inventory.pages.preferences import preferred_unit
from inventory.pages.run_page import to_field
from inventory.queries.carry_over import carried_over
from inventory.queries.drafts import open_drafts
from inventory.queries.feeding import Ahead, ahead_of_run, fed_by, recent_runs
from inventory.queries.run_flow import flow_of_draft, flow_of_run
from inventory.queries.runs import RunBalance, next_run_number
from inventory.queries.today import now_at
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.roles import may
from inventory.rules.runs import MACHINES

LAST_RUNS = 8


@require_http_methods(["GET", "HEAD", "POST"])
def line(request: HttpRequest) -> HttpResponse:
    """Show what runs and what ran, or start a run."""
    station = station_here(request)
    if request.method != "POST":
        typed = carried(request) or {"number": next_run_number(station), **_typed(request.GET)}
        return _page(request, station, typed)
    typed = taken(_typed(request.POST))
    if typed.get("do") != "start" or "take" in typed:
        return _page(request, station, typed)
    try:
        draft = _start(request, station, typed)
    except Refused as refused:
        return _page(request, station, typed, refused.mistakes, status=UNPROCESSABLE)
    except Mistake as mistake:
        return _page(request, station, typed, [mistake], status=UNPROCESSABLE)
    return redirect("run", number=draft.number)


@require_safe
def line_look(request: HttpRequest) -> HttpResponse:
    """Give the piece of the page that says what the books know of a lot that is to be fed."""
    typed = _typed(request.GET)
    return render(request, "inventory/line/_start_ahead.html", _ahead(station_here(request), typed))


def _start(request: HttpRequest, station: Station, typed: Mapping[str, str]) -> RunDraft:
    """Start a run; the same form sent twice starts one."""
    if not typed.get("feed_lot", "").strip():
        raise Missing("feed_lot", "a lot such as 24-0016-5, or the place where it stands")
    if not typed.get("machines", "").strip():
        raise Missing("machines", "air-screen")
    fed = fed_by(station, typed["feed_lot"])
    number = typed.get("number", "")
    if again := _started_just_now(station, number, fed.lot.pk, person(request).pk):
        return again
    if open_drafts(station).filter(number=number).exists() and not typed.get("own_number"):
        number = ""  # somebody else started a run meanwhile: this one takes the next number
    start = RunStart(
        feed_lot=fed.lot.number, machines=typed.get("machines", ""), number=typed.get("own_number") or number,
        feed=_with_unit(typed.get("feed", "")), feed_place=typed.get("feed_place") or fed.place,
        feed_bags=typed.get("feed_bags") or fed.bags, settings=typed.get("settings", ""),
        is_cleaned_out=typed.get("is_cleaned_out") == "yes",
    )  # fmt: skip
    return start_run(start, station=station, by=person(request), now=now_at(station))


def _started_just_now(station: Station, number: str, lot: int, by: int) -> RunDraft | None:
    return open_drafts(station).filter(number=number, feed_lot_id=lot, started_by_id=by).first()


def _with_unit(value: str) -> str:
    unit = preferred_unit()
    return f"{value.strip()} {unit}" if unit != "kg" and value.strip()[-1:].isdecimal() else value


def _typed(sent: Any) -> dict[str, str]:
    """Take what was sent; machines that were ticked are joined in the order of the line."""
    typed = {name: str(sent[name]) for name in sent if name != "csrfmiddlewaretoken"}
    ticked = [machine for machine in MACHINES if machine in sent.getlist("machine")]
    return {**typed, "machines": " + ".join(ticked)} if ticked else typed


def _page(
    request: HttpRequest, station: Station, typed: Mapping[str, str], mistakes: Sequence[Mistake] = (), *,
    status: int = 200,
) -> HttpResponse:  # fmt: skip
    newest, missing = recent_runs(station, most=LAST_RUNS)
    context = {
        "open": [(draft, _picture(draft)) for draft in open_drafts(station)],
        "carried": carried_over(station),
        "newest": [_row(run) for run in newest], "missing": [_row(run) for run in missing],
        "form": _form(typed, mistakes), "machines": [(name, name in _ticked(typed)) for name in MACHINES],
        "number": typed.get("number", ""), "may": may(request_role(request), "clean"), "zone": ZoneInfo(station.zone),
        **_ahead(station, typed),
    }  # fmt: skip
    return render(request, "inventory/line/line.html", context, status=status)


def _picture(draft: RunDraft) -> Picture:
    """Draw a run that is being filled; each branch leads to its field on the run's own page."""
    page = reverse("run", args=[draft.number])
    return picture(flow_of_draft(draft), lambda way: f"{page}{to_field(way)}")


def _form(typed: Mapping[str, str], mistakes: Sequence[Mistake]) -> Form:
    for mistake in mistakes:
        mistake.field = {"machine": "machines", "run": "number"}.get(mistake.field, mistake.field)
    return form_of(RunStart, typed, mistakes)


def _ticked(typed: Mapping[str, str]) -> list[str]:
    return typed.get("machines", "").split(" + ")


def _ahead(station: Station, typed: Mapping[str, str]) -> dict[str, Any]:
    """What the books know of the lot that was scanned; a sentence where it cannot be found."""
    if not typed.get("feed_lot", "").strip():
        return {"ahead": None, "says": ""}
    try:
        fed = fed_by(station, typed["feed_lot"])
        if not hasattr(fed.lot, "standing"):
            return {"ahead": None, "says": gettext("This number stands for nothing now: its making was taken back.")}
        ahead: Ahead | None = ahead_of_run(station, fed, [one for one in _ticked(typed) if one in MACHINES])
    except Mistake as mistake:
        return {"ahead": None, "says": mistake.says}
    return {"ahead": ahead, "says": "", "is_cleaned_out": typed.get("is_cleaned_out") == "yes"}


def _row(run: RunBalance) -> dict[str, Any]:
    told = flow_of_run(run)
    return {"run": run, "told": told, "clean": told.percent(sum(mg for _lot, mg in run.outs))}
