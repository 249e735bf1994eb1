"""The one line of descent a lot's page shows: where most of its seed came from, and what was made of it first."""

from dataclasses import dataclass
from fractions import Fraction

from inventory.models import Link, Lot, Plot, Shipment
from inventory.queries.tracing import Trace, TraceEdge, TraceNode
from inventory.rules.nodes import NodeKind, key_of, kind_of, node


def mostly_from(back: Trace) -> list[TraceNode]:
    """Follow a trace back from its thing, always to the source of the greatest share, and give it oldest first.

    A cross is where it begins: what was crossed is another story.
    """
    nodes = {node.id: node for node in back.nodes}
    here, seen = back.ref, {back.ref}
    path: list[str] = []
    while True:
        steps = [edge for edge in back.edges if edge.target == here and edge.source not in seen]
        if not steps or nodes[here].kind == "cross":
            return [nodes[name] for name in reversed(path) if name in nodes]
        here = max(steps, key=_weight).source
        seen.add(here)
        path.append(here)


def straight_sources(back: Trace) -> list[TraceEdge]:
    """List what a thing was made of directly, the greatest share first."""
    steps = [edge for edge in back.edges if edge.target == back.ref and edge.share is not None]
    return sorted(steps, key=lambda edge: (-_weight(edge), edge.source))


def _weight(edge: TraceEdge) -> Fraction:
    return edge.share if edge.share is not None else Fraction(-1)


@dataclass(frozen=True)
class Straight:
    """Something that came straight of a lot."""

    kind: str
    id: str


def straight_from(lot: Lot) -> list[Straight]:
    """List what came straight of a lot: lots, plots it was sown on, shipments, in the order of the acts (5 queries)."""
    links = Link.objects.filter(parent=node(NodeKind.LOT, lot.pk), operation__reversed_by__isnull=True)
    children = dict.fromkeys(links.order_by("operation__at", "operation__seq").values_list("child", flat=True))
    lots = Lot.objects.in_bulk([key_of(child) for child in children if kind_of(child) is NodeKind.LOT])
    plots = Plot.objects.in_bulk([key_of(child) for child in children if kind_of(child) is NodeKind.PLOT])
    made = [Straight("lot", lots[key_of(child)].number) for child in children if kind_of(child) is NodeKind.LOT]
    sown = [Straight("plot", plots[key_of(child)].code) for child in children if kind_of(child) is NodeKind.PLOT]
    shipped = Shipment.objects.filter(operation__entries__lot=lot, operation__reversed_by__isnull=True)
    codes = dict.fromkeys(shipped.order_by("operation__at", "operation__seq").values_list("code", flat=True))
    return [*made, *sown, *(Straight("shipment", code) for code in codes)]
