"""Lines, crosses and their parents as steps: the pedigree above plots, and the plots below a pedigree."""

from collections.abc import Callable, Collection
from typing import Any

from django.db.models import F, Q, QuerySet
from django.db.models.functions import Coalesce

from inventory.models import Cross, Line, Link, Plot, Standing
from inventory.queries.lineage import ALL, Key, Lineage, Step, node_for
from inventory.rules.nodes import NodeKind, kind_of, node

# A line that was merged into another is spoken of by the other's name.
_NOW = Coalesce("line__merged_into_id", "line_id")
Pair = tuple[Key, Key]


def step_up(lineage: Lineage) -> None:
    """Step from plots, and from seed bought outside, to lines, crosses and all their parents.

    Costs a query for plots, one for lines, and two for each generation of the pedigree.
    """
    for plot, line in _plots().filter(pk__in=lineage.rows("plot")).values_list("pk", "now"):
        lineage.add(Step(("line", line), ("plot", plot), ALL))
    bought = {step.target[1] for step in lineage.steps.values() if step.source[0] == "sender"}
    for lot, row in lineage.lots.items():
        if lot in bought and row.line is not None:
            lineage.add(Step(("line", row.line), ("lot", lot), ALL))
    _follow(lineage, _crosses_above)


def step_down(lineage: Lineage) -> set[int]:
    """Step from lines and crosses to what was crossed and bred from them, to their plots and their bought seed.

    Returns:
        The nodes to walk on from. Costs two queries for each generation of the pedigree, and three for plots and lots.
    """
    _follow(lineage, _offspring_of)
    lines = lineage.rows("line")
    sown = _plots().filter(now__in=lines).values_list("now", "pk")
    pairs = [*((line, ("plot", plot)) for line, plot in sown), *((line, ("lot", lot)) for line, lot in _bought(lines))]
    for line, target in pairs:
        lineage.add(Step(("line", line), target, ALL))
    crosses = {node_for("cross", cross) for cross in lineage.rows("cross")}
    return crosses | {node_for(kind, row) for _line, (kind, row) in pairs}


def plots_of(line: Line) -> QuerySet[Any]:
    """The plots of a line and of the lines that were merged into it."""
    return _plots().filter(now=line.pk)


def _plots() -> QuerySet[Any]:
    return Plot.objects.annotate(now=_NOW)


def _bought(lines: Collection[int]) -> list[tuple[int, int]]:
    """Lots of these lines that came from a sender outside: line and lot."""
    standings = Standing.objects.annotate(now=_NOW).filter(now__in=lines, made_by__kind="receive")
    lots = {node(NodeKind.LOT, lot): (line, lot) for line, lot in standings.values_list("now", "lot_id")}
    links = Link.objects.filter(child__in=lots, is_sowing=False).values_list("parent", "child")
    return [lots[child] for parent, child in links if kind_of(parent) is NodeKind.SENDER]


def _follow(lineage: Lineage, pairs_from: Callable[[Collection[Key]], list[Pair]]) -> None:
    """Follow a pedigree generation by generation, each line and cross once."""
    done: set[Key] = set()
    while fresh := {key for key in lineage.met if key[0] in ("line", "cross")} - done:
        done |= fresh
        for source, target in pairs_from(fresh):
            is_line_of_cross = target[0] == "line"
            lineage.add(Step(source, target, ALL if is_line_of_cross else None))


def _crosses_above(keys: Collection[Key]) -> list[Pair]:
    lines = Line.objects.filter(pk__in=_rows(keys, "line"), cross__isnull=False).values_list("cross_id", "pk")
    pairs: list[Pair] = [(("cross", cross or 0), ("line", line)) for cross, line in lines]
    for cross in crosses_with_parents(Q(pk__in=_rows(keys, "cross"))):
        pairs += [(parent, ("cross", cross["pk"])) for parent in parents_of_cross(cross)]
    return pairs


def _offspring_of(keys: Collection[Key]) -> list[Pair]:
    crosses = _rows(keys, "cross")
    bred = Line.objects.filter(cross__in=crosses, merged_into__isnull=True).values_list("cross_id", "pk")
    pairs: list[Pair] = [(("cross", cross or 0), ("line", line)) for cross, line in bred]
    lines = _rows(keys, "line")
    made = Q(mother__in=lines) | Q(father__in=lines) | Q(female_cross__in=crosses) | Q(male_cross__in=crosses)
    for cross in crosses_with_parents(made):
        pairs += [(parent, ("cross", cross["pk"])) for parent in parents_of_cross(cross) if parent in keys]
    return pairs


def crosses_with_parents(wanted: Q) -> list[dict[str, Any]]:
    """Read crosses with their parents as they are called now: `mother`, `father`, `female_cross`, `male_cross`."""
    crosses = Cross.objects.annotate(
        mother=Coalesce("female__merged_into_id", F("female_id")), father=Coalesce("male__merged_into_id", F("male_id"))
    )
    return [dict(row) for row in crosses.filter(wanted).values("pk", "mother", "father", "female_cross", "male_cross")]


def parents_of_cross(cross: dict[str, Any]) -> list[Key]:
    """The parents of a cross, female first."""
    found = [
        ("line", cross["mother"]), ("cross", cross["female_cross"]),
        ("line", cross["father"]), ("cross", cross["male_cross"]),
    ]  # fmt: skip
    return [(kind, row) for kind, row in found if row is not None]


def _rows(keys: Collection[Key], kind: str) -> list[int]:
    return [row for word, row in keys if word == kind and isinstance(row, int)]
