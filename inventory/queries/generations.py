"""How far seed has been selfed: the generation of a lot or plot, and a line's generation book."""

from collections.abc import Collection
from dataclasses import dataclass
from fractions import Fraction

from django.db.models import Value

from inventory.models import Line, Link, Lot, Plant, Plot, Standing
from inventory.queries.descending import plots_of
from inventory.queries.lineage import Key, Lineage, node_for, walk_on
from inventory.queries.walking import MOST_NODES
from inventory.rules.generations import Mixture, Source, mixed_heterozygosity, mixture_words, mixtures
from inventory.rules.nodes import NodeKind, key_of, kind_of

F1 = 1
PLANNED_SEASONS = 10  # selfing to about the F10 before a release: common practice, no source
BULK, SINGLE_PLANT, PLANT_TO_ROW = "bulk", "single plant", "plant to row"


@dataclass(frozen=True)
class Generation:
    """The generations in some seed: an exact mixture."""

    mixture: Mixture

    @property
    def words(self) -> str:
        """The mixture as breeders write it, "" where it is not known."""
        return mixture_words(self.mixture)

    @property
    def heterozygosity(self) -> Fraction | None:
        """The part of the F1's heterozygosity that is expected to be left [1]."""
        return mixed_heterozygosity(self.mixture)


@dataclass(frozen=True)
class BookRow:
    """One season of a line on one plot.

    Args:
        season_no: this season is the n-th of the line, of `planned`.
        sown_from: lots by number, or the note that stands for them.
        how: bulk, single plant or plant to row; "" where it is not known what was sown.
        generation: of the seed harvested here.
    """

    season: int
    season_no: int
    planned: int
    plot: str
    sown_from: tuple[str, ...]
    how: str
    generation: Generation


def generation_of(lot: Lot) -> Generation:
    """Say the generation of a lot: declared with it or with a plot, else one more for each sowing and harvest."""
    return generations_of("lot", [lot.pk])[lot.pk]


def generations_of(kind: str, rows: Collection[int]) -> dict[int, Generation]:
    """Say the generations of lots or plots: one walk and one query for all of them."""
    asked: Key = ("asked", "")
    lineage = Lineage(asked)
    walk_on(lineage, [node_for(kind, row) for row in rows], forward=False, most=MOST_NODES)
    declared, sources = _declared(lineage), _sources(lineage)
    sources[asked] = [((kind, row), Source(Fraction(1))) for row in rows]
    found = mixtures(asked, sources, declared)
    return {row: Generation(found[(kind, row)]) for row in rows}


def _declared(lineage: Lineage) -> dict[Key, int]:
    """Generations that were entered as a number, and crosses, whose seed is F1."""
    of_lots = Standing.objects.filter(lot__in=lineage.rows("lot"), generation__isnull=False)
    of_plots = Plot.objects.filter(pk__in=lineage.rows("plot"), generation__isnull=False)
    lots = of_lots.annotate(what=Value("lot")).values_list("what", "lot_id", "generation")
    plots = of_plots.annotate(what=Value("plot")).values_list("what", "pk", "generation")
    declared: dict[Key, int] = {("cross", cross): F1 for cross in lineage.rows("cross")}
    return declared | {(what, row): generation or F1 for what, row, generation in lots.union(plots, all=True)}


def _sources(lineage: Lineage) -> dict[Key, list[tuple[Key, Source]]]:
    sources: dict[Key, list[tuple[Key, Source]]] = {}
    for step in lineage.steps.values():
        is_sowing = step.share is None
        weight = step.mg if is_sowing else step.share
        sources.setdefault(step.target, []).append((step.source, Source(weight or Fraction(1), is_sowing)))
    return sources


def generation_book(line: Line, *, planned: int = PLANNED_SEASONS) -> list[BookRow]:
    """Write a line's generation book, oldest season first: about eight queries, however long it is.

    Args:
        planned: seasons that are planned until the line is fixed.
    """
    plots = list(plots_of(line).order_by("season", "code"))
    seasons = sorted({plot.season for plot in plots})
    generations = generations_of("plot", [plot.pk for plot in plots])
    sown, how = _sown_from(plots)
    return [
        BookRow(
            season=plot.season,
            season_no=seasons.index(plot.season) + 1,
            planned=planned,
            plot=plot.code,
            sown_from=tuple(sown.get(plot.pk, [])) or ((plot.sown_from_note,) if plot.sown_from_note else ()),
            how=how.get(plot.pk, ""),
            generation=generations[plot.pk],
        )
        for plot in plots
    ]


def _sown_from(plots: Collection[Plot]) -> tuple[dict[int, list[str]], dict[int, str]]:
    """Which lots each plot was sown with, and how that seed was taken."""
    nodes = {node_for("plot", plot.pk): plot.pk for plot in plots}
    links = list(Link.objects.filter(child__in=nodes, is_sowing=True).order_by("pk").values_list("child", "parent"))
    numbers = Lot.objects.in_bulk({key_of(parent) for _child, parent in links})
    taken = _how_taken(numbers)
    sown: dict[int, list[str]] = {}
    how: dict[int, str] = {}
    for child, parent in links:
        lot = key_of(parent)
        sown.setdefault(nodes[child], []).append(numbers[lot].number)
        how[nodes[child]] = taken.get(lot, BULK)
    return sown, how


def _how_taken(lots: Collection[int]) -> dict[int, str]:
    """Lots that were taken from single plants or rows."""
    children = {node_for("lot", lot): lot for lot in lots}
    links = Link.objects.filter(child__in=children, is_sowing=False).values_list("child", "parent")
    plants = {children[child]: key_of(parent) for child, parent in links if kind_of(parent) is NodeKind.PLANT}
    rows = dict(Plant.objects.filter(pk__in=plants.values()).values_list("pk", "is_row"))
    return {lot: PLANT_TO_ROW if rows[plant] else SINGLE_PLANT for lot, plant in plants.items()}
