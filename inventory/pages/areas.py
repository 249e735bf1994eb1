"""The three words under the scan line, Floor, Bench and Breeding: each a plain list of what is done there."""

from dataclasses import dataclass
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext, gettext_lazy
from django.views.decorators.http import require_safe

from hilum.plugins import PageLink
from hilum.plugins.host import the_host
from inventory.pages.act_titles import title_of
from inventory.pages.frame import station_here, whose
from inventory.queries.waiting import what_waits

AREAS = {"floor": gettext_lazy("Floor"), "bench": gettext_lazy("Bench"), "breeding": gettext_lazy("Breeding")}
# What each area books, in the order of a day: verb -> words.
_ACTS = {
    "floor": {
        "receive": gettext_lazy("Weigh in"),
        "move": gettext_lazy("Move seed"),
        "dry": gettext_lazy("Dry a lot"),
        "clean": gettext_lazy("Book a run"),
        "late addition": gettext_lazy("Add a late tote to a run"),
        "blend": gettext_lazy("Blend lots"),
        "split": gettext_lazy("Split a lot"),
        "bag": gettext_lazy("Bag off"),
        "treat": gettext_lazy("Treat seed"),
        "ship": gettext_lazy("Ship"),
        "return": gettext_lazy("Take back what was shipped"),
        "count": gettext_lazy("Count what is there"),
        "hold": gettext_lazy("Hold lots"),
        "lift": gettext_lazy("Lift a hold"),
    },
    "bench": {
        "bench sample": gettext_lazy("Draw a sample"),
        "grade": gettext_lazy("Grade a sample"),
        "germination": gettext_lazy("Count a germination test"),
        "seed health": gettext_lazy("Count a seed health test"),
        "variety purity": gettext_lazy("Count off-types"),
        "purity": gettext_lazy("Weigh a purity test"),
        "seed weight": gettext_lazy("Weigh hundred seeds"),
        "size curve": gettext_lazy("Enter a size curve"),
        "colour": gettext_lazy("Enter a colour"),
        "moisture": gettext_lazy("Enter a moisture"),
    },
    "breeding": {
        "sow": gettext_lazy("Take seed for sowing"),
        "promise": gettext_lazy("Promise seed"),
        "decide": gettext_lazy("Decide about a line"),
        "seed limit": gettext_lazy("Set what may be found in seed"),
        "pollinate": gettext_lazy("Log a pollination"),
        "add line": gettext_lazy("Add a line"),
        "add cross": gettext_lazy("Add a cross"),
        "add plot": gettext_lazy("Add a plot"),
        "field weight": gettext_lazy("Enter a field weight"),
        "feedback": gettext_lazy("Write down what customers said"),
    },
}


@dataclass(frozen=True)
class Page:
    """A line of an area's list."""

    words: str
    address: str


@require_safe
def area(request: HttpRequest, name: str) -> HttpResponse:
    """List what waits in an area, and its pages."""
    if name not in AREAS:
        raise Http404(gettext("There are three areas: Floor, Bench and Breeding."))
    station, role = station_here(request), request_role(request)
    waits = [item for item in what_waits(station, role) if item.area == name]
    context: dict[str, Any] = {"name": AREAS[name], "waits": waits, "pages": pages_of(name, station.code)}
    return render(request, "inventory/area.html", context)


def pages_of(name: str, station: str) -> list[Page]:
    """List the pages of an area: pages of their own first, then every act that has none."""
    links = [link for link in (*_OWN, *the_host().page_links(station)) if link.area == name]
    covered = {link.verb for link in links}
    acts = [
        Page(str(words), reverse("act", args=[verb.replace(" ", "-")]))
        for verb, words in _ACTS[name].items()
        if verb not in covered
    ]
    return [*(Page(link.words, link.address) for link in links), *acts]


# What each role does most, on its home page: verbs, or addresses of pages that do no act.
_FIRST = {
    "intake": ("receive", "move", "ship", "label"),
    "line": ("clean", "bag", "blend"),
    "bench": ("grade", "bench sample", "germination"),
    "breeder": ("sow", "promise", "decide"),
    "records": ("load", "/records/look/", "/records/"),
}


def first_acts(role: str, station: str) -> list[Page]:
    """List what a role does most, to begin it from the home page."""
    links = {
        key: link for link in reversed((*_OWN, *the_host().page_links(station))) for key in (link.verb, link.address)
    }
    return [
        Page(links[verb].words, links[verb].address)
        if verb in links
        else Page(title_of(verb), reverse("act", args=[verb.replace(" ", "-")]))
        for verb in _FIRST.get(role, ())
    ]


def request_role(request: HttpRequest) -> str:
    """Give the role of whoever asks at their station."""
    return whose(request)[1]


# Pages of the inventory that are more than one act's form.
_OWN: tuple[PageLink, ...] = (
    PageLink("floor", "Weigh in", "/do/receive/", "receive"),
    PageLink("floor", "Weigh in seed from outside", "/do/receive/?from=outside"),
    PageLink("floor", "Came in today", "/floor/today/"),
    PageLink("floor", "Wet lots", "/floor/wet/"),
    PageLink("floor", "Still out", "/floor/still-out/"),
    PageLink("floor", "Move seed", "/floor/moves/", "move"),
    PageLink("floor", "Where is a bag?", "/bags/"),
    PageLink("floor", "Shipments", "/floor/shipments/"),
    PageLink("floor", "Load a shipment", "/floor/shipments/load/", "ship"),
    PageLink("floor", "On hold", "/floor/holds/"),
    PageLink("floor", "Recall", "/recall/", "drill"),
    PageLink("floor", "Places", "/floor/places/"),
    PageLink("floor", "Count a place", "/floor/count/", "count"),
    PageLink("floor", "Lots in store", "/lots/"),
    PageLink("floor", "Cleaning line", "/line/", "clean"),
    PageLink("floor", "Blend lots", "/do/blend/?parts.2.lot=", "blend"),
    PageLink("floor", "Order of work on the line", "/line/order/"),
    PageLink("floor", "What each machine lost", "/line/losses/"),
    PageLink("floor", "Bag off", "/line/bagging/", "bag"),
    PageLink("floor", "Labels and papers", "/print/", "label"),
    PageLink("breeding", "Lines", "/lines/"),
    PageLink("floor", "Sheets in", "/records/sheets/", "load"),
    PageLink("floor", "Look at these", "/records/look/"),
    PageLink("floor", "Records: sheets, lines, people, the proof of the books", "/records/"),
    PageLink("floor", "For programs: the API", "/api/docs"),
    PageLink("floor", "Connections: keys of programs and devices", "/connections/"),
)
