"""The intake's lists: wet seed, and what came in today."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from inventory.pages.frame import station_here
from inventory.queries.floor import came_in_today, wet_lots


@require_safe
def wet(request: HttpRequest) -> HttpResponse:
    """List what is too wet to keep: since when, where, and what to do."""
    lots = wet_lots(station_here(request))
    return render(request, "inventory/floor/wet.html", {"wet": lots, "total": sum(lot.mg for lot in lots)})


@require_safe
def today(request: HttpRequest) -> HttpResponse:
    """List what came in today, and what of it has no place, sample or label yet."""
    came = came_in_today(station_here(request))
    lacking = sum(one.is_on_the_floor or not (one.has_sample and one.has_label) for one in came)
    context = {"came": came, "total": sum(one.mg for one in came), "lacking": lacking}
    return render(request, "inventory/floor/today.html", context)
