"""The lineage around a thing as steps from source to what came of it, gathered from walks and from what stands beside.

Walks follow seed and sowings. Beside them stand the plot that a plant was picked from, the line that a plot was sown
with, the cross that a line came from and its parents, the shipments that lots left with, and numbered bags.
"""

from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from fractions import Fraction

from inventory.models import Link, Plant, Standing
from inventory.queries.walking import Reached, Walk, walk
from inventory.rules.nodes import NodeKind, key_of, kind_of, node

Key = tuple[str, int | str]  # a kind, and its row; of bags, shipments and other groups, the name
ALL = Fraction(1)
WORDS = {kind: kind.name.lower() for kind in NodeKind}
KINDS = {word: kind for kind, word in WORDS.items()}


@dataclass(frozen=True)
class Step:
    """One step of descent.

    Args:
        source, target: from what, to what.
        share: the fraction of the target's seed that came from the source; None where no seed went along.
        mg: seed that went into the act [mg], where the books have it.
        operation: key of the act, else 0.
        is_assumed: the share was not measured; equal ones were taken.
    """

    source: Key
    target: Key
    share: Fraction | None = None
    mg: Fraction | None = None
    operation: int = 0
    is_assumed: bool = False


@dataclass
class Lineage:
    """Steps around one thing, what its nodes held when they were made [mg], and the lots as the walk read them."""

    ref: Key
    steps: dict[tuple[Key, Key, int], Step] = field(default_factory=dict)
    masses: dict[Key, Fraction] = field(default_factory=dict)
    lots: dict[int, Reached] = field(default_factory=dict)
    met: dict[Key, None] = field(default_factory=dict)
    is_truncated: bool = False

    def __post_init__(self) -> None:
        self.met[self.ref] = None

    def add(self, step: Step) -> None:
        """Take in a step; the same one again changes nothing."""
        self.met.update({step.source: None, step.target: None})
        self.steps[(step.source, step.target, step.operation)] = step

    def rows(self, kind: str) -> list[int]:
        """List the rows of one kind that were met."""
        return [row for word, row in self.met if word == kind and isinstance(row, int)]

    def take(self, reached: Walk, *, forward: bool) -> None:
        """Take in a walk; links to nodes beyond its end are left out."""
        self.is_truncated = self.is_truncated or reached.is_truncated
        there = {row.node for row in reached.rows}
        for row in reached.rows:
            self._meet(row)
            if row.other in there:
                self.add(_step(row, forward=forward))

    def _meet(self, row: Reached) -> None:
        key = key_for(row.node)
        self.met[key] = None
        if key[0] == "lot" and key not in self.masses:
            self.lots[key_of(row.node)] = row
            self.masses[key] = Fraction(row.opening_mg or 0)


def key_for(number: int) -> Key:
    """Name a node of a walk."""
    return WORDS[kind_of(number)], key_of(number)


def node_for(kind: str, row: int) -> int:
    """Number a row of a kind for a walk."""
    return node(KINDS[kind], row)


def _step(row: Reached, *, forward: bool) -> Step:
    parent, child = (row.node, row.other or 0) if forward else (row.other or 0, row.node)
    weighed = kind_of(parent) is NodeKind.LOT and (row.is_sowing or not row.is_assumed)
    return Step(
        source=key_for(parent),
        target=key_for(child),
        share=None if row.is_sowing else Fraction(row.weight, row.total),
        mg=Fraction(row.weight) if weighed else None,
        operation=row.operation,
        is_assumed=bool(row.is_assumed),
    )


def walk_on(lineage: Lineage, nodes: Collection[int], *, forward: bool, most: int) -> None:
    """Walk from nodes, and on over single plants: one query, and two more for each time plants stand on the way."""
    walked: set[int] = set()
    fresh = set(nodes)
    while fresh:
        lineage.take(walk(sorted(fresh), forward=forward, most=most), forward=forward)
        walked |= {node_for(kind, row) for kind, row in lineage.met if kind in KINDS and isinstance(row, int)}
        fresh = {number for number in _over_plants(lineage, forward=forward) if number not in walked}


def _over_plants(lineage: Lineage, *, forward: bool) -> set[int]:
    """Step between plants and the plots they were picked from, and say where to walk on (1 query where any stand)."""
    wanted = {"plot__in": lineage.rows("plot")} if forward else {"pk__in": lineage.rows("plant")}
    if not any(wanted.values()):
        return set()
    pairs = Plant.objects.filter(**wanted).values_list("pk", "plot_id")
    fresh = {node_for("plant", plant) if forward else node_for("plot", plot) for plant, plot in pairs}
    for plant, plot in pairs:
        lineage.add(Step(("plot", plot), ("plant", plant), ALL))
    return fresh


def weigh_harvests(lineage: Lineage) -> None:
    """Work out what plots, plants and senders gave: the sum of what went into lots (3 queries)."""
    gave: dict[Key, Fraction] = {}
    belongs = dict(Plant.objects.filter(plot__in=lineage.rows("plot")).values_list("pk", "plot_id"))
    sources = [*((kind, row) for kind in ("plot", "plant", "sender") for row in lineage.rows(kind))]
    nodes = {node_for(kind, row) for kind, row in [*sources, *(("plant", plant) for plant in belongs)]}
    links = list(
        Link.objects.filter(parent__in=nodes, is_sowing=False).values_list("parent", "child", "weight", "total")
    )
    openings = _openings(child for _parent, child, _weight, _total in links)
    for parent, child, weight, total in links:
        gave[key_for(parent)] = gave.get(key_for(parent), Fraction(0)) + Fraction(weight, total) * openings.get(
            child, 0
        )
    for plant, plot in belongs.items():
        gave[("plot", plot)] = gave.get(("plot", plot), Fraction(0)) + gave.get(("plant", plant), Fraction(0))
    lineage.masses.update({source: gave[source] for source in sources if source in gave})


def _openings(children: Iterable[int]) -> dict[int, int]:
    lots = {key_of(child) for child in children if kind_of(child) is NodeKind.LOT}
    standings = Standing.objects.filter(lot__in=lots, made_by__isnull=False).values_list("lot_id", "opening_mg")
    return {node(NodeKind.LOT, lot): mg for lot, mg in standings}
