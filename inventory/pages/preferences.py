"""The way a person works: language and unit, set once and used on every page."""

from collections.abc import Callable
from zoneinfo import ZoneInfo

from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone, translation
from django.views.decorators.http import require_http_methods

from inventory.actions.preferring import prefer
from inventory.pages.frame import preference_of, whose
from inventory.queries.preferences import LANGUAGES, UNITS, manner_in_use, manner_of, use_manner
from inventory.queries.today import mark_read_once
from inventory.rules.mistakes import Refused

Answer = Callable[[HttpRequest], HttpResponse]


def in_their_manner(get_response: Answer) -> Answer:
    """Write each answer in the language and unit of whoever asks, and every hour as their station's clocks show it."""

    def answer(request: HttpRequest) -> HttpResponse:
        manner = manner_of(preference_of(request))
        use_manner(manner)
        station, _role = whose(request)
        zone = ZoneInfo(station.zone) if station else None
        with translation.override(manner.language), timezone.override(zone), mark_read_once():
            return get_response(request)

    return answer


def preferred_unit() -> str:
    """Give the unit of mass of whoever asks."""
    return manner_in_use().unit


@require_http_methods(["GET", "HEAD", "POST"])
def preferences(request: HttpRequest) -> HttpResponse:
    """Show and keep a person's language and unit."""
    context = {"languages": LANGUAGES, "units": UNITS, "manner": manner_in_use(), "errors": ()}
    if request.method != "POST":
        return render(request, "inventory/preferences.html", context)
    if not isinstance(request.user, User):
        raise TypeError("pages are for people signed in")
    try:
        prefer(by=request.user, language=request.POST.get("language", ""), unit=request.POST.get("unit", ""))
    except Refused as refused:
        errors = [mistake.says for mistake in refused.mistakes]
        return render(request, "inventory/preferences.html", {**context, "errors": errors}, status=422)
    return redirect("home")
