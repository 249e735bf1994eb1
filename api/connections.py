"""The page Connections: a person makes keys for programs and devices, sees when each was used, and ends them."""

from datetime import UTC, datetime
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from api.readings.devices import device_named
from api.readings.models import Device
from api.scopes import RESOURCES, SCOPES, VERBS
from api.tokens import DaysUnread, keys_shown, make_token, revoke
from inventory.models import Station
from inventory.pages.acts import UNPROCESSABLE, person
from inventory.pages.areas import request_role
from inventory.pages.frame import station_here
from inventory.rules.mistakes import Refused
from inventory.rules.roles import may


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def connections(request: HttpRequest) -> HttpResponse:
    """List keys, make one (its secret is shown this once) or end one."""
    now, context = datetime.now(UTC), _what_is_offered(request)
    if request.method == "POST":
        try:
            context |= _ended(request, now) if request.POST.get("end") else _made(request, now)
        except Refused as refused:
            context |= {"wrong": refused.mistakes, "typed": request.POST, "ticked": request.POST.getlist("scopes")}
    context["keys"] = keys_shown(person(request), all_of=_looked_after(request), now=now)
    return render(request, "api/connections.html", context, status=UNPROCESSABLE if "wrong" in context else 200)


def _what_is_offered(request: HttpRequest) -> dict[str, Any]:
    groups = {says: [scope for scope in SCOPES if scope.startswith(f"{name}:")] for name, says in RESOURCES.items()}
    devices = Device.objects.filter(station=station_here(request), ended_at__isnull=True).order_by("code")
    shown = {"broad": VERBS, "groups": groups, "devices": devices}
    return {**shown, "ticked": ["read"], "all": _looked_after(request) is not None}


def _made(request: HttpRequest, now: datetime) -> dict[str, Any]:
    typed = request.POST.get("days", "").strip()
    if typed and not (typed.isascii() and typed.isdigit() and len(typed) < 10):
        raise Refused([DaysUnread(typed)])
    days = int(typed) if typed else None
    name, code = request.POST.get("name", ""), request.POST.get("device", "")
    station = station_here(request) if request_role(request) else None
    device = device_named(code, station_here(request)) if code else None
    secret = make_token(
        person(request), scopes=[] if device else request.POST.getlist("scopes"), days=days, now=now, name=name,
        station=station, device=device,
    )  # fmt: skip
    return {"secret": secret, "made": name.strip() or secret[:10]}


def _ended(request: HttpRequest, now: datetime) -> dict[str, Any]:
    ended = revoke(request.POST["end"], by=person(request), all_of=_looked_after(request), now=now)
    return {"ended": ended.name or ended.begins}


def _looked_after(request: HttpRequest) -> Station | None:
    """Give the station whose keys this person looks after: whoever gives people their roles also ends keys."""
    return station_here(request) if may(request_role(request), "people") else None
