"""A page for every act: fill it in, answer what it asks, see what was booked, take it back."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import uuid6
from django.contrib import messages
from django.contrib.auth.models import User
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.template.loader import select_template
from django.urls import reverse
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_safe

from inventory.actions.acting import Booked
from inventory.importing.acts import Act, act_of, all_acts, plain_verb
from inventory.importing.words import WordMissing, fill
from inventory.models import Command, Station
from inventory.pages import blending, drying, holds, weigh_in
from inventory.pages.act_titles import NEED_WHY, in_groups, title_of
from inventory.pages.carrying import carried
from inventory.pages.forms import Form, answers_of, form_of, taken, words_of
from inventory.pages.frame import station_here
from inventory.pages.preferences import preferred_unit
from inventory.queries.act_words import said_of, subjects_of
from inventory.queries.behind_acts import origin_of
from inventory.queries.booked import booked_facts
from inventory.queries.finding_acts import find_act
from inventory.queries.showing import shown_number
from inventory.queries.today import now_at
from inventory.queries.uses import name_act, reversals_of
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.reading import field_words, listed

UNPROCESSABLE = 422


@require_http_methods(["GET", "HEAD", "POST"])
def act(request: HttpRequest, verb: str) -> HttpResponse:
    """Show the form of an act, or do it: what stands in the way brings the form back as it was typed."""
    station = station_here(request)
    found = _act_or_404(verb, station.code)
    if request.method != "POST":
        typed = carried(request) or _first_typed(request, found, station)
        return _form_page(request, verb, form_of(found.words, typed, key=new_key(), secrets=found.secrets))
    typed = taken(_posted(request))
    if "more" in typed:
        form = form_of(
            found.words, typed, key=typed.get("key", ""), more=typed["more"], secrets=found.secrets
        )  # fmt: skip
        return _form_page(request, verb, form)
    try:
        booked = do_act(request, station, found, typed)
    except Refused as refused:
        mistakes = worded(station, refused.mistakes, typed)
        form = form_of(found.words, typed, mistakes, key=typed.get("key", ""), secrets=found.secrets)
        return _form_page(request, verb, form, status=UNPROCESSABLE)
    return _after(request, verb, booked, typed)


def _after(request: HttpRequest, verb: str, booked: Booked, typed: Mapping[str, str]) -> HttpResponse:
    """Show what was booked; a page for many, one after the other, opens again and says so."""
    if typed.get("then") != "again":
        return redirect("booked", number=booked.operations[0].seq)
    lots = [lot.number for lot in booked.lots]
    says = gettext("Logged as %(lots)s.") % {"lots": listed(lots, "and")} if lots else gettext("Saved.")
    messages.success(request, says)
    facts = booked_facts(booked.operations)
    for lot in facts["lots"]:
        if lot["advice"]:
            wet = {"lot": lot["lot"], "percent": shown_number(lot["moisture_pct"]), "advice": lot["advice"]}
            messages.warning(request, gettext("☂ %(lot)s reads %(percent)s %%: %(advice)s.") % wet)
    for note in facts["notes"]:
        messages.info(request, note)
    return redirect("act", verb=verb)


def do_act(request: HttpRequest, station: Station, found: Act, typed: Mapping[str, str]) -> Booked:
    """Do an act with what was typed on a page.

    Raises:
        Refused: everything that stands in the way.
    """
    words = fill(found.words, words_of(found.words, typed))
    return found.do(
        words, station=station, by=person(request), key=typed.get("key", ""), reason=typed.get("reason", ""),
        answers=answers_of(typed), now=now_at(station),
    )  # fmt: skip


def worded(station: Station, mistakes: Sequence[Mistake], typed: Mapping[str, str]) -> list[Mistake]:
    """Word for a page what only programs understand: a key that was used is a form that was saved."""
    return [_on_a_page(station, mistake, typed) for mistake in mistakes]


def _on_a_page(station: Station, mistake: Mistake, typed: Mapping[str, str]) -> Mistake:
    if isinstance(mistake, WordMissing):
        return Mistake(f"{field_words(mistake.field)} is missing. Fill it in.", field=mistake.field)
    return _saved_already(station, typed) if mistake.code == "key_reused" else mistake


def _saved_already(station: Station, typed: Mapping[str, str]) -> Mistake:
    command = Command.objects.filter(station=station, key=typed.get("key", "")).first()
    act = station.operation_set.filter(key=command.key).order_by("seq").first() if command else None
    what = f"This page was saved already: {name_act(act)}." if act else "This page was saved already."
    return Mistake(f"{what} Nothing more was saved. Take that back if it was wrong, or open a new page for another.")


def new_key() -> str:
    """Make the key of a fresh form: sent twice, the form has one effect."""
    return str(uuid6.uuid7())


def person(request: HttpRequest) -> User:
    """Give whoever is signed in."""
    if not isinstance(request.user, User):
        raise TypeError("pages are for people signed in")
    return request.user


@require_safe
def acts(request: HttpRequest) -> HttpResponse:
    """List everything that can be booked."""
    groups = [
        (words, [(said, reverse("act", args=[verb.replace(" ", "-")])) for verb, said in verbs])
        for words, verbs in in_groups(all_acts(station_here(request).code))
    ]
    return render(request, "inventory/acts.html", {"groups": groups})


@require_safe
def booked(request: HttpRequest, number: int) -> HttpResponse:
    """Show what an act booked, with the way to take it back."""
    station = station_here(request)
    try:
        operation = find_act(station, f"#{number}")
    except Mistake as mistake:
        raise Http404(mistake.says) from mistake
    facts = booked_facts([operation])
    context = {
        "act": operation,
        "name": name_act(operation),
        "facts": facts,
        "back": reversals_of([operation]).get(operation.pk),
        "origin": origin_of(operation),
        "said": said_of(operation),
        "about": subjects_of([operation])[operation.pk],
    }
    return render(request, "inventory/booked.html", {**context, "key": new_key()})


def _act_or_404(verb: str, station: str) -> Act:
    try:
        return act_of(verb, station)
    except Refused as refused:
        raise Http404(" ".join(mistake.says for mistake in refused.mistakes)) from refused


def _posted(request: HttpRequest) -> dict[str, str]:
    return {name: str(request.POST[name]) for name in request.POST if name != "csrfmiddlewaretoken"}


def _first_typed(request: HttpRequest, found: Act, station: Station) -> dict[str, str]:
    """Fill a fresh form with what its address says and with the unit the person works in."""
    known = found.words.__dataclass_fields__
    typed = {name: str(value) for name, value in request.GET.items() if name.partition(".")[0] in known}
    typed = {**found.fills(station), **typed}
    if "unit" in known and known["unit"].default == "kg":
        typed.setdefault("unit", preferred_unit())
    return typed


def _nothing(_request: HttpRequest) -> dict[str, Any]:
    return {}


# What stands beside the form of an act that has a page of its own.
_BESIDE: Mapping[str, Callable[[HttpRequest], dict[str, Any]]] = {
    "receive": weigh_in.around,
    "blend": blending.beside,
    "hold": holds.lifting,
    "lift": holds.lifting,
    "return": holds.lifting,
    "dry": drying.beside,
}


def _form_page(request: HttpRequest, verb: str, form: Form, *, status: int = 200) -> HttpResponse:
    plain = plain_verb(verb)
    template = select_template([f"inventory/acts/{plain.replace(' ', '_')}.html", "inventory/act.html"])
    context: dict[str, Any] = {
        "verb": plain,
        "title": title_of(plain),
        "needs_why": plain in NEED_WHY,
        "form": form,
        **_BESIDE.get(plain, _nothing)(request),
    }
    return HttpResponse(template.render(context, request), status=status)
