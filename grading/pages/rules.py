"""Rules: which are in force since when, drafts with limits in a table or as JSON, what they would have changed."""

import json
import re
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_safe

from grading.actions.ruling import discard_draft
from grading.queries.blind import hidden_from
from grading.queries.drafts import NoSuchDraft, draft_of, drafts_of
from grading.queries.editions import edition_from, is_shipped, rules_of
from grading.queries.rule_tables import rule_set_whole
from grading.queries.rule_texts import find_edition, limits_of, text_of, with_limits
from grading.queries.trying import Trial, try_rules
from grading.rules.exact_json import read_object
from grading.rules.rule_set import RuleSet
from inventory.importing.acts import act_of
from inventory.models import Station
from inventory.pages.acts import UNPROCESSABLE, do_act, person
from inventory.pages.areas import request_role
from inventory.pages.frame import station_here
from inventory.queries.today import today_at
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.roles import may

HEAD = ("edition", "title", "source")  # fields of the form beside the limits
MOST_CHANGES = 200


@require_safe
def rules(request: HttpRequest) -> HttpResponse:
    """List the editions with their days, and the drafts that grade nothing yet."""
    station = station_here(request)
    today = today_at(station)
    editions = [
        {"set": each, "now": each.is_in_force(today), "ours": not is_shipped(each.id, each.edition)}
        for each in rules_of(station)
    ]  # fmt: skip
    context = {
        "editions": editions,
        "drafts": drafts_of(station),
        "may": may(request_role(request), "draft rules"),
    }
    return render(request, "grading/rules.html", context)


@require_safe
def edition(request: HttpRequest, rule_set: str, edition: str) -> HttpResponse:
    """Show one edition with its tables."""
    found = _edition_or_404(station_here(request), rule_set, edition)
    context = {
        "set": found, "tables": [_table(table, found) for table in rule_set_whole(found)["tables"]],
        "may_draft": may(request_role(request), "draft rules"), "may_rule": may(request_role(request), "rules"),
    }  # fmt: skip
    return render(request, "grading/edition.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def draft(request: HttpRequest, rule_set: str, edition: str) -> HttpResponse:
    """Show an edition or a draft as a form and keep it as a draft: limits in a table, or all of it as JSON text."""
    station = station_here(request)
    try:
        text = text_of(station, rule_set, edition)
    except Mistake as mistake:
        raise Http404(mistake.says) from mistake
    wrong: tuple[Mistake, ...] = ()
    if request.method == "POST":
        text = request.POST["text"] if "text" in request.POST else _with_typed(text, request)
        try:
            return _kept(request, station, text)
        except Refused as refused:
            wrong = refused.mistakes
    return _draft_page(request, rule_set, edition, text, wrong)


def _with_typed(text: str, request: HttpRequest) -> str:
    document = json.loads(text)
    typed = {name: str(request.POST[name]) for name in request.POST}
    document |= {name: typed[name].strip() for name in HEAD if name in typed}
    if "notes" in typed:
        document["notes"] = [line.strip() for line in typed["notes"].splitlines() if line.strip()]
    return json.dumps(with_limits(document, typed), ensure_ascii=False, indent=2)


def _kept(request: HttpRequest, station: Station, text: str) -> HttpResponse:
    do_act(request, station, act_of("draft rules"), {"document": text})
    document = read_object(text)
    messages.success(request, gettext("The draft is kept. It grades nothing until it is put in force."))
    return redirect("rules-draft", rule_set=document["id"], edition=document["edition"])


def _draft_page(
    request: HttpRequest, rule_set: str, edition: str, text: str, wrong: tuple[Mistake, ...]
) -> HttpResponse:  # fmt: skip
    station = station_here(request)
    try:
        document = json.loads(text)
    except (ValueError, RecursionError):
        document = {}
    document = document if isinstance(document, dict) else {}
    faults = {mistake.field: mistake.says for mistake in wrong if mistake.field}
    kept = _draft(station, rule_set, edition)
    head = document if kept or request.method == "POST" else {**document, "edition": _next_edition(edition)}
    context = {
        "id": rule_set, "edition": edition, "text": text, "wrong": wrong, "document": document,
        "notes": "\n".join(map(str, document.get("notes") or ())), "tables": _with_faults(limits_of(document), faults),
        "head": [(name, head.get(name, ""), faults.get(f"/{name}", "")) for name in HEAD],
        "draft": kept, "may_rule": may(request_role(request), "rules"),
        "may": may(request_role(request), "draft rules"),
    }  # fmt: skip
    return render(request, "grading/rules_draft.html", context, status=UNPROCESSABLE if wrong else 200)


def _next_edition(edition: str) -> str:
    """Propose the next number; an edition that is called by a year or a date gets its name from whoever drafts."""
    return str(int(edition) + 1) if re.fullmatch("[0-9]{1,3}", edition) else ""


def _with_faults(tables: list[dict[str, Any]], faults: dict[str, str]) -> list[dict[str, Any]]:
    for table in tables:
        table["rows"] = [
            (words, [(pointer, limit, faults.get(pointer, "")) for pointer, limit in cells])
            for words, cells in table["rows"]
        ]
    return tables


def _draft(station: Station, rule_set: str, edition: str) -> Any:
    try:
        return draft_of(station, rule_set, edition)
    except NoSuchDraft:
        return None


@require_safe
def tried(request: HttpRequest, rule_set: str, edition: str) -> HttpResponse:
    """Show which samples of the past would read as another grade under a draft or an edition, and why."""
    station = station_here(request)
    found = _draft(station, rule_set, edition)
    wanted = edition_from(found.text) if found else _edition_or_404(station, rule_set, edition)
    trial = try_rules(station, wanted)
    hidden = set(hidden_from(station, person(request)).values())
    changed = [change for change in trial.changed if change.sample not in hidden]
    context = {
        "trial": trial, "changed": changed[:MOST_CHANGES], "more": len(changed) - MOST_CHANGES, "draft": found,
        "counts": _counts(trial), "hidden": len(trial.changed) - len(changed),
        "unread": [each for each in trial.unread if each.sample not in hidden][:MOST_CHANGES],
    }  # fmt: skip
    return render(request, "grading/rules_tried.html", context)


def _counts(trial: Trial) -> list[tuple[str, int, int]]:
    names = dict.fromkeys((*trial.grades, *trial.would_be))
    return [(name, trial.grades.get(name, 0), trial.would_be.get(name, 0)) for name in names]


@require_http_methods(["POST"])
def discard(request: HttpRequest, rule_set: str, edition: str) -> HttpResponse:
    """Throw a draft away; what is in force stays."""
    try:
        discard_draft(rule_set, edition, station=station_here(request), by=person(request))
    except Refused as refused:
        messages.error(request, " ".join(mistake.says for mistake in refused.mistakes))
    else:
        messages.success(request, gettext("The draft was thrown away."))
    return redirect("rules")


def _edition_or_404(station: Station, rule_set: str, edition: str) -> RuleSet:
    try:
        return find_edition(station, rule_set, edition)
    except Mistake as mistake:
        raise Http404(mistake.says) from mistake


def _table(table: dict[str, Any], found: RuleSet) -> dict[str, Any]:
    """Set factors against grades, as they are written."""
    grades = table["grades"]
    factors = dict.fromkeys(name for row in grades for name in row["limits"])
    needs = dict.fromkeys(name for row in grades for name in row["needs"])
    limits = [(found.factors[name].words, [row["limits"].get(name, "") for row in grades]) for name in factors]
    looks = [
        (found.judged[name].words, [str(row["needs"].get(name, "")).replace("_", " ") for row in grades])
        for name in needs
    ]
    return {**table, "names": [row["grade"] for row in grades], "limits": limits, "looks": looks}
