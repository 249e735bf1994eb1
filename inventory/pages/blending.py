"""What stands beside the form of a blend: shares, lines that meet, and what plugins foretell of it."""

from collections.abc import Mapping
from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from hilum.plugins.host import the_host
from inventory.drawing.ribbon import Part, Ribbon, ribbon
from inventory.pages.frame import station_here
from inventory.pages.preferences import preferred_unit
from inventory.queries.blending import BlendAhead, PartTyped, blend_laid_out
from inventory.queries.showing import shown_mass

MOST_PARTS = 20


def beside(request: HttpRequest) -> dict[str, Any]:
    """What the books and plugins know of a blend that is being laid out."""
    typed = request.POST if request.method == "POST" else request.GET
    station, text = station_here(request), {name: str(typed.get(name, "")) for name in typed}
    laid = blend_laid_out(station, _parts(text), text.get("unit") or preferred_unit())
    parts = [(part.lot, part.mg) for part in laid.parts]
    person = request.user.get_username()
    foretold = the_host().blend_forecast(parts, station.code, person) if len(parts) > 1 else ()
    plan = next((link.address for link in the_host().page_links(station.code) if link.answers == "blend plan"), "")
    return {"laid": laid, "foretold": foretold, "ribbon": _drawn(laid), "plan": _plan(plan, laid)}


def _plan(address: str, laid: BlendAhead) -> str:
    """Lead to the page that says what to take of each of these lots, where a plugin has one."""
    lots = {f"lots.{place}.lot": part.lot for place, part in enumerate(laid.parts, 1)}
    return f"{address}?{urlencode(lots)}" if address and lots else address


@require_safe
def blend_look(request: HttpRequest) -> HttpResponse:
    """Give the piece of the page that says what a blend would be."""
    return render(request, "inventory/line/_blend_ahead.html", beside(request))


def _parts(typed: Mapping[str, str]) -> list[PartTyped]:
    """Take the parts that name a lot, in their order."""
    rows = sorted({int(name.split(".")[1]) for name in typed if name.startswith("parts.") and _is_row(name)})
    named = [row for row in rows if typed.get(f"parts.{row}.lot", "").strip()][:MOST_PARTS]
    words = ("lot", "bags", "loose", "place")
    return [PartTyped(**{word: typed.get(f"parts.{row}.{word}", "") for word in words}) for row in named]


def _is_row(name: str) -> bool:
    row = name.split(".")[1]
    return row.isdecimal() and len(row) < 4


def _drawn(laid: BlendAhead) -> Ribbon:
    return ribbon([Part(part.mg, "gone", f"{part.lot} {shown_mass(part.mg)}") for part in laid.parts])
