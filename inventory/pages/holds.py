"""The holds that stand, and who may lift them."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from inventory.pages.areas import request_role
from inventory.pages.frame import station_here
from inventory.queries.holds import standing_holds
from inventory.rules.reading import listed
from inventory.rules.roles import may, who_may


@require_safe
def holds(request: HttpRequest) -> HttpResponse:
    """List the holds that stand, the oldest first."""
    found = standing_holds(station_here(request))
    context = {"holds": found, "total": sum(hold.mg for hold in found), **lifting(request)}
    return render(request, "inventory/floor/holds.html", context)


def lifting(request: HttpRequest) -> dict[str, Any]:
    """Say who may lift a hold, and whether whoever asks is one of them."""
    return {"who_lifts": listed(list(who_may("lift"))), "may_lift": may(request_role(request), "lift")}
