"""What lots are made up of, by exact shares of lines and crosses, down from blends to what was put into them."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from fractions import Fraction

from inventory.models import Link, Standing
from inventory.queries.uses import in_parts
from inventory.rules.nodes import NodeKind, key_of, kind_of, node

Made = tuple[str, int]  # "line" or "cross", and its key
_DEEPEST = 200  # steps: more blends upon blends than any store makes


def mixtures_of(standings: Iterable[Standing]) -> dict[int, dict[Made, Fraction]]:
    """Give the shares of lines and crosses in lots, by the lots' keys; 2 queries a step of blending, none for lines.

    Args:
        standings: of the lots; one with a line is that line whole.

    Returns:
        For each lot what is known of its make-up; the shares add up to 1 unless a source is neither line nor cross.
    """
    found: dict[int, dict[Made, Fraction]] = {}
    waiting: dict[int, dict[int, Fraction]] = {}  # lot to look into -> asked lot -> share of that one
    for standing in standings:
        found[standing.lot_id] = {}
        if standing.line_id is not None:
            found[standing.lot_id][("line", standing.line_id)] = Fraction(1)
        else:
            waiting[standing.lot_id] = {standing.lot_id: Fraction(1)}
    for _step in range(_DEEPEST):
        if not waiting:
            break
        waiting = _one_step(waiting, found)
    return found


def _one_step(
    waiting: Mapping[int, Mapping[int, Fraction]], found: dict[int, dict[Made, Fraction]]
) -> dict[int, dict[int, Fraction]]:
    """Go from lots to what they were made of; give the lots that have to be looked into next."""
    deeper: dict[int, dict[int, Fraction]] = defaultdict(lambda: defaultdict(Fraction))
    links = _links_into(waiting)
    lines = _lines_of(key_of(link.parent) for link in links if kind_of(link.parent) is NodeKind.LOT)
    for link in links:
        share, kind, key = Fraction(link.weight, link.total), kind_of(link.parent), key_of(link.parent)
        for asked, part in waiting[key_of(link.child)].items():
            if kind is NodeKind.LOT and lines.get(key) is None:
                deeper[key][asked] += share * part
            elif made := _made(kind, key, lines):
                found[asked][made] = found[asked].get(made, Fraction(0)) + share * part
    return {key: dict(parts) for key, parts in deeper.items()}


def _made(kind: NodeKind, key: int, lines: Mapping[int, int | None]) -> Made | None:
    if kind is NodeKind.CROSS:
        return ("cross", key)
    line = lines.get(key) if kind is NodeKind.LOT else None
    return ("line", line) if line is not None else None


def _links_into(lots: Iterable[int]) -> list[Link]:
    children = [node(NodeKind.LOT, lot) for lot in lots]
    links = (Link.objects.filter(child__in=some, is_sowing=False).order_by("pk") for some in in_parts(children))
    return [link for part in links for link in part]


def _lines_of(lots: Iterable[int]) -> dict[int, int | None]:
    rows = (
        Standing.objects.filter(lot__in=some).values_list("lot_id", "line_id") for some in in_parts(sorted({*lots}))
    )
    return dict(row for part in rows for row in part)
