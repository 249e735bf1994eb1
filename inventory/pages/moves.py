"""Moves by two scans: the thing, then the place. Two things in a row are asked about: one may only be looked at."""

from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from inventory.importing.acts import act_of
from inventory.models import Station
from inventory.pages.acts import UNPROCESSABLE, do_act, new_key, worded
from inventory.pages.carrying import carried
from inventory.pages.forms import form_of, taken
from inventory.pages.frame import station_here
from inventory.pages.lots import link_to
from inventory.pages.preferences import preferred_unit
from inventory.queries.meaning import what_is_meant
from inventory.queries.moves import bags_of_all, last_moves
from inventory.rules.mistakes import Mistake, Refused

LAST = 5
THINGS = ("lot", "bag")
_FIELDS = ("lot", "to", "mass", "bags", "place", "unit", "key", "reason", "take")


@require_http_methods(["GET", "HEAD", "POST"])
def moves(request: HttpRequest) -> HttpResponse:
    """Move what was scanned to the place that was scanned after it; it stays open for the next."""
    station = station_here(request)
    sent = request.POST if request.method == "POST" else request.GET
    typed = {name: str(sent[name]) for name in sent if name in _FIELDS or name.startswith("answer.")}
    second = _second_thing(station, typed.get("to", "")) or str(request.GET.get("also", ""))
    if second and typed.get("lot"):
        return _ask(request, typed["lot"], second)
    if request.method != "POST":
        return _page(request, {"unit": preferred_unit(), **typed, **carried(request)})
    typed = taken(typed)
    try:
        booked = do_act(request, station, act_of("move"), _as_move(station, typed))
    except Refused as refused:
        return _page(request, typed, worded(station, refused.mistakes, typed))
    says = gettext("%(thing)s stands at %(place)s now.") % {"thing": typed.get("lot", ""), "place": typed.get("to", "")}
    messages.success(request, says)
    for operation in booked.operations[:1]:
        request.session["moved"] = operation.seq
    return redirect("floor-moves")


def _as_move(station: Station, typed: Mapping[str, str]) -> dict[str, str]:
    """Turn a bag into its lot and number; a lot that stands in bags alone moves with all of them."""
    meant = what_is_meant(station, typed.get("lot", "")) if typed.get("lot", "").strip() else None
    if meant is None or meant.kind not in THINGS:
        return dict(typed)
    lot, _slash, bag = meant.name.partition("/")
    bags = bag or typed.get("bags", "")
    if not bags and not typed.get("mass", "").strip():
        bags = bags_of_all(station, lot, typed.get("place", ""))
    return {**typed, "lot": lot, "bags": bags}


def _second_thing(station: Station, typed: str) -> str:
    """Name the lot or bag that stands where a place belongs."""
    meant = what_is_meant(station, typed) if typed.strip() else None
    return meant.name if meant and meant.kind in THINGS else ""


def _ask(request: HttpRequest, first: str, second: str) -> HttpResponse:
    opens = link_to("bag" if "/" in second else "lot", second)
    return render(request, "inventory/floor/two_things.html", {"first": first, "second": second, "opens": opens})


def _page(request: HttpRequest, typed: Mapping[str, str], mistakes: list[Mistake] | None = None) -> HttpResponse:
    form = form_of(act_of("move").words, typed, mistakes or [], key=typed.get("key") or new_key())
    context: dict[str, Any] = {
        "form": form,
        "last": last_moves(station_here(request), LAST),
        "action": reverse("floor-moves"),
        "moved": request.session.pop("moved", None),
    }
    return render(request, "inventory/floor/moves.html", context, status=UNPROCESSABLE if mistakes else 200)
