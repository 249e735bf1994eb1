"""Lots as seed lots: what is left of them is the ledger's own sum, their mixture the shares of what went in."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db.models import BigIntegerField, Max, OuterRef, Q, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from api.brapi.asked import Asked, uuids
from api.brapi.core import place_id, station_location_id
from api.brapi.filters import CROP_AND_PROGRAM, by_query, by_uid, program_id
from api.brapi.outside import Names, by_references, names_of
from api.brapi.things import Things
from api.brapi.told import extra, instant, references
from inventory.models import Cross, Entry, Line, Link, Lot, Plot, Standing, Stock
from inventory.queries.mixtures import Made, mixtures_of
from inventory.queries.uses import in_parts
from inventory.rules.mass import MG_PER_KG, MG_PER_UNIT, kg_text, read_unit
from inventory.rules.nodes import NodeKind, key_of, kind_of, node
from inventory.rules.percents import whole_percents

HARVESTED_FROM = "harvested-from"
KG = "kg"


@dataclass(frozen=True)
class Facts:
    """What is asked at once for a page of lots."""

    stock: Mapping[int, Sequence[Stock]]
    changed: Mapping[int, Any]
    mixtures: Mapping[int, Mapping[Made, Any]]
    things: Mapping[Made, Line | Cross]
    plots: Mapping[int, Sequence[str]]
    names: Mapping[UUID, Names]


def standing_lots(asked: Asked) -> "QuerySet[Standing]":
    """Give the lots whose making stands, with what is left of each."""
    here = Stock.objects.filter(lot=OuterRef("lot_id")).order_by().values("lot")
    left = Coalesce(Subquery(here.annotate(sum=Sum("mg")).values("sum")), 0, output_field=BigIntegerField())
    lots = Standing.objects.filter(station=asked.station, made_by__isnull=False)
    return lots.select_related("lot", "line", "made_by").annotate(left_mg=left)


def amount_in(mg: int, units: str) -> float:
    """Write a mass as the number that this standard wants, in a unit of ours; the exact one stands beside it as text.

    Args:
        mg: mass [mg].
        units: as they were sent, or kg.
    """
    per_unit = MG_PER_UNIT.get(read_unit(units) or "", MG_PER_KG)
    return float(Decimal(mg) / Decimal(per_unit))


def tell_lots(rows: Sequence[Any], asked: Asked) -> list[dict[str, Any]]:
    """Tell a page of lots (9 queries, and 2 a step of blending upon blending)."""
    facts = _facts(rows)
    return [_told(row, facts, asked) for row in rows]


def _facts(rows: Sequence[Standing]) -> Facts:
    keys = [row.lot_id for row in rows]
    mixtures = mixtures_of(rows)
    return Facts(
        _stock_of(keys), _changed(keys), mixtures, _things(mixtures.values()), _plots_of(keys),
        names_of(row.lot.uid for row in rows),
    )  # fmt: skip


def _stock_of(keys: Sequence[int]) -> dict[int, list[Stock]]:
    found: dict[int, list[Stock]] = defaultdict(list)
    for some in in_parts(keys):
        for row in Stock.objects.filter(lot__in=some, mg__gt=0).select_related("place").order_by("place__code", "pk"):
            found[row.lot_id].append(row)
    return found


def _changed(keys: Sequence[int]) -> dict[int, Any]:
    """Say when each lot was last moved, by the act's own time (1 query for 500)."""
    found: dict[int, Any] = {}
    for some in in_parts(keys):
        rows = Entry.objects.filter(lot__in=some).order_by().values_list("lot_id")
        found.update(dict(rows.annotate(last=Max("operation__recorded_at"))))
    return found


def _things(mixtures: Iterable[Mapping[Made, Any]]) -> dict[Made, Line | Cross]:
    wanted = {made for mixture in mixtures for made in mixture}
    found: dict[Made, Line | Cross] = {}
    for some in in_parts([key for kind, key in wanted if kind == "line"]):
        found.update({("line", line.pk): line for line in Line.objects.filter(pk__in=some)})
    for some in in_parts([key for kind, key in wanted if kind == "cross"]):
        found.update({("cross", cross.pk): cross for cross in Cross.objects.filter(pk__in=some)})
    return found


def _plots_of(keys: Sequence[int]) -> dict[int, list[str]]:
    """Give the uids of the plots that lots were harvested from (2 queries for 500)."""
    came: list[tuple[int, int]] = []
    for some in in_parts([node(NodeKind.LOT, key) for key in keys]):
        links = Link.objects.filter(child__in=some, is_sowing=False).order_by("pk").values_list("child", "parent")
        came += [(key_of(child), key_of(parent)) for child, parent in links if kind_of(parent) is NodeKind.PLOT]
    uids: dict[int, UUID] = {}
    for some in in_parts(sorted({plot for _lot, plot in came})):
        uids.update(dict(Plot.objects.filter(pk__in=some).values_list("pk", "uid")))
    found: dict[int, list[str]] = defaultdict(list)
    for lot, plot in came:
        found[lot].append(str(uids[plot]))
    return found


def _told(row: Any, facts: Facts, asked: Asked) -> dict[str, Any]:
    stock, names = facts.stock.get(row.lot_id, ()), facts.names.get(row.lot.uid, Names())
    places = {one.place_id: one.place for one in stock}
    only = next(iter(places.values())) if len(places) == 1 else None
    units = names.units or KG
    plots = [(HARVESTED_FROM, uid) for uid in facts.plots.get(row.lot_id, ())]
    mixture = facts.mixtures[row.lot_id]
    return {
        "seedLotDbId": str(row.lot.uid),
        "seedLotName": names.name or row.lot.number,
        "seedLotDescription": _description(row),
        "programDbId": program_id(asked.station),
        "programName": asked.station.name,
        "locationDbId": place_id(asked.station, only.pk) if only else station_location_id(asked.station),
        "locationName": (only.name or only.code) if only else asked.station.name,
        "storageLocation": ", ".join(place.code for place in places.values()),
        "createdDate": instant(row.made_at),
        "lastUpdated": instant(facts.changed.get(row.lot_id) or row.made_at),
        "amount": amount_in(row.left_mg, units),
        "units": units,
        "contentMixture": _mixture(mixture, facts.things),
        "externalReferences": references(*plots, *names.references),
        "additionalInfo": extra(
            lotNumber=row.lot.number, exactAmount=f"{kg_text(row.left_mg)} kg", cropYear=row.crop_year,
            generation=row.generation, treated=row.treated,
            exactMixture=_exact(mixture, facts.things) if len(mixture) > 1 else None,
        ),
    }  # fmt: skip


def _description(row: Any) -> str:
    line = row.line.name if row.line else "a mixture"
    return f"Lot {row.lot.number}, {line}"


def _mixture(mixture: Mapping[Made, Any], things: Mapping[Made, Line | Cross]) -> list[dict[str, Any]]:
    told = []
    for made, percent in whole_percents(mixture).items():
        thing = things[made]
        named = {"germplasmDbId": str(thing.uid), "germplasmName": name_of_made(thing)}
        if isinstance(thing, Cross):
            named |= {"crossDbId": str(thing.uid), "crossName": thing.code}
        told.append({**named, "mixturePercentage": percent})
    return told


def name_of_made(thing: Line | Cross) -> str:
    """Give the name of a line, or the code of a cross."""
    return thing.name if isinstance(thing, Line) else thing.code


def _exact(mixture: Mapping[Made, Any], things: Mapping[Made, Line | Cross]) -> str:
    return "; ".join(f"{name_of_made(things[made])} {share}" for made, share in mixture.items())


def lots_of_lines(condition: Q) -> Q:
    """Keep lots that hold one of some lines, whole or blended: those of the line, and all that was made of them."""
    own = Standing.objects.filter(condition, line__isnull=False, made_by__isnull=False).values_list("lot_id", flat=True)
    return Q(lot__in=_with_blends(list(own)))


def lots_of_crosses(condition: Q, asked: Asked) -> Q:
    """Keep lots that were received from one of some crosses, and blends of these."""
    crosses = Cross.objects.filter(condition, station=asked.station).values_list("pk", flat=True)
    nodes = [node(NodeKind.CROSS, key) for key in crosses]
    own = [
        key_of(child)
        for some in in_parts(nodes)
        for child in Link.objects.filter(parent__in=some).values_list("child", flat=True)
        if kind_of(child) is NodeKind.LOT
    ]
    return Q(lot__in=_with_blends(own))


def _with_blends(lots: list[int]) -> list[int]:
    """Add the lots without a line of their own that were made of these, however many steps on."""
    found, edge = set(lots), list(lots)
    while edge:
        nodes = [node(NodeKind.LOT, key) for key in edge]
        children = {
            key_of(child)
            for some in in_parts(nodes)
            for child in Link.objects.filter(parent__in=some, is_sowing=False).values_list("child", flat=True)
            if kind_of(child) is NodeKind.LOT
        }
        blends = Standing.objects.filter(lot__in=children - found, line__isnull=True, made_by__isnull=False)
        edge = list(blends.values_list("lot_id", flat=True))
        found.update(edge)
    return sorted(found)


def _lower(values: Iterable[str]) -> list[str]:
    return [value.casefold() for value in values]


def _cross_or_line(values: list[str], asked: Asked) -> Q:
    return lots_of_lines(Q(station=asked.station, line__uid__in=uuids(values))) | lots_of_crosses(
        Q(uid__in=uuids(values)), asked
    )


def _named(values: list[str], asked: Asked) -> Q:
    lines = Line.objects.filter(station=asked.station).values_list("pk", "name")
    keys = [key for key, name in lines if name.casefold() in _lower(values)]
    return lots_of_lines(Q(station=asked.station, line__in=keys)) | _cross_named(values, asked)


def _cross_named(values: list[str], asked: Asked) -> Q:
    codes = Cross.objects.filter(station=asked.station).values_list("pk", "code")
    return lots_of_crosses(Q(pk__in=[key for key, code in codes if code.casefold() in _lower(values)]), asked)


GERMPLASM = {
    "germplasmDbId": by_query(_cross_or_line),
    "germplasmName": by_query(_named),
    "crossDbId": by_query(lambda values, asked: lots_of_crosses(Q(uid__in=uuids(values)), asked)),
    "crossName": by_query(_cross_named),
}


def lot_by_uid(asked: Asked, uids: Iterable[str]) -> dict[str, Lot]:
    """Find lots of the station by their DbIds (1 query)."""
    lots = Lot.objects.filter(station=asked.station, uid__in=uuids(uids), standing__made_by__isnull=False)
    return {str(lot.uid): lot for lot in lots}


def seed_lots(**writes: Any) -> Things:
    """Give the list of seed lots with what is written there."""
    return Things(
        "seedlots", "seed lot", "seedLotDbId", standing_lots, tell_lots,
        {**CROP_AND_PROGRAM, **by_references("lot__uid"), **GERMPLASM, "seedLotDbId": by_uid("lot__uid")}, **writes,
    )  # fmt: skip
