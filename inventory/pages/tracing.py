"""Where a thing came from, or what came of it, as a drawing with its list."""

import json
from collections import Counter
from datetime import UTC, datetime
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_safe

from inventory.drawing.lineage import Lineage, Step, Thing, lay_out
from inventory.pages.frame import station_here
from inventory.pages.lots import link_to, listed_trace, percent
from inventory.pages.pictures import Picture, picture_answer
from inventory.pages.prints import address_of
from inventory.queries.anything import find_anything
from inventory.queries.epcis import lot_events
from inventory.queries.tracing import Trace, TraceEdge, TraceNode, trace
from inventory.rules.mass import kg_words
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import listed

MOST_DRAWN = 400
_ORDER = ("cross", "line", "plot", "plant", "sender", "season", "lot", "bag", "shipment")
_CORRECTIONS = ("reassign", "adjust")


@require_safe
def traced_page(request: HttpRequest, ref: str) -> HttpResponse:
    """Draw where a thing came from; with `?forward=yes` what came of it."""
    forward = request.GET.get("forward", "") not in ("", "no", "0")
    try:
        found = trace(station_here(request), ref, forward=forward, most=MOST_DRAWN)
    except Mistake as mistake:
        raise Http404(mistake.says) from mistake
    picture = _picture(found, forward=forward)
    return picture_answer(request, picture, back=link_to(found.nodes[0].kind, found.ref), page="inventory/trace.html")


@require_safe
def door(request: HttpRequest) -> HttpResponse:
    """Ask what is to be traced, and lead there; both ways are one press apart."""
    typed = request.GET.get("of", "").strip()
    if not typed:
        return render(request, "inventory/trace_door.html", {})
    try:
        thing = find_anything(station_here(request), typed)
    except Mistake as mistake:
        return render(request, "inventory/trace_door.html", {"of": typed, "wrong": mistake.says}, status=404)
    way = "?forward=yes" if request.GET.get("way") == "on" else ""
    return redirect(f"{reverse('trace', args=[thing.id])}{way}")


@require_safe
def epcis(request: HttpRequest, number: str) -> HttpResponse:
    """Hand over a lot's history as an EPCIS 2.0 document."""
    try:
        told = lot_events(station_here(request), number, address=address_of(request), now=datetime.now(UTC))
    except Mistake as mistake:
        raise Http404(mistake.says) from mistake
    name = f"{told['hilum:about']['lot']}-epcis.jsonld"
    answer = HttpResponse(json.dumps(told, ensure_ascii=False, indent=1), content_type="application/ld+json")
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


def _picture(found: Trace, *, forward: bool) -> Picture:
    laid = _laid(found)
    words = gettext("What came of %(ref)s") if forward else gettext("Where %(ref)s came from")
    heads = [gettext("What"), gettext("Kind"), gettext("Day"), "kg", gettext("Share")]
    context: dict[str, Any] = {
        "laid": laid, "laid_width": laid.width + 8, "laid_height": laid.height + 24, "traced": listed_trace(found),
        "other_way": f"{reverse('trace', args=[found.ref])}{'' if forward else '?forward=yes'}", "forward": forward,
        "query": "forward=yes" if forward else "", "lot": found.ref if found.nodes[0].kind == "lot" else "",
    }  # fmt: skip
    return Picture(
        words % {"ref": found.ref}, _says(found, laid, forward=forward), "inventory/pictures/lineage.svg", context,
        max(laid.width + 8, 600), laid.height + 24, heads, [_row(node) for node in found.nodes],
    )  # fmt: skip


def _laid(found: Trace) -> Lineage:
    things = [_thing(node, is_asked=node.id == found.ref) for node in dict.fromkeys(found.nodes)]
    return lay_out(things, [_step(edge) for edge in found.edges])


def _thing(node: TraceNode, *, is_asked: bool) -> Thing:
    parts = [f"{kg_words(node.mg)} kg" if node.mg is not None else "", f"{node.day:%Y}" if node.day else ""]
    return Thing(
        node.id, node.kind, ", ".join(filter(None, parts)), node.day.year if node.day else None,
        link_to(node.kind, node.id), is_asked,
    )  # fmt: skip


def _step(edge: TraceEdge) -> Step:
    is_correction = edge.operation.startswith(_CORRECTIONS)
    share = percent(edge.share) if edge.share is not None and edge.share != 1 else ""
    day = edge.operation.rpartition(" of ")[2] if is_correction else ""
    return Step(edge.source, edge.target, ", ".join(filter(None, (share, day))), is_correction)


def _row(node: TraceNode) -> list[str]:
    kg = kg_words(node.mg) if node.mg is not None else ""
    return [node.label, node.kind, node.day.isoformat() if node.day else "", kg, percent(node.share)]


def _says(found: Trace, laid: Lineage, *, forward: bool) -> str:
    counted = Counter(node.kind for node in found.nodes[1:])
    if not counted:
        return gettext("Nothing came of it yet.") if forward else gettext("Nothing earlier is recorded.")
    kinds = [f"{counted[kind]} {kind}{_many(kind, counted[kind])}" for kind in _ORDER if counted[kind]]
    words = gettext("%(ref)s led to %(what)s.") if forward else gettext("%(ref)s goes back to %(what)s.")
    says = words % {"ref": found.ref, "what": listed(kinds, gettext("and"))}
    if any(box.count > 1 for box in laid.boxes):
        says += " " + gettext("Those of one kind and year are drawn together.")
    if found.truncated:
        says += " " + ngettext(
            "It is longer than %(n)d step; the nearest are shown, without shares.",
            "It is longer than %(n)d; the nearest are shown, without shares.", MOST_DRAWN,
        ) % {"n": MOST_DRAWN}  # fmt: skip
    return says


def _many(kind: str, count: int) -> str:
    return "" if count == 1 else "es" if kind == "cross" else "s"
