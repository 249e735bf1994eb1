"""The home page, the scan line's answer, and small pages of whatever else can be scanned."""

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

from inventory.drawing.ribbon import Part, Ribbon, ribbon
from inventory.models import Station
from inventory.pages.areas import first_acts, request_role
from inventory.pages.frame import station_here
from inventory.pages.lots import MOST_TRACED, link_to, listed_trace, traced
from inventory.pages.pictures import Picture, picture_answer
from inventory.pages.places import container, place
from inventory.pages.questions import asked_at_home, not_answered
from inventory.pages.shipments import shipment
from inventory.queries.anything import Thing, find_anything
from inventory.queries.deliveries import last_deliveries
from inventory.queries.kilos_today import KilosToday, Moved, kilos_of
from inventory.queries.lot_story import has_lots
from inventory.queries.meaning import what_is_meant
from inventory.queries.notes import notes_of_plot
from inventory.queries.today import today_at
from inventory.queries.tracing import trace
from inventory.queries.waiting import what_waits
from inventory.rules.mass import kg_words
from inventory.rules.mistakes import Mistake

MOST_WAITING = 12
# Kinds of thing with a page of their own.
_PAGES: Mapping[str, Callable[[HttpRequest, str], HttpResponse]] = {
    "place": place,
    "container": container,
    "shipment": shipment,
}


@require_safe
def home(request: HttpRequest) -> HttpResponse:
    """Show what waits for whoever asks, today's kilos in and out, and the questions that everybody asks."""
    station = station_here(request)
    moved = kilos_of(station, today_at(station))
    if request.GET.get("format"):
        return picture_answer(request, _today_picture(station, moved), back=reverse("home"))
    waits = what_waits(station, request_role(request))
    last = last_deliveries(station, 1)
    context = {
        "first": first_acts(request_role(request), station.code),
        "waits": waits[:MOST_WAITING],
        "more": max(0, len(waits) - MOST_WAITING),
        "last": last[0] if last else None,
        "moved": moved,
        **_ribbons(moved),
        "questions": asked_at_home(station.code),
        "not_answered": not_answered(),
        "has_lots": bool(last) or has_lots(station),
    }
    return render(request, "inventory/home.html", context)


def _ribbons(moved: KilosToday) -> dict[str, Ribbon]:
    whole = max(moved.total_in, moved.total_out)
    ways = {"ribbon_in": moved.came_in, "ribbon_out": moved.went_out}
    return {name: _moved_ribbon(some, whole) for name, some in ways.items()}


def _today_picture(station: Station, moved: KilosToday) -> Picture:
    """Both ribbons of a day as one file, with every act as a row."""
    total_in, total_out = kg_words(moved.total_in), kg_words(moved.total_out)
    says = gettext("%(came)s kg came in, %(went)s kg went out.") % {"came": total_in, "went": total_out}
    ways = ((gettext("In"), moved.came_in), (gettext("Out"), moved.went_out))
    rows = [[way, one.what, f"#{one.number}", kg_words(one.mg)] for way, some in ways for one in some]
    return Picture(
        f"{station.code} {today_at(station)}", says, "inventory/pictures/today.svg", _ribbons(moved), 1000, 136,
        [gettext("Way"), gettext("What"), gettext("Act"), "kg"], rows, [" ".join(row) for row in rows],
    )  # fmt: skip


def _moved_ribbon(moved: Iterable[Moved], whole: int) -> Ribbon:
    parts = [
        Part(one.mg, "left", f"{one.what} {kg_words(one.mg)}", reverse("booked", args=[one.number])) for one in moved
    ]
    return ribbon(parts, whole=whole)


@require_safe
def find(request: HttpRequest) -> HttpResponse:
    """Open what was typed or scanned, or say what may have been meant."""
    typed = request.GET.get("q", "")
    meant = what_is_meant(station_here(request), typed)
    if meant.kind:
        for note in meant.notes:
            messages.info(request, note)
        return redirect(meant.address or link_to(meant.kind, meant.name))
    return render(request, "inventory/find.html", {"meant": meant, "q": typed}, status=404 if typed.strip() else 200)


@require_safe
def scan(request: HttpRequest) -> JsonResponse:
    """Say what was scanned, for a page that takes scans into its own fields."""
    meant = what_is_meant(station_here(request), request.GET.get("q", ""))
    address = (meant.address or link_to(meant.kind, meant.name)) if meant.kind else ""
    answer = {"kind": meant.kind, "name": meant.name, "address": address, "says": meant.says}
    return JsonResponse({**answer, "proposals": meant.proposals, "notes": meant.notes})


@require_safe
def thing(request: HttpRequest, kind: str, name: str) -> HttpResponse:
    """Show a place with its lots, or a plot, cross, plant … with what came of it and what it came from."""
    station = station_here(request)
    found = None if kind in _PAGES else _thing_called(station, kind, name)
    if found is None:
        meant = what_is_meant(station, name)
        if meant.kind != kind:
            raise Http404(meant.says or f"{name} is a {meant.kind}. Type it in the scan line to open it.")
        if meant.name != name or kind not in _PAGES:
            return redirect(link_to(kind, meant.name))
        return _PAGES[kind](request, name)
    forward = listed_trace(trace(station, name, forward=True, most=MOST_TRACED, thing=found))
    noted = notes_of_plot(station, name) if kind == "plot" else ()
    context = {"kind": kind, "name": name, "forward": forward, "noted": noted}
    return render(request, "inventory/thing.html", context)


def _thing_called(station: Station, kind: str, name: str) -> Thing | None:
    """Find a thing by exactly its own name; None where what is meant has to be looked at more widely."""
    try:
        found = find_anything(station, name)
    except Mistake:
        return None
    return found if (str(found.kind), found.id) == (kind, name) else None


@require_safe
def thing_from(request: HttpRequest, kind: str, name: str) -> HttpResponse:
    """Give the piece of a thing's page that says what it came from; it comes behind the page, for it asks much."""
    context = {"kind": kind, "name": name, "back": _traced_or_404(request, name, forward=False)}
    return render(request, "inventory/_thing_from.html", context)


def _traced_or_404(request: HttpRequest, name: str, *, forward: bool) -> dict[str, Any]:
    try:
        return traced(station_here(request), name, forward=forward)
    except Mistake as mistake:
        raise Http404(mistake.says) from mistake
