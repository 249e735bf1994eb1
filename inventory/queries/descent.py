"""What came of seed, and what it came from, over the lineage graph."""

from collections.abc import Iterable
from dataclasses import dataclass

from inventory.models import Link, Lot, Operation, Standing
from inventory.queries.uses import in_parts
from inventory.rules.descent import reaches
from inventory.rules.nodes import NodeKind, key_of, kind_of, node


@dataclass(frozen=True)
class Descendant:
    """A lot that was made from another's seed; a blend has more than one source."""

    lot: Lot
    standing: Standing
    is_blend: bool


def descendants_of(lot: Lot) -> list[Descendant]:
    """List the lots made from a lot's seed through any number of acts, oldest first; nothing crosses a sowing.

    A lot is a blend where one of its sources is no descendant of the lot (2 queries a generation, 1 for the lots).
    """
    found: dict[int, bool] = {}
    waiting = [node(NodeKind.LOT, lot.pk)]
    while waiting:
        links = [link for some in in_parts(waiting) for link in Link.objects.filter(parent__in=some, is_sowing=False)]
        waiting = [child for child in dict.fromkeys(link.child for link in links) if child not in found]
        found.update(dict.fromkeys(waiting, False))
    family = {*found, node(NodeKind.LOT, lot.pk)}
    mixed = _with_sources_outside(family)
    standings = Standing.objects.filter(lot_id__in=[key_of(child) for child in found], made_by__isnull=False)
    rows = standings.select_related("lot", "line").order_by("made_by__seq", "lot_id")
    return [Descendant(row.lot, row, node(NodeKind.LOT, row.lot_id) in mixed) for row in rows]


def _with_sources_outside(family: set[int]) -> set[int]:
    """Those of a family that a source outside of it went into, themselves or before them."""
    mixed: set[int] = set()
    inside: dict[int, set[int]] = {}
    for some in in_parts(sorted(family)):
        for link in Link.objects.filter(child__in=some, is_sowing=False):
            if link.parent in family:
                inside.setdefault(link.parent, set()).add(link.child)
            elif kind_of(link.parent) is NodeKind.LOT:
                mixed.add(link.child)
    waiting = list(mixed)
    while waiting:
        waiting = [child for parent in waiting for child in inside.get(parent, ()) if child not in mixed]
        mixed.update(waiting)
    return mixed


def comes_from(lot_id: int, plot_id: int) -> bool:
    """Say whether a lot comes from a plot through any number of acts and seasons (1 query a generation)."""
    return reaches([node(NodeKind.LOT, lot_id)], node(NodeKind.PLOT, plot_id), _sources)


def plot_comes_from(plot_id: int, lot_id: int) -> bool:
    """Say whether what stands on a plot comes from a lot through any number of acts and seasons."""
    return reaches([node(NodeKind.PLOT, plot_id)], node(NodeKind.LOT, lot_id), _sources)


def sowings_on(plot_ids: Iterable[int]) -> list[Operation]:
    """The acts that sowed plots and stand, in their order (1 query)."""
    nodes = [node(NodeKind.PLOT, key) for key in plot_ids]
    links = Link.objects.filter(child__in=nodes, is_sowing=True).select_related("operation__run", "operation__shipment")
    return list({link.operation_id: link.operation for link in links.order_by("operation__seq")}.values())


def _sources(nodes: Iterable[int]) -> list[int]:
    return [
        parent
        for some in in_parts(list(nodes))
        for parent in Link.objects.filter(child__in=some).values_list("parent", flat=True)
    ]


def sown_with(plot_ids: Iterable[int]) -> dict[int, str]:
    """The lots that plots were sown with, by plot; a sowing that was taken back does not count (2 queries)."""
    links = Link.objects.filter(child__in=[node(NodeKind.PLOT, key) for key in plot_ids], is_sowing=True)
    lots = {key_of(link.child): key_of(link.parent) for link in links}
    numbers = dict(Lot.objects.filter(pk__in=lots.values()).values_list("pk", "number"))
    return {plot: numbers[lot] for plot, lot in lots.items()}
