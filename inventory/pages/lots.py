"""The pages of lots: the list of what is in store, and one lot."""

from collections.abc import Iterable
from fractions import Fraction
from typing import Any
from zoneinfo import ZoneInfo

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from hilum.plugins.host import the_host
from inventory.drawing.ribbon import Part, Ribbon, ribbon
from inventory.models import Standing, Station, Stock
from inventory.pages.frame import station_here
from inventory.queries.breeding import heterozygosity_words
from inventory.queries.lot_story import Happened, LotStory, lot_story, lots_in_store
from inventory.queries.tracing import Trace, trace
from inventory.rules.mass import kg_words
from inventory.rules.mistakes import Mistake
from inventory.rules.moisture import storage_advice

MOST_LOTS = 200
MOST_TRACED = 200


@require_safe
def lots(request: HttpRequest) -> HttpResponse:
    """List lots with seed left, their ribbons on one scale."""
    station = station_here(request)
    rows, left, has_more = lots_in_store(station, most=MOST_LOTS)
    return render(request, "inventory/lots.html", {"rows": lot_rows(rows, left), "more": has_more, "most": MOST_LOTS})


def lot_rows(rows: Iterable[Standing], left: dict[int, int]) -> list[dict[str, Any]]:
    """Make the rows of a list of lots, ribbons on the scale of the largest opening."""
    rows = list(rows)
    whole = max((row.opening_mg for row in rows), default=0)
    return [
        {
            "number": row.lot.number,
            "line": row.line.name if row.line else "blend",
            "market_class": row.market_class.name if row.market_class else "",
            "kg": kg_words(left.get(row.lot_id, 0)),
            "ribbon": _plain_ribbon(row.opening_mg, left.get(row.lot_id, 0), whole),
            "treated": row.treated,
        }
        for row in rows
    ]


def _plain_ribbon(opening: int, left: int, whole: int) -> Ribbon:
    gone = Part(max(0, opening - left), "gone", f"{kg_words(max(0, opening - left))} gone")
    return ribbon([gone, Part(left, "left", f"{kg_words(left)} left")], whole=whole)


@require_safe
def lot(request: HttpRequest, number: str) -> HttpResponse:
    """Show one lot."""
    station = station_here(request)
    try:
        story = lot_story(station, number)
    except Mistake as mistake:
        raise Http404(mistake.says) from mistake
    if story.lot.number != number:
        return redirect("lot", number=story.lot.number)
    return render(request, "inventory/lot.html", _lot_context(station, story, request.user.get_username()))


def _lot_context(station: Station, story: LotStory, person: str) -> dict[str, Any]:
    zone = ZoneInfo(station.zone)
    number = story.lot.number
    return {
        "story": story,
        "number": number,
        "zone": zone,
        "left": kg_words(story.left),
        "opening": kg_words(story.standing.opening_mg) if story.standing else "",
        "promised": kg_words(story.promised) if story.promised else "",
        "advice": _advice(story),
        "heterozygosity": heterozygosity_words(story.generation.heterozygosity),
        "ribbon": lot_ribbon(story),
        "where": _where(story.stock),
        "happened": [(row, _kg_change(row)) for row in story.happened],
        "panels": the_host().lot_panels(number, station.code, person),
        "back": traced(station, number, forward=False),
        "forward": traced(station, number, forward=True),
    }


def _advice(story: LotStory) -> str:
    """What the ticket says of a wet lot; nothing where no seed is left."""
    return str(storage_advice(story.moisture)) if story.moisture is not None and story.left else ""


def lot_ribbon(story: LotStory) -> Ribbon:
    """Draw a lot: what went, in order; then what is left."""
    parts = [_part(row) for row in story.happened if row.counts and row.change < 0]
    left = Part(story.left, "left", f"{kg_words(story.left)} left")
    return ribbon([*parts, left], promised=min(story.promised, story.left))


def _part(row: Happened) -> Part:
    kind = "unaccounted" if row.where_to == "unaccounted" else "gone"
    to = f" → {row.where_to}" if row.where_to else ""
    link = reverse("lot", args=[row.made[0]]) if row.made else ""
    return Part(-row.change, kind, f"{row.operation.kind}{to} {kg_words(-row.change)}", link)


def _kg_change(row: Happened) -> str:
    if not row.change:
        return ""
    return f"{'+' if row.change > 0 else '−'}{kg_words(abs(row.change))}"


def _where(stock: Iterable[Stock]) -> list[dict[str, str]]:
    return [
        {
            "place": row.place.code,
            "what": f"bag {row.bag_no}" if row.bag_no else "loose",
            "kg": kg_words(row.mg),
            "anchor": f"bag-{row.bag_no}",
        }
        for row in stock
    ]


def traced(station: Station, ref: str, *, forward: bool) -> dict[str, Any]:
    """List what a thing came from or became, nearest first, without itself."""
    found: Trace = trace(station, ref, forward=forward, most=MOST_TRACED)
    nodes = [
        {
            "kind": node.kind,
            "id": node.id,
            "label": node.label,
            "day": node.day,
            "kg": kg_words(node.mg) if node.mg is not None else "",
            "share": _percent(node.share),
            "link": link_to(node.kind, node.id),
        }
        for node in found.nodes[1:]
    ]
    return {"nodes": nodes, "truncated": found.truncated}


def _percent(share: Fraction | None) -> str:
    """Write a share as people read it; under 0.1 % it is said to be so."""
    if share is None:
        return ""
    return f"{float(share):.1%}".replace("%", " %") if share >= Fraction(1, 1000) or not share else "< 0.1 %"


def link_to(kind: str, name: str) -> str:
    """Give the address of a thing's page; "" where it has none."""
    if kind == "lot":
        return reverse("lot", args=[name])
    if kind == "bag":
        number, _slash, bag = name.partition("/")
        return f"{reverse('lot', args=[number])}#bag-{bag}"
    return reverse("thing", args=[kind, name])
