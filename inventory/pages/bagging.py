"""The bag-off counter: a press or a scan for each bag, held against what is there, then booked as one bagging."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from inventory.actions.bagging import Bagging
from inventory.importing.acts import act_of
from inventory.models import Station
from inventory.pages.acts import UNPROCESSABLE, do_act, new_key, worded
from inventory.pages.carrying import carried
from inventory.pages.forms import form_of, taken
from inventory.pages.frame import station_here
from inventory.pages.preferences import preferred_unit
from inventory.queries.bagging import bags_ahead
from inventory.rules.mistakes import Mistake, Refused

_MOST = 9_999
_USUAL = {"kg": "25.0", "lb": "50"}  # the trade's bags


@require_http_methods(["GET", "HEAD", "POST"])
def bagging(request: HttpRequest) -> HttpResponse:
    """Count bags off a lot, and book them."""
    station, unit = station_here(request), preferred_unit()
    usual = {"unit": unit, "bag_mass": _USUAL.get(unit, "25.0"), "count": "0"}
    if request.method != "POST":
        typed = carried(request) or {name: str(value) for name, value in request.GET.items()}
        return _page(request, station, {**usual, **typed, "key": typed.get("key") or new_key()})
    typed = taken({name: str(request.POST[name]) for name in request.POST if name != "csrfmiddlewaretoken"})
    if "step" in typed:
        return _page(request, station, {**typed, "count": _stepped(typed)})
    try:
        booked = do_act(request, station, act_of("bag"), typed)
    except Refused as refused:
        return _page(request, station, typed, worded(station, refused.mistakes, typed), status=UNPROCESSABLE)
    return redirect("booked", number=booked.operations[0].seq)


@require_safe
def bagging_look(request: HttpRequest) -> HttpResponse:
    """Give the piece of the page that says what is filled and what is left."""
    typed = {name: str(value) for name, value in request.GET.items()}
    return render(request, "inventory/line/_bags_ahead.html", _ahead(station_here(request), typed))


def _stepped(typed: Mapping[str, str]) -> str:
    """One bag more or one taken back, where the page has no script to count by itself."""
    count = typed.get("count", "").strip()
    now = int(count) if count.isdecimal() and len(count) < 6 else 0
    return str(min(_MOST, max(0, now + (-1 if typed["step"] == "back" else 1))))


def _page(
    request: HttpRequest, station: Station, typed: Mapping[str, str], mistakes: Sequence[Mistake] = (), *,
    status: int = 200,
) -> HttpResponse:  # fmt: skip
    form = form_of(Bagging, typed, mistakes, key=typed.get("key", ""))
    context = {"form": form, "unit_typed": typed.get("unit", "kg"), **_ahead(station, typed)}
    return render(request, "inventory/line/bagging.html", context, status=status)


def _ahead(station: Station, typed: Mapping[str, str]) -> dict[str, Any]:
    if not typed.get("lot", "").strip():
        return {"ahead": None, "says": ""}
    words = ("count", "bag_mass", "part_bag", "spilled", "place", "unit")
    try:
        return {"ahead": bags_ahead(station, typed["lot"], **{one: typed.get(one, "") for one in words}), "says": ""}
    except Mistake as mistake:
        return {"ahead": None, "says": mistake.says}
