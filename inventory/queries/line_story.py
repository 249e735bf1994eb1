"""A line as its breeder looks at it: its seed now, its sister lines, its seasons, and what was said of it."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from django.db.models import Q, Sum

from inventory.models import Feedback, Line, LineName, Link, Standing, Station, Stock
from inventory.queries.finding import find_line
from inventory.queries.stocking import StockRow, stock
from inventory.rules.nodes import NodeKind, key_of, kind_of, node

FROM_THE_LINE = ("clean", "size", "sort", "blend")


@dataclass(frozen=True)
class LineLot:
    """A lot of the line with seed left.

    Args:
        mg, in_bags, promised: what is left, what of it is in bags, what of it is promised [mg].
        is_clean: it came out of a run or a blend, or was split from such.
    """

    number: str
    opening: int
    mg: int
    in_bags: int
    promised: int
    is_clean: bool
    is_treated: bool
    hold: str
    places: tuple[str, ...]
    grade: str
    germination: str
    made_at: str


@dataclass(frozen=True)
class Sister:
    """Another line of the same cross, with what is left of it [mg]."""

    name: str
    mg: int


@dataclass(frozen=True)
class LineStory:
    """All that a line's page shows; masses in mg."""

    line: Line
    also: tuple[str, ...]  # every other name it ever had
    lots: tuple[LineLot, ...]
    sisters: tuple[Sister, ...]
    said: tuple[Feedback, ...]

    @property
    def clean(self) -> int:
        """What is left of clean seed."""
        return sum(lot.mg for lot in self.lots if lot.is_clean)

    @property
    def raw(self) -> int:
        """What is left of seed that was not cleaned."""
        return sum(lot.mg for lot in self.lots if not lot.is_clean)

    @property
    def in_bags(self) -> int:
        """What of it is in bags."""
        return sum(lot.in_bags for lot in self.lots)

    @property
    def promised(self) -> int:
        """What of it is promised."""
        return sum(lot.promised for lot in self.lots)

    @property
    def places(self) -> tuple[str, ...]:
        """Where it stands."""
        return tuple(sorted({place for lot in self.lots for place in lot.places}))


def line_story(station: Station, typed: str, person: str = "") -> LineStory:
    """Tell a line (18 queries, however many lots it has).

    Raises:
        Mistake: no line is called so.
    """
    found, _notes = find_line(station, typed)
    parents = ("female", "male", "female_cross", "male_cross")
    line = Line.objects.select_related("market_class", *(f"cross__{name}" for name in parents)).get(pk=found.pk)
    names = LineName.objects.filter(Q(line=line) | Q(line__merged_into=line)).exclude(name=line.name)
    said = Feedback.objects.filter(Q(line=line) | Q(line__merged_into=line), operation__reversed_by__isnull=True)
    return LineStory(
        line=line,
        also=tuple(names.order_by("name").values_list("name", flat=True)),
        lots=_lots(station, stock(station, line=line.name, person=person)),
        sisters=_sisters(line),
        said=tuple(said.select_related("operation").order_by("-operation__at", "-operation__seq")),
    )


def lines_in_store(station: Station) -> list[tuple[Line, int]]:
    """List every line with what is left of it [mg], by name (2 queries)."""
    left: dict[int, int] = {}
    rows = Stock.objects.filter(station=station, mg__gt=0, lot__standing__line__isnull=False)
    for line, into, mg in rows.values_list("lot__standing__line", "lot__standing__line__merged_into").annotate(
        Sum("mg")
    ):
        left[into or line] = left.get(into or line, 0) + mg
    lines = Line.objects.filter(station=station, merged_into__isnull=True).select_related("market_class", "cross")
    return [(line, left.get(line.pk, 0)) for line in lines.order_by("name")]


def _lots(station: Station, rows: Iterable[StockRow]) -> tuple[LineLot, ...]:
    by_lot: dict[str, list[StockRow]] = {}
    for row in rows:
        by_lot.setdefault(row.lot, []).append(row)
    standings = Standing.objects.filter(station=station, lot__number__in=by_lot, made_by__isnull=False)
    known = {one.lot.number: one for one in standings.select_related("lot", "made_by")}
    clean, bags = _clean(known.values()), _in_bags(one.lot_id for one in known.values())
    found = [_one(known[number], rows, clean, bags) for number, rows in by_lot.items() if number in known]
    return tuple(sorted(found, key=lambda lot: lot.made_at, reverse=True))


def _one(standing: Standing, rows: list[StockRow], clean: Collection[int], bags: dict[int, int]) -> LineLot:
    return LineLot(
        number=standing.lot.number,
        opening=standing.opening_mg,
        mg=sum(row.mg for row in rows),
        in_bags=bags.get(standing.lot_id, 0),
        promised=sum(row.promised_mg for row in rows),
        is_clean=standing.lot_id in clean,
        is_treated=standing.treated,
        hold=rows[0].hold,
        places=tuple(sorted({row.place for row in rows})),
        grade=rows[0].last_grade or "",
        germination=rows[0].last_germination or "",
        made_at=standing.made_at.isoformat() if standing.made_at else "",
    )


def _in_bags(lots: Iterable[int]) -> dict[int, int]:
    rows = Stock.objects.filter(lot__in=list(lots), bag_no__gt=0, mg__gt=0).order_by().values_list("lot")
    return dict(rows.annotate(Sum("mg")))


def _clean(standings: Iterable[Standing]) -> set[int]:
    """Find the lots that came out of a run or a blend; what was split from a lot is as clean as that lot."""
    made_by = {one.lot_id: one.made_by.kind for one in standings if one.made_by}
    clean = {lot for lot, kind in made_by.items() if kind in FROM_THE_LINE}
    asked = {lot: lot for lot, kind in made_by.items() if kind == "split"}  # a source -> the lot it stands for
    while asked:
        links = Link.objects.filter(child__in=[node(NodeKind.LOT, lot) for lot in asked], is_sowing=False)
        above = {
            key_of(link.parent): asked[key_of(link.child)] for link in links if kind_of(link.parent) is NodeKind.LOT
        }
        kinds = dict(Standing.objects.filter(lot__in=above).values_list("lot_id", "made_by__kind"))
        clean |= {above[lot] for lot, kind in kinds.items() if kind in FROM_THE_LINE}
        asked = {lot: above[lot] for lot, kind in kinds.items() if kind == "split" and lot not in asked}
    return clean


def _sisters(line: Line) -> tuple[Sister, ...]:
    """Other lines of its cross, those with most seed first (2 queries, none without a cross)."""
    if line.cross_id is None:
        return ()
    lines = Line.objects.filter(cross=line.cross_id, merged_into__isnull=True).exclude(pk=line.pk).order_by("name")
    left = Stock.objects.filter(lot__standing__line__in=lines, mg__gt=0).order_by().values_list("lot__standing__line")
    kept = dict(left.annotate(Sum("mg")))
    return tuple(sorted((Sister(one.name, kept.get(one.pk, 0)) for one in lines), key=lambda one: (-one.mg, one.name)))
