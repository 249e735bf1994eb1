"""What stands beside the form of a drying: what the lot should weigh by its dry matter."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from inventory.pages.frame import station_here
from inventory.pages.preferences import preferred_unit
from inventory.queries.ahead_of_drying import drying_ahead


def beside(request: HttpRequest) -> dict[str, Any]:
    """Say what is there, how wet it was and what it should weigh, of what is typed so far."""
    typed = request.POST if request.method == "POST" else request.GET
    words = {name: str(typed.get(name, "")) for name in ("lot", "place", "before", "after", "weighed")}
    unit = str(typed.get("unit") or preferred_unit())
    return {"drying": drying_ahead(station_here(request), **words, unit=unit), "typed_unit": unit}


@require_safe
def drying_look(request: HttpRequest) -> HttpResponse:
    """Give the piece of the page that says what a lot should weigh."""
    return render(request, "inventory/floor/_drying.html", beside(request))
