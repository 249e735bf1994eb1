"""One run over the line: filled spout by spout while it goes, told by the ledger once it is booked."""

from collections.abc import Mapping
from typing import Any
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from inventory.actions.acting import Booked
from inventory.actions.drafting import book_draft, discard_draft, fill_run, filled_in, park_draft
from inventory.importing.acts import act_of
from inventory.models import RunDraft, RunRecord, Station
from inventory.pages.acts import UNPROCESSABLE, do_act, new_key, person, worded
from inventory.pages.areas import request_role
from inventory.pages.downloads import as_picture, as_table
from inventory.pages.flow_picture import HEADS, Picture, picture, table
from inventory.pages.forms import answers_of, form_of
from inventory.pages.frame import station_here
from inventory.pages.preferences import preferred_unit
from inventory.pages.run_form import CHANGE, RunForm, filling_of, run_form
from inventory.queries.drafts import kept_word, open_drafts
from inventory.queries.run_flow import RunFlow, Way, flow_of_draft, flow_of_run
from inventory.queries.runs import balances, find_run, uncleaned_before
from inventory.queries.settings import settings_of
from inventory.queries.today import now_at
from inventory.rules.kinds import STREAMS
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.reading import listed
from inventory.rules.roles import may
from inventory.rules.spouts import spouts_of


@require_http_methods(["GET", "HEAD", "POST"])
def run(request: HttpRequest, number: str) -> HttpResponse:
    """Show a run, or do with it what was pressed."""
    station = station_here(request)
    draft = open_drafts(station).filter(number=number).first()
    if request.method == "POST":
        return _pressed(request, station, number, draft)
    told = picture(flow_of_draft(draft), to_field) if draft else _told_by_ledger(station, number)
    if request.GET.get("format") == "csv":
        return as_table(f"run-{number}", HEADS, table(told.run))
    if request.GET.get("format") == "svg":
        return as_picture(f"run-{number}", "inventory/line/flow.svg", {"told": told}, request)
    if draft is None:
        return _booked_page(request, station, number)
    if "piece" in request.GET:
        return render(request, "inventory/line/_flow.html", {"told": told, "draft": draft})
    return _open_page(request, draft, run_form(draft, {"key": new_key()}))


def to_field(way: Way) -> str:
    """Lead from a branch to the field that fills it."""
    return f"#field-{way.field.replace('.', '-')}"


def to_lot(way: Way) -> str:
    """Lead from a branch to its lot, or to where a late tote is added."""
    return reverse("lot", args=[way.lot]) if way.lot else "#late"


def _told_by_ledger(station: Station, number: str) -> Picture:
    return picture(_ledger_flow(_run_or_404(station, number)), to_lot)


def _ledger_flow(record: RunRecord) -> RunFlow:
    return flow_of_run(balances([record])[0])


def _run_or_404(station: Station, number: str) -> RunRecord:
    try:
        return find_run(station, number)
    except Mistake as mistake:
        raise Http404(mistake.says) from mistake


def _pressed(request: HttpRequest, station: Station, number: str, draft: RunDraft | None) -> HttpResponse:
    """Do what was pressed; whatever was filled in is kept first, so that nothing typed is lost."""
    typed = {name: str(request.POST[name]) for name in request.POST if name != "csrfmiddlewaretoken"}
    if typed.get("do") == "late":
        return _late(request, station, number, typed)
    if draft is None:
        return _pressed_too_late(request, station, number, typed)
    try:
        return _do(request, station, draft, typed)
    except Refused as refused:
        draft.refresh_from_db()
        form = run_form(draft, typed, worded(station, refused.mistakes, typed))
        return _open_page(request, draft, form, status=UNPROCESSABLE)


def _do(request: HttpRequest, station: Station, draft: RunDraft, typed: Mapping[str, str]) -> HttpResponse:
    """Keep what was filled in; then close the run, leave it open, throw it away, or go on.

    Raises:
        Refused: what stands in the way.
    """
    does = typed.get("do", "keep")
    if does == "discard":
        discard_draft(draft.number, station=station, by=person(request))
        messages.success(request, gettext("%(run)s is thrown away.") % {"run": draft.number})
        return redirect("line")
    kept = _keep(request, station, draft, typed)
    if does in ("close", "park"):
        return _close(request, station, kept.number, typed)
    if request.headers.get("HX-Request"):
        return _open_page(request, kept, run_form(kept, typed, is_kept=True))
    return redirect("run", number=kept.number)


def _keep(request: HttpRequest, station: Station, draft: RunDraft, typed: Mapping[str, str]) -> RunDraft:
    clock = now_at(station).astimezone(ZoneInfo(station.zone)).strftime("%H:%M")
    filling = filling_of(draft, typed, preferred_unit(), clock)
    if not (filling.spouts or filling.outs or filling.words):
        return draft
    return fill_run(draft.number, filling, station=station, by=person(request), now=now_at(station))


def _close(request: HttpRequest, station: Station, number: str, typed: Mapping[str, str]) -> HttpResponse:
    asked: dict[str, Any] = {
        "station": station, "by": person(request), "key": typed.get("key", ""), "reason": typed.get("reason", ""),
        "answers": answers_of(typed), "now": now_at(station),
    }  # fmt: skip
    booked = park_draft(number, **asked) if typed["do"] == "park" else book_draft(number, **asked)
    messages.success(request, _said(number, booked))
    return redirect("run", number=number)


def _said(number: str, booked: Booked) -> str:
    lots = listed([lot.number for lot in booked.lots], "and")
    return gettext("%(run)s is booked. Out came %(lots)s.") % {"run": number, "lots": lots}


def _pressed_too_late(request: HttpRequest, station: Station, number: str, typed: Mapping[str, str]) -> HttpResponse:
    """Answer whoever pressed after the run was booked: the same press twice is no fault, another's is said."""
    _run_or_404(station, number)
    if request.headers.get("HX-Request"):
        return _kept_too_late(request, station, number, typed)
    if typed.get("do") in ("close", "park"):
        try:
            return _close(request, station, number, typed)
        except Refused as refused:
            said = worded(station, refused.mistakes, typed)
    else:
        said = [Mistake(gettext("%(run)s was booked meanwhile. Nothing of this was saved.") % {"run": number})]
    for mistake in said:
        messages.warning(request, mistake.says)
    return _booked_page(request, station, number, status=UNPROCESSABLE)


def _kept_too_late(request: HttpRequest, station: Station, number: str, typed: Mapping[str, str]) -> HttpResponse:
    """Answer a field that arrived after the run was booked: what was booked with it is no matter, the rest is said."""
    booked = RunDraft.objects.filter(station=station, number=number, booked__isnull=False).first()
    if booked is not None:
        filling = filling_of(booked, {**typed, CHANGE: ""}, preferred_unit(), "")
        if all(kept_word(booked, name) == value for name, value in filled_in(filling).items()):
            return HttpResponse(status=204)
    return render(request, "inventory/line/_too_late.html", {"number": number}, status=UNPROCESSABLE)


def _late(request: HttpRequest, station: Station, number: str, typed: Mapping[str, str]) -> HttpResponse:
    """Book a tote that was weighed after the run, dated as it is said."""
    found = act_of("late addition")
    mass = typed.get("mass", "").strip()
    words = {
        "run": number, "taken_off": f"{typed.get('stream', '')}={mass}" if mass else "", "at": typed.get("at", ""),
        "unit": preferred_unit(), "key": typed.get("key", ""), "reason": typed.get("reason", ""),
    }  # fmt: skip
    try:
        do_act(request, station, found, words)
    except Refused as refused:
        form = form_of(found.words, words, worded(station, refused.mistakes, words), key=words["key"])
        return _booked_page(request, station, number, status=UNPROCESSABLE, late={"form": form, **typed})
    messages.success(request, gettext("Added to %(run)s.") % {"run": number})
    return redirect("run", number=number)


def _open_page(request: HttpRequest, draft: RunDraft, shown: RunForm, *, status: int = 200) -> HttpResponse:
    told = picture(flow_of_draft(draft), to_field)
    usual = spouts_of(told.run.machines.split(" + "))
    fields = [(stream, shown.form.field(f"spouts.{stream}")) for stream in STREAMS]
    context = {
        "draft": draft, "told": told, "form": shown.form, "was": shown.was, "outs": shown.outs,
        "spouts": [field for stream, field in fields if stream in usual],
        "others": [field for stream, field in fields if stream not in usual],
        "standing": draft.feed_lot.standing, "may": may(request_role(request), "clean"),
    }  # fmt: skip
    piece = "inventory/line/_run_now.html" if request.headers.get("HX-Request") else "inventory/line/run.html"
    return render(request, piece, context, status=status)


def _booked_page(
    request: HttpRequest, station: Station, number: str, *, status: int = 200, late: Mapping[str, Any] | None = None
) -> HttpResponse:  # fmt: skip
    record = _run_or_404(station, number)
    told = picture(_ledger_flow(record), to_lot)
    usual = spouts_of(told.run.machines.split(" + "))
    context = {
        "run": record, "told": told, "before": uncleaned_before(record), "settings": settings_of(record),
        "streams": sorted(STREAMS, key=lambda stream: stream not in usual), "late": late or {}, "key": new_key(),
        "zone": ZoneInfo(station.zone),
        "may": may(request_role(request), "late addition"), "standing": record.feed_lot.standing,
    }  # fmt: skip
    return render(request, "inventory/line/booked_run.html", context, status=status)
