"""What happened to the lots of a line, or to one lot, along the years: for a drawing with one row each."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet, Sum

from inventory.models import Line, Link, Moisture, Plot, Standing, Station, Stock
from inventory.models.triggers import append_only_models
from inventory.queries.anything import ThingKind, find_anything
from inventory.queries.today import today_at
from inventory.rules.mistakes import Mistake
from inventory.rules.moisture import storage_advice
from inventory.rules.nodes import NodeKind, key_of, node

MOST_ROWS = 60


class NoSeason(Mistake):
    """What was named has no season of its own."""

    code = "no_season"

    def __init__(self, name: str, kind: str) -> None:
        super().__init__(f"{name} is a {kind}. Name a line or a lot to see its seasons.")


@dataclass(frozen=True)
class Mark:
    """An act on a day."""

    day: date
    kind: str


@dataclass(frozen=True)
class Row:
    """A plot from sowing to harvest, or a lot from its making until nothing was left.

    Args:
        end: None where it still stands.
        wet: spells in which it was too wet to keep; an open one ends with the row.
    """

    kind: str
    name: str
    start: date
    end: date | None
    marks: tuple[Mark, ...] = ()
    wet: tuple[tuple[date, date | None], ...] = ()


@dataclass(frozen=True)
class Season:
    """All rows, the oldest first, and how many of them were left out."""

    kind: str
    ref: str
    line: Line | None
    rows: tuple[Row, ...]
    today: date
    left_out: int = 0


def season_of(station: Station, typed: str) -> Season:
    """Tell a line's or a lot's seasons (about 10 queries, however many lots there are).

    Raises:
        Mistake: nothing is called so, or it is neither a line nor a lot.
    """
    thing = find_anything(station, typed)
    if thing.kind not in (ThingKind.LINE, ThingKind.LOT):
        raise NoSeason(thing.id, thing.kind)
    standings = Standing.objects.filter(station=station, made_by__isnull=False, made_at__isnull=False)
    if thing.kind is ThingKind.LOT:
        lots, plots = standings.filter(lot=thing.keys[0]), Plot.objects.none()
    else:
        lots = standings.filter(Q(line=thing.keys[0]) | Q(line__merged_into=thing.keys[0]))
        plots = Plot.objects.filter(Q(line=thing.keys[0]) | Q(line__merged_into=thing.keys[0]), taken_back=False)
    today, zone = today_at(station), ZoneInfo(station.zone)
    found = [*_lot_rows(lots, zone), *_plot_rows(plots, zone, today)]
    rows = sorted(found, key=lambda row: (row.start, row.name))
    line = Line.objects.get(pk=thing.keys[0]) if thing.kind is ThingKind.LINE else None
    return Season(str(thing.kind), thing.id, line, tuple(rows[-MOST_ROWS:]), today, max(0, len(rows) - MOST_ROWS))


def _lot_rows(standings: QuerySet[Standing], zone: ZoneInfo) -> Iterable[Row]:
    lots = list(standings.select_related("lot").order_by("made_at"))
    keys = [one.lot_id for one in lots]
    marks, wet = _marks(keys, zone), _wet(keys, zone)
    left = dict(Stock.objects.filter(lot__in=keys).order_by().values_list("lot").annotate(Sum("mg")))
    for one in lots:
        acts = marks.get(one.lot_id, [])
        start = _day(one.made_at, zone) if one.made_at else acts[0].day
        end = None if left.get(one.lot_id) else max([start, *(mark.day for mark in acts)])
        yield Row("lot", one.lot.number, start, end, tuple(acts), tuple(wet.get(one.lot_id, ())))


def _marks(lots: list[int], zone: ZoneInfo) -> dict[int, list[Mark]]:
    """The acts upon each lot that stand, by day (1 query over every table that keeps some)."""
    first, *others = [
        model._default_manager.filter(
            **{f"{name}__in": lots}, operation__reversed_by__isnull=True, operation__reverses__isnull=True
        ).order_by().values_list(name, "operation__kind", "operation__at")
        for model in append_only_models()
        for name in {field.name for field in model._meta.concrete_fields} & {"lot", "feed_lot"}
    ]  # fmt: skip
    found: dict[int, set[Mark]] = {}
    rows: Iterable[tuple[int, str, Any]] = first.union(*others) if lots else ()
    for lot, kind, at in rows:
        found.setdefault(lot, set()).add(Mark(_day(at, zone), kind))
    return {lot: sorted(acts, key=lambda mark: (mark.day, mark.kind)) for lot, acts in found.items()}


def _wet(lots: list[int], zone: ZoneInfo) -> Mapping[int, list[tuple[date, date | None]]]:
    """From a reading that is too wet to keep to the next that is not."""
    readings = Moisture.objects.filter(lot__in=lots, operation__reversed_by__isnull=True)
    found: dict[int, list[tuple[date, date | None]]] = {}
    rows = readings.order_by("operation__at", "operation__seq")
    for lot, percent, at in rows.values_list("lot", "wet_basis_pct", "operation__at"):
        spells, day = found.setdefault(lot, []), _day(at, zone)
        is_open = bool(spells) and spells[-1][1] is None
        if storage_advice(Decimal(percent)):
            spells.extend([] if is_open else [(day, None)])
        elif is_open:
            spells[-1] = (spells[-1][0], day)
    return found


def _plot_rows(plots: QuerySet[Plot], zone: ZoneInfo, today: date) -> Iterable[Row]:
    """Plots from sowing to their last delivery; one that never came in ends as it began, but for this season's."""
    sown = list(plots.filter(sown_on__isnull=False))
    nodes = [node(NodeKind.PLOT, plot.pk) for plot in sown]
    links = Link.objects.filter(parent__in=nodes, is_sowing=False).order_by("operation__at")
    came_in = {key_of(parent): _day(at, zone) for parent, at in links.values_list("parent", "operation__at")}
    for plot in sown:
        if plot.sown_on:
            end = came_in.get(plot.pk) or (None if plot.season >= today.year else plot.sown_on)
            marks = [Mark(plot.sown_on, "sow")]
            if plot.pk in came_in:
                marks.append(Mark(came_in[plot.pk], "harvest"))
            yield Row("plot", plot.code, plot.sown_on, end, tuple(marks))


def _day(moment: datetime, zone: ZoneInfo) -> date:
    return moment.astimezone(zone).date()
