"""The page Webhooks: addresses that are told of acts, and what was told; for whoever added one, and for records."""

from collections.abc import Callable, Mapping
from datetime import UTC, datetime
from typing import Any

from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from api.unusable import Unusable
from api.webhooks.finding import deliveries_seen, webhooks_seen
from api.webhooks.models import DELIVERED, GIVEN_UP, Webhook
from api.webhooks.subscribing import Change, Wanted, change, end, must_be_theirs, renew_secret, subscribe
from api.webhooks.telling import send_again, trial_message
from inventory.models import Station
from inventory.pages.acts import UNPROCESSABLE, person
from inventory.pages.areas import request_role
from inventory.pages.frame import station_here
from inventory.rules.kinds import KINDS
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.reading import quoted, uid_in
from inventory.rules.roles import RECORDS

MOST_SHOWN = 30  # messages
# How a message stands: its mark, and its colour where it has one.
_MARKS = {DELIVERED: ("●", "fine"), GIVEN_UP: ("✕", "over")}
Said = Mapping[str, Any]


class NotListed(Mistake):
    """A webhook or message that is not on the page of whoever presses its button."""

    code = "not_listed"

    def __init__(self) -> None:
        super().__init__("This is not one of yours, or it is gone. Load the page again.")


class NotSure(Mistake):
    """A webhook is to be ended without the tick beside it."""

    code = "not_sure"

    def __init__(self, name: str) -> None:
        super().__init__(f"{quoted(name)} was not ended. Tick that its list may go too, then end it.", field="sure")


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def webhooks(request: HttpRequest) -> HttpResponse:
    """List webhooks with what they were told; add one, turn it off or on, try it, tell it again, end it."""
    station, by = station_here(request), person(request)
    context: dict[str, Any] = {"kinds": KINDS}
    if request.method == "POST":
        try:
            context |= _done(request, station, by)
        except (Refused, Unusable) as refused:
            context |= {"wrong": refused.mistakes, "typed": request.POST, "ticked": request.POST.getlist("kinds")}
    hooks = webhooks_seen(station, by).select_related("by").order_by("name")
    context |= {"hooks": hooks, "all": request_role(request) == RECORDS, **_log(request, station, by)}
    return render(request, "api/webhooks.html", context, status=UNPROCESSABLE if "wrong" in context else 200)


def _log(request: HttpRequest, station: Station, by: User) -> dict[str, Any]:
    """Give the newest messages, of one webhook where one is asked for, each with its mark."""
    uid = uid_in(request.GET.get("of", ""))
    chosen = webhooks_seen(station, by).filter(uid=uid).first() if uid else None
    told = deliveries_seen(station, by).filter(webhook=chosen) if chosen else deliveries_seen(station, by)
    log = list(told.select_related("webhook").order_by("-pk")[:MOST_SHOWN])
    shown = [(one, *_MARKS.get(one.state, ("◐", "near")), one.state in _MARKS) for one in log]
    return {"log": shown, "chosen": chosen, "most": MOST_SHOWN}


def _done(request: HttpRequest, station: Station, by: User) -> Said:
    """Do what a button says, and say what came of it."""
    press = next((name for name in _PRESSES if request.POST.get(name)), "")
    return _PRESSES[press](request, station, by) if press else _added(request, station, by)


def _added(request: HttpRequest, station: Station, by: User) -> Said:
    name, url = request.POST.get("name", ""), request.POST.get("url", "").strip()
    wanted = Wanted(name=name, url=url, kinds=tuple(request.POST.getlist("kinds")))
    hook = subscribe(wanted, station=station, by=by, now=datetime.now(UTC))
    return {"secret": hook.secret, "made": hook.name}


def _turned(request: HttpRequest, station: Station, by: User, *, on: bool) -> Said:
    hook = change(_hook(request, "on" if on else "off", station), Change(active=on), by=by)
    says = gettext("%(name)s is told again, from the act on at which it stopped.") if on else gettext(
        "%(name)s is told nothing now. Acts are kept for it: turned on again, it is told of each."
    )  # fmt: skip
    return {"said": says % {"name": hook.name}}


def _tried(request: HttpRequest, station: Station, by: User) -> Said:
    hook = _hook(request, "test", station)
    must_be_theirs(hook, by)
    trial_message(hook, datetime.now(UTC))
    return {"said": gettext("A test message to %(name)s waits. The list below says whether it arrived.") % {
        "name": hook.name
    }}  # fmt: skip


def _renewed(request: HttpRequest, station: Station, by: User) -> Said:
    hook = renew_secret(_hook(request, "renew", station), by=by, now=datetime.now(UTC))
    return {"secret": hook.secret, "made": hook.name, "both": True}


def _ended(request: HttpRequest, station: Station, by: User) -> Said:
    hook = _hook(request, "end", station)
    if request.POST.get("sure") != "yes":
        raise Refused([NotSure(hook.name)])
    end(hook, by=by)
    return {"said": gettext("%(name)s is ended and told nothing more. Its list is gone.") % {"name": hook.name}}


def _told_again(request: HttpRequest, station: Station, by: User) -> Said:
    uid = uid_in(request.POST["again"])
    delivery = deliveries_seen(station, by).filter(uid=uid).select_related("webhook").first() if uid else None
    if delivery is None:
        raise Refused([NotListed()])
    must_be_theirs(delivery.webhook, by)
    send_again(delivery, datetime.now(UTC))
    return {"said": gettext("The message to %(name)s waits to be sent again.") % {"name": delivery.webhook.name}}


def _hook(request: HttpRequest, press: str, station: Station) -> Webhook:
    uid = uid_in(request.POST[press])
    hook = webhooks_seen(station, person(request)).filter(uid=uid).first() if uid else None
    if hook is None:
        raise Refused([NotListed()])
    return hook


_PRESSES: Mapping[str, Callable[[HttpRequest, Station, User], Said]] = {
    "on": lambda request, station, by: _turned(request, station, by, on=True),
    "off": lambda request, station, by: _turned(request, station, by, on=False),
    "test": _tried,
    "renew": _renewed,
    "end": _ended,
    "again": _told_again,
}
