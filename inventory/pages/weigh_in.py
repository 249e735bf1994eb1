"""Weigh-in: the delivery's form with what the books know beside it, and the last five to print again."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from inventory.pages.frame import station_here
from inventory.pages.preferences import preferred_unit
from inventory.queries.ahead import delivery_ahead, some_containers
from inventory.queries.deliveries import last_deliveries
from inventory.queries.numbers import next_number

LAST = 5


def beside(request: HttpRequest) -> dict[str, Any]:
    """What stands beside the form: what the books know of what is typed, and the last five."""
    typed = request.POST if request.method == "POST" else request.GET
    text = {name: str(typed.get(name, "")) for name in ("gross", "tare", "net", "moisture")}
    ahead = delivery_ahead(
        station_here(request), plots=_many(str(typed.get("plots", ""))),
        containers=_many(str(typed.get("containers", ""))), unit=str(typed.get("unit") or preferred_unit()), **text,
    )  # fmt: skip
    return {"ahead": ahead, "last": last_deliveries(station_here(request), LAST)}


def around(request: HttpRequest) -> dict[str, Any]:
    """What the whole page shows: what stands beside the form, the number that comes next, and who sent the seed."""
    typed = request.POST if request.method == "POST" else request.GET
    is_outside = request.GET.get("from") == "outside" or bool(str(request.POST.get("sender", "")).strip())
    return {
        **beside(request),
        "becomes": next_number(station_here(request)),
        "is_outside": is_outside,
        "such_as": ", ".join(some_containers(station_here(request))),
        "typed_unit": typed.get("unit") or preferred_unit(),
    }


@require_safe
def weigh_in_look(request: HttpRequest) -> HttpResponse:
    """Give the piece of the page that says what the books know of a delivery that is being typed."""
    return render(request, "inventory/_ahead.html", beside(request))


def _many(typed: str) -> list[str]:
    return [part.strip() for part in typed.replace(";", ",").split(",") if part.strip()]
