"""Sheets in: drop a file, see every problem first, answer, save; take a whole load back."""

import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.actions.loading import unload
from inventory.actions.reader import ReasonMissing
from inventory.actions.sheet_drafts import GivenAnswer, answer_sheet, choose_kind
from inventory.importing import limits
from inventory.importing.asking import LEAVE_OUT
from inventory.importing.findings import Finding
from inventory.importing.keeping import forget, keep, load_of, looked_through, saved
from inventory.importing.kinds import all_kinds, kind_named
from inventory.importing.loading import Outcome
from inventory.models import Load, SheetDraft, Station
from inventory.pages.acts import UNPROCESSABLE, new_key, person
from inventory.pages.areas import request_role
from inventory.pages.frame import station_here
from inventory.pages.sheet_view import sheet_view
from inventory.queries.loads import booked_by, find_load, loads_of
from inventory.queries.sheet_drafts import find_sheet_draft, open_sheet_drafts
from inventory.queries.uses import name_act
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.roles import may
from inventory.rules.sheet_drafts import KEPT_DAYS, AnswerMissing

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
ON_A_PAGE = 50
MOST_NAMED = 20


class NoFileChosen(Mistake):
    """The form came without a file."""

    code = "no_file_chosen"

    def __init__(self) -> None:
        super().__init__("Choose a file, or drop one on the field, then press Look through it.", field="file")


@require_http_methods(["GET", "HEAD", "POST"])
def sheets(request: HttpRequest) -> HttpResponse:
    """Take a sheet in and keep it aside; list those that are being answered and those that were saved."""
    station = station_here(request)
    wrong: tuple[Mistake, ...] = ()
    if request.method == "POST":
        try:
            draft = _kept(request, station)
            return redirect("sheet", uid=draft.uid)
        except (Mistake, Refused) as refused:
            wrong = all_of(refused)
    context = {
        "wrong": wrong, "kinds": _kinds(station.code), "drafts": open_sheet_drafts(station)[:ON_A_PAGE],
        "loads": loads_of(station)[:MOST_NAMED], "may": may(request_role(request), "load"),
        "most_mb": limits.MAX_FILE_BYTES // 1024**2, "most": limits.MAX_FILE_BYTES, "kept_days": KEPT_DAYS,
        "chosen": request.POST.get("kind", ""),
    }  # fmt: skip
    return render(request, "inventory/sheets.html", context, status=UNPROCESSABLE if wrong else 200)


def all_of(refused: Mistake | Refused) -> tuple[Mistake, ...]:
    """Give everything that stands in the way, one or many."""
    return refused.mistakes if isinstance(refused, Refused) else (refused,)


def _kept(request: HttpRequest, station: Station) -> SheetDraft:
    sent = request.FILES.get("file")
    if not isinstance(sent, UploadedFile):
        raise NoFileChosen
    content = sent.read(limits.MAX_FILE_BYTES + 1)
    return keep(content, sent.name or "", request.POST.get("kind", ""), station=station, by=person(request))


@require_http_methods(["GET", "HEAD", "POST"])
def sheet(request: HttpRequest, uid: UUID) -> HttpResponse:
    """Show a sheet with everything found in it; take its kind, an answer, or that it is to be thrown away."""
    station = station_here(request)
    draft = _draft_or_404(station, uid)
    if request.method != "POST":
        return _sheet_page(request, draft)
    try:
        if "throw" in request.POST:
            forget(draft, by=person(request))
            messages.success(request, gettext("%(name)s was thrown away.") % {"name": draft.file_name})
            return redirect("sheets")
        _changed(request, draft)
    except (Mistake, Refused) as refused:
        wrong = all_of(refused)
        draft.refresh_from_db()
        return _sheet_page(request, draft, wrong)
    return redirect(f"{reverse('sheet', args=[uid])}?{request.GET.urlencode()}#decide")


def _changed(request: HttpRequest, draft: SheetDraft) -> None:
    station, by = draft.station, person(request)
    if "kind" in request.POST:
        choose_kind(draft.uid, kind_named(request.POST["kind"], station.code).name, station=station, by=by)
    elif column := request.POST.get("all"):
        alike = [one for one in looked_through(draft).findings if one.is_open and one.column == column]
        given = [_as_proposed(one, one.row) for one in alike if one.row and one.proposal]
        answer_sheet(draft.uid, given, station=station, by=by)
    else:
        answer_sheet(draft.uid, [_answer(request)], station=station, by=by)


def _as_proposed(finding: Finding, row: int) -> GivenAnswer:
    """A row that is left out is asked nothing more, in whatever manner it was answered."""
    leaves = finding.proposal == LEAVE_OUT
    return GivenAnswer(row=row, column=finding.column, answer=LEAVE_OUT if leaves else "accept")


def _answer(request: HttpRequest) -> GivenAnswer:
    said = request.POST.get("answer", "")
    answer = request.POST.get("value", "").strip() if said == "value" else said
    row = request.POST.get("row", "")
    if not (row.isdecimal() and len(row) < 8) or (not answer and said != "ask"):
        raise AnswerMissing
    return GivenAnswer(
        row=int(row), column=request.POST.get("column", ""), answer="" if said == "ask" else answer,
        reason=request.POST.get("reason", ""), seen=request.POST.get("seen", ""),
    )  # fmt: skip


@require_POST
def save_sheet(request: HttpRequest, uid: UUID) -> HttpResponse:
    """Save a sheet, all or nothing, and show its load; sent twice it is saved once."""
    draft = _draft_or_404(station_here(request), uid)
    try:
        outcome = saved(draft, by=person(request))
        load = load_of(outcome)
    except (Mistake, Refused) as refused:
        return _sheet_page(request, draft, all_of(refused))
    _say_saved(request, outcome)
    return redirect("load", number=load.number)


def _say_saved(request: HttpRequest, outcome: Outcome) -> None:
    if outcome.saved:
        says = ngettext("Saved %(rows)s row as load %(load)s.", "Saved %(rows)s rows as load %(load)s.", outcome.saved)
        messages.success(request, says % {"rows": outcome.saved, "load": outcome.load})
    for finding in outcome.findings if not outcome.saved else ():
        messages.info(request, finding.says)


def _sheet_page(request: HttpRequest, draft: SheetDraft, wrong: Sequence[Mistake] = ()) -> HttpResponse:
    context: dict[str, Any] = {"draft": draft, "kinds": _kinds(draft.station.code), "wrong": list(wrong)}
    first = request.GET.get("from", "0")
    if draft.kind:
        try:
            outcome = looked_through(draft)
            if outcome.load is not None:
                return _loaded_before(request, outcome)
            context["view"] = sheet_view(outcome, draft, int(first) if first.isdecimal() and len(first) < 8 else 0)
        except (Mistake, Refused) as refused:
            context["unread"] = all_of(refused)
    context["may"] = may(request_role(request), "load")
    return render(request, "inventory/sheet.html", context, status=UNPROCESSABLE if wrong else 200)


def _loaded_before(request: HttpRequest, outcome: Outcome) -> HttpResponse:
    _say_saved(request, outcome)
    if outcome.load is None:
        raise AssertionError("asked only of a sheet that is loaded")
    return redirect("load", number=outcome.load.number)


def _draft_or_404(station: Station, uid: UUID) -> SheetDraft:
    try:
        return find_sheet_draft(station, uid)
    except Mistake as mistake:
        raise Http404(mistake.says) from mistake


def _kinds(station: str) -> list[tuple[str, str]]:
    return [(kind.name, kind.vocabulary.title) for kind in all_kinds(station).values()]


@require_safe
def template(request: HttpRequest, kind: str) -> HttpResponse:
    """Give an empty sheet of a kind to fill in."""
    from inventory.importing.template import write_template  # noqa: PLC0415 - its library would load numpy at start

    station = station_here(request)
    try:
        found = kind_named(kind, station.code)
    except Mistake as mistake:
        raise Http404(mistake.says) from mistake
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "sheet.xlsx"
        write_template(found.vocabulary, path, found.lists(station))
        answer = HttpResponse(path.read_bytes(), content_type=XLSX)
    answer["Content-Disposition"] = f'attachment; filename="{found.name.replace(" ", "_")}.xlsx"'
    return answer


@require_safe
def loads(request: HttpRequest) -> HttpResponse:
    """List every sheet that was saved, the newest first."""
    pages = Paginator(loads_of(station_here(request)), ON_A_PAGE)
    return render(request, "inventory/loads.html", {"page": pages.get_page(request.GET.get("page"))})


@require_http_methods(["GET", "HEAD", "POST"])
def load(request: HttpRequest, number: int) -> HttpResponse:
    """Show a saved sheet with its acts, and take it back whole."""
    station = station_here(request)
    try:
        found = find_load(station, str(number))
    except Mistake as mistake:
        raise Http404(mistake.says) from mistake
    wrong: tuple[Mistake, ...] = ()
    if request.method == "POST":
        try:
            return _taken_back(request, found)
        except Refused as refused:
            wrong = refused.mistakes
    acts = booked_by(found)
    context = {
        "load": found, "acts": [(act, name_act(act), is_back) for act, is_back in acts[:ON_A_PAGE]],
        "more": len(acts) - ON_A_PAGE,
        "wrong": wrong[:MOST_NAMED], "more_wrong": len(wrong) - MOST_NAMED, "key": new_key(),
        "reason": request.POST.get("reason", ""), "may": may(request_role(request), "unload"),
    }  # fmt: skip
    return render(request, "inventory/load.html", context, status=UNPROCESSABLE if wrong else 200)


def _taken_back(request: HttpRequest, found: Load) -> HttpResponse:
    reason = request.POST.get("reason", "").strip()
    if not reason:
        raise Refused([ReasonMissing(gettext("taking a load back"))])
    booked = unload(found, station=found.station, by=person(request), reason=reason)
    count = len(booked.operations)
    says = ngettext(
        "Load %(load)s is taken back: %(count)s act reversed.",
        "Load %(load)s is taken back: %(count)s acts reversed.", count,
    )  # fmt: skip
    messages.success(request, says % {"load": found, "count": count})
    return redirect("load", number=found.number)
