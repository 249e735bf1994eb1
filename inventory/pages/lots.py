"""The list of lots in store, and what other pages say of lots."""

from collections.abc import Iterable
from fractions import Fraction
from typing import Any

from django.urls import reverse

from inventory.drawing.ribbon import Part, Ribbon, ribbon
from inventory.models import Standing, Station
from inventory.queries.tracing import Trace, trace
from inventory.rules.mass import kg_words

MOST_LOTS = 200
MOST_TRACED = 200


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


def traced(station: Station, ref: str, *, forward: bool) -> dict[str, Any]:
    """List what a thing came from or became, nearest first, without itself."""
    return listed_trace(trace(station, ref, forward=forward, most=MOST_TRACED))


def listed_trace(found: Trace) -> dict[str, Any]:
    """List the nodes of a trace behind its thing."""
    nodes = [
        {
            "kind": node.kind,
            "id": node.id,
            "label": node.label,
            "day": node.day,
            "kg": kg_words(node.mg) if node.mg is not None else "",
            "share": percent(node.share),
            "link": link_to(node.kind, node.id),
        }
        for node in found.nodes[1:]
    ]
    return {"nodes": nodes, "truncated": found.truncated}


def percent(share: Fraction | None) -> str:
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
        return reverse("bag", args=[number, bag])
    return reverse("thing", args=[kind, name])
