"""Plots and samples as observation units."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC
from typing import Any
from uuid import UUID

from django.db.models import F, Q
from django.db.models.functions import ExtractYear, Lower

from api.brapi.asked import Asked, uuids
from api.brapi.core import site_id, station_location_id
from api.brapi.filters import CROP_AND_PROGRAM, Narrow, program_id
from api.brapi.outside import OURS, Names, names_of
from api.brapi.studies import GRADING, grading_study_id, studies_called, studies_of, study_id, trial_id
from api.brapi.things import Fitting
from api.brapi.told import CROP, extra, references
from api.brapi.two_parts import NOTHING, TwoParts, both, fitting_one
from api.models import ForeignName
from grading.models import Sample
from grading.queries.blind import hidden_from
from grading.queries.finding import standing_samples
from inventory.models import Line, Link, Lot, Plot
from inventory.queries.uses import in_parts
from inventory.rules.nodes import NodeKind, key_of, kind_of, node

PLOT, SAMPLE = "plot", "sample"


@dataclass(frozen=True)
class UnitFacts:
    """What is asked at once for a page of units."""

    sown: Mapping[int, Lot]
    names: Mapping[UUID, Names]
    studies: Mapping[str, str]


def plots_and_samples(asked: Asked) -> TwoParts:
    """Give plots, then samples that the account may know the lot of."""
    plots = Plot.objects.filter(station=asked.station, taken_back=False).select_related("site", "line__merged_into")
    samples = standing_samples(asked.station).exclude(pk__in=hidden_from(asked.station, asked.person))
    # A sample has no uid of its own; that of the act that drew it is one, since each act draws one.
    return TwoParts(plots, samples.annotate(drawn=ExtractYear("operation__at", tzinfo=UTC), uid=F("operation__uid")))


def unit_id(unit: Plot | Sample) -> str:
    """Give the DbId of a unit."""
    return str(unit.uid if isinstance(unit, Plot) else unit.operation.uid)


def tell_units(units: Sequence[Any], asked: Asked) -> list[dict[str, Any]]:
    """Tell a page of units (about 7 queries)."""
    facts = UnitFacts(
        _sown_from([unit.pk for unit in units if isinstance(unit, Plot)]),
        names_of(UUID(unit_id(unit)) for unit in units),
        {study["studyDbId"]: study["studyName"] for study in studies_of(asked.station)},
    )
    return [_told(unit, facts, asked) for unit in units]


def _sown_from(plots: Sequence[int]) -> dict[int, Lot]:
    """Give the lot that each plot was sown from, the newest one where there are several (2 queries for 500)."""
    sown: dict[int, int] = {}
    for some in in_parts([node(NodeKind.PLOT, key) for key in plots]):
        links = Link.objects.filter(child__in=some, is_sowing=True).order_by("operation__seq")
        pairs = links.values_list("child", "parent")
        sown.update({key_of(child): key_of(parent) for child, parent in pairs if kind_of(parent) is NodeKind.LOT})
    lots: dict[int, Lot] = {}
    for some in in_parts(sorted(set(sown.values()))):
        lots.update(Lot.objects.in_bulk(some))
    return {plot: lots[lot] for plot, lot in sown.items()}


def _told(unit: Plot | Sample, facts: UnitFacts, asked: Asked) -> dict[str, Any]:
    names = facts.names.get(UUID(unit_id(unit)), Names())
    told = _plot(unit, facts, asked) if isinstance(unit, Plot) else _sample(unit, asked)
    return {
        "observationUnitDbId": unit_id(unit),
        "programDbId": program_id(asked.station),
        "programName": asked.station.name,
        "externalReferences": references(*names.references),
        **told,
        "observationUnitName": names.name or told["observationUnitName"],
        "studyName": facts.studies.get(told["studyDbId"]),
    }


def _plot(plot: Plot, facts: UnitFacts, asked: Asked) -> dict[str, Any]:
    station, lot, line = asked.station, facts.sown.get(plot.pk), plot.line.merged_into or plot.line
    study = study_id(station, plot.trial, plot.site_id, plot.season)
    return {
        "observationUnitName": plot.code,
        "germplasmDbId": str(line.uid),
        "germplasmName": line.name,
        "seedLotDbId": str(lot.uid) if lot else None,
        "seedLotName": lot.number if lot else None,
        "locationDbId": site_id(station, plot.site_id),
        "locationName": plot.site.name or plot.site.code,
        "studyDbId": study,
        "trialDbId": trial_id(station, plot.trial),
        "trialName": plot.trial,
        "observationUnitPosition": _position(plot, study),
        "additionalInfo": extra(
            commonCropName=CROP, plotCode=plot.code, season=plot.season, areaM2=plot.area_m2, sownOn=plot.sown_on,
            generation=plot.generation, block=plot.is_block,
        ),
    }  # fmt: skip


def _position(plot: Plot, study: str) -> dict[str, Any]:
    above = [{"levelName": "study", "levelOrder": 0, "levelCode": study}]
    rep = [{"levelName": "rep", "levelCode": str(plot.rep)}] if plot.rep is not None else []
    return {
        "entryType": "TEST",
        "observationLevel": {"levelName": PLOT, "levelOrder": 1, "levelCode": plot.code},
        "observationLevelRelationships": above + rep,
        "positionCoordinateX": None if plot.position is None else str(plot.position),
        "positionCoordinateXType": None if plot.position is None else "GRID_COL",
        "positionCoordinateY": None if plot.rep is None else str(plot.rep),
        "positionCoordinateYType": None if plot.rep is None else "GRID_ROW",
    }


def _sample(sample: Any, asked: Asked) -> dict[str, Any]:
    study = grading_study_id(asked.station, sample.drawn)
    return {
        "observationUnitName": sample.number,
        "seedLotDbId": str(sample.lot.uid),
        "seedLotName": sample.lot.number,
        "locationDbId": station_location_id(asked.station),
        "locationName": asked.station.name,
        "studyDbId": study,
        "observationUnitPosition": {
            "observationLevel": {"levelName": SAMPLE, "levelOrder": 1, "levelCode": sample.number},
            "observationLevelRelationships": [{"levelName": "study", "levelOrder": 0, "levelCode": study}],
        },
        "additionalInfo": extra(commonCropName=CROP, sampleNumber=sample.number, scheme=sample.scheme),
    }


def plots_of(values: list[str], asked: Asked, key: str = "studyDbId", before: str = "") -> Q:
    """Keep plots of studies or trials, by their DbIds or names.

    Args:
        key: what the values are: studyDbId, trialDbId, or the name of either.
        before: where the plot is, from the rows that are narrowed: "plot__".
    """
    found = NOTHING
    for study in studies_called(values, asked, key):
        if "_key" in study:
            trial, site, season = study["_key"]
            found |= Q(**{f"{before}trial": trial, f"{before}site": site, f"{before}season": season})
    return found


def samples_of_studies(values: list[str], asked: Asked, key: str = "studyDbId") -> Q:
    """Keep samples of studies by the year in which they were drawn."""
    called = studies_called(values, asked, key)
    return Q(drawn__in=[int(study["seasons"][0]) for study in called if study["studyType"] == GRADING])


def level_is(name: str) -> Any:
    """Keep one part where its level is among the values."""
    return lambda values, _asked: Q() if name in {one.casefold() for one in values} else NOTHING


def site_in(values: list[str], asked: Asked, site: str = "site") -> Q:
    """Keep what stands at sites, by their DbIds."""
    keys = asked.station.site_set.values_list("pk", flat=True)
    return Q(**{f"{site}__in": [key for key in keys if site_id(asked.station, key) in values]})


def site_called(values: list[str], asked: Asked, site: str = "site") -> Q:
    """Keep what stands at sites, by their names, or by the code of one that has no name."""
    wanted = {one.casefold() for one in values}
    rows = asked.station.site_set.values_list("pk", "name", "code")
    return Q(**{f"{site}__in": [key for key, name, code in rows if (name or code).casefold() in wanted]})


def line_called(values: list[str], asked: Asked, line: str = "line") -> Q:
    """Keep what was sown with lines, by their names."""
    named = Line.objects.filter(station=asked.station).alias(low=Lower("name"))
    lines = named.filter(Q(name__in=values) | Q(low__in=[value.lower() for value in values]))
    return Q(**{f"{line}__in": lines.values("pk")})


def wholes_in(values: list[str]) -> list[int]:
    """Read whole numbers; what is none names nothing."""
    return [int(one) for one in values if one.isascii() and one.isdigit() and len(one) < 6]


def _placed(values: list[str], asked: Asked) -> Q:
    return Q() if asked.station.name.casefold() in {one.casefold() for one in values} else NOTHING


def _related(values: list[str], asked: Asked) -> Q:
    return plots_of(values, asked) | Q(rep__in=wholes_in(values))


def _related_kind(values: list[str], _asked: Asked) -> Q:
    kinds = {one.casefold() for one in values}
    return Q() if "study" in kinds else Q(rep__isnull=False) if "rep" in kinds else NOTHING


def _named(part: str, column: str) -> Any:
    def condition(values: list[str], asked: Asked) -> Q:
        names = ForeignName.objects.filter(station=asked.station, **{f"{part}__in": values})
        kept = names.filter(source="@name") if part == "name" and column == "code" else names.exclude(source__in=OURS)
        return Q(uid__in=kept.values("uid"))

    return condition


def _code(column: str) -> Any:
    def condition(values: list[str], asked: Asked) -> Q:
        called = ForeignName.objects.filter(station=asked.station, source="@name", name__in=values)
        return Q(**{f"{column}__in": values}) | Q(uid__in=called.values("uid"))

    return condition


def never(_values: list[str], _asked: Asked) -> Q:
    """Keep nothing of this part."""
    return NOTHING


def _order(values: list[str], _asked: Asked) -> Q:
    return Q() if "1" in values else NOTHING


_BY_NAME, _BY_SOURCE = (both(_named(part, ""), _named(part, "")) for part in ("name", "source"))
FILTERS: Mapping[str, Narrow] = {
    **CROP_AND_PROGRAM,
    "observationUnitDbId": both(lambda v, _a: Q(uid__in=uuids(v)), lambda v, _a: Q(operation__uid__in=uuids(v))),
    "observationUnitName": both(_code("code"), _code("number")),
    "germplasmDbId": both(lambda v, _a: Q(line__uid__in=uuids(v)), never),
    "germplasmName": both(line_called, never),
    "studyDbId": both(plots_of, samples_of_studies),
    "studyName": both(lambda v, a: plots_of(v, a, "studyName"), lambda v, a: samples_of_studies(v, a, "studyName")),
    "trialName": both(lambda v, a: plots_of(v, a, "trialName"), never),
    "locationName": both(site_called, _placed),
    "trialDbId": both(lambda v, a: plots_of(v, a, "trialDbId"), never),
    "locationDbId": both(site_in, lambda v, a: Q() if station_location_id(a.station) in v else NOTHING),
    "seasonDbId": both(lambda v, _a: Q(season__in=wholes_in(v)), lambda v, _a: Q(drawn__in=wholes_in(v))),
    "observationUnitLevelName": both(level_is(PLOT), level_is(SAMPLE)),
    "observationUnitLevelOrder": both(_order, _order),
    "observationUnitLevelCode": both(lambda v, _a: Q(code__in=v), lambda v, _a: Q(number__in=v)),
    "observationUnitLevelRelationshipName": both(_related_kind, level_is("study")),
    "observationUnitLevelRelationshipOrder": both(
        lambda v, _a: Q() if "0" in v else NOTHING, lambda v, _a: Q() if "0" in v else NOTHING
    ),
    "observationUnitLevelRelationshipCode": both(_related, samples_of_studies),
    "observationUnitLevelRelationshipDbId": both(never, never),
    "externalReferenceId": _BY_NAME,
    "externalReferenceID": _BY_NAME,
    "externalReferenceSource": _BY_SOURCE,
}


def levels_by(filters: Mapping[str, Narrow]) -> dict[str, Fitting]:
    """Give the filters by level that a search takes as arrays of objects, made of those that a list takes one by one.

    Args:
        filters: of units or of observations, under the names that a list has for them.
    """
    level, above = "observationUnitLevel", "observationUnitLevelRelationship"
    names = {f"level{what}": filters[f"{level}{what}"] for what in ("Name", "Order", "Code")}
    related = {f"level{what}": filters[f"{above}{what}"] for what in ("Name", "Order", "Code")}
    return {
        "observationLevels": fitting_one(names),
        "observationLevelRelationships": fitting_one({**related, "observationUnitDbId": filters[f"{above}DbId"]}),
    }
