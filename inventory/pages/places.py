"""Where seed stands: the floor as squares, one place, one container."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_safe

from inventory.drawing.floorplan import Filled, Stand, by_name, filled, floorplan
from inventory.models import Container, Place
from inventory.pages.downloads import as_picture, as_table
from inventory.pages.frame import station_here
from inventory.queries.places_now import containers_now, is_old, stands, stands_at
from inventory.queries.showing import shown_mass, shown_unit
from inventory.queries.today import today_at
from inventory.rules.mass import kg_text

MARGIN = 16  # units around the picture of a file


@require_safe
def places(request: HttpRequest) -> HttpResponse:
    """Draw the floor: each place with how much stands there, wet, held, tested; `?format=svg|csv` gives it away."""
    station = station_here(request)
    squares = filled(stands(station))
    says = _says([square.stand for square in squares])
    wanted = request.GET.get("format", "")
    if wanted == "csv":
        return as_table("places", _HEADS, (_row(square.stand) for square in squares))
    if wanted == "svg":
        return as_picture("places", "inventory/floor/places.svg", _drawn(squares, says), request)
    context = {
        "says": says,
        "groups": by_name(squares),
        "full": [square for square in squares if square.stand.lots],
        "containers": containers_now(station),
    }
    return render(request, "inventory/floor/places.html", context)


def place(request: HttpRequest, name: str) -> HttpResponse:
    """Show what stands at one place, lot by lot."""
    found = Place.objects.filter(station=station_here(request), code=name).select_related("station").first()
    if found is None:
        raise Http404(gettext("No place is called %(name)s.") % {"name": name})
    here = stands_at(found)
    context: dict[str, Any] = {"name": name, "place": found, "here": here, "total": sum(one.mg for one in here)}
    return render(request, "inventory/place.html", context)


def container(request: HttpRequest, name: str) -> HttpResponse:
    """Show one container with its tare."""
    station = station_here(request)
    found = Container.objects.filter(station=station, code=name).first()
    if found is None:
        raise Http404(gettext("No container is called %(name)s.") % {"name": name})
    context = {"name": name, "container": found, "is_old": is_old(found, today_at(station))}
    return render(request, "inventory/floor/container.html", context)


_HEADS = ("place", "name", "kg", "lots", "bags", "lots_drawn_for_the_bench", "wet", "hold")


def _row(stand: Stand) -> tuple[object, ...]:
    wet, held = "yes" if stand.is_wet else "no", "yes" if stand.is_held else "no"
    return (stand.code, stand.name, kg_text(stand.mg), stand.lots, stand.bags, stand.tested, wet, held)


def _drawn(squares: list[Filled], says: str) -> dict[str, Any]:
    plan = floorplan(squares)
    return {"plan": plan, "says": says, "width": max(plan.width, 720) + MARGIN, "height": plan.height + 40 + MARGIN}


def _says(found: list[Stand]) -> str:
    """Say in one sentence how much stands where, and how much of it waits for something."""
    full = [stand for stand in found if stand.lots]
    mass = f"{shown_mass(sum(stand.mg for stand in full))} {shown_unit()}"
    first = gettext("%(mass)s stand at %(full)d of %(all)d places.")
    said = [first % {"mass": mass, "full": len(full), "all": len(found)}]
    wet, held = sum(stand.is_wet for stand in full), sum(stand.is_held for stand in full)
    if wet:
        said.append(ngettext("%(n)d place holds wet seed.", "%(n)d places hold wet seed.", wet) % {"n": wet})
    if held:
        words = ngettext("%(n)d place holds seed on hold.", "%(n)d places hold seed on hold.", held)
        said.append(words % {"n": held})
    return " ".join(said)
