"""Field notes of plots and samples as observations, and behind them what graded portions were found to be."""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import UTC, datetime
from typing import Any

from django.db.models import Exists, OuterRef, Q
from django.db.models.functions import ExtractYear

from api.brapi.asked import Asked, uuids
from api.brapi.core import station_location_id
from api.brapi.errors import BadRequest
from api.brapi.filters import CROP_AND_PROGRAM, Narrow, by_told
from api.brapi.outside import OURS, Names, names_of
from api.brapi.portions import Found, dbid_of, name_of, portions_of
from api.brapi.studies import grading_study_id, puis_of, studies_called, study_id, variable_ids
from api.brapi.things import Things
from api.brapi.told import extra, instant, references
from api.brapi.two_parts import NOTHING, Condition, TwoParts, both
from api.brapi.units import (
    PLOT,
    SAMPLE,
    level_is,
    levels_by,
    line_called,
    never,
    plots_of,
    samples_of_studies,
    site_called,
    site_in,
    wholes_in,
)
from api.models import ForeignName
from grading.models import Portion, Sample
from grading.queries.blind import hidden_from
from grading.queries.finding import standing_samples
from inventory.models import FieldNote, Station
from inventory.queries.notes import standing_notes
from inventory.queries.variables import variables_by_id

_YEARS = range(2, 9999)  # an instant of these can be told in every zone
# In an address a plus stands for a space, so that +01:00 of a careless sender arrives as " 01:00".
_PLUS_AS_SPACE = re.compile(r"(T\S+) (\d\d:?\d\d)$")


def observed(asked: Asked) -> TwoParts:
    """Give the notes of plots and samples, then what was found in portions; what is hidden from graders is left out."""
    hidden = hidden_from(asked.station, asked.person)
    samples = standing_samples(asked.station).filter(number=OuterRef("sample"))
    of_units = Q(plot__isnull=False) | Q(Exists(samples))
    notes = standing_notes(asked.station).filter(of_units, Q(plot__isnull=True) | Q(plot__taken_back=False))
    notes = notes.exclude(sample__in=hidden.values()).select_related("plot__line__merged_into", "plot__site")
    notes = notes.annotate(drawn=ExtractYear("operation__at", tzinfo=UTC))
    return TwoParts(notes, _found_in_portions(asked))


def _found_in_portions(asked: Asked) -> list[dict[str, Any]]:
    """Tell each dish of each graded portion, its weight and moisture, its factors and its grade (3 queries)."""
    return [told for portion, found in portions_of(asked) for told in _of_portion(portion, found, asked.station)]


def _of_portion(portion: Portion, found: Sequence[Found], station: Station) -> Iterator[dict[str, Any]]:
    common = _of_sample(portion.sample, station)
    year = portion.operation.at.astimezone(UTC).year
    beside = {"ruleSet": portion.rule_set, "edition": portion.edition, "marketClass": portion.class_name}
    for place, one in enumerate(found, 1):
        if not one.value:
            continue
        yield {
            **common,
            "observationDbId": f"{portion.operation.uid}-{place}",
            "observationVariableDbId": dbid_of(one.variable),
            "observationVariableName": name_of(one.variable),
            "observationTimeStamp": instant(portion.operation.at),
            "collector": portion.grader,
            "value": one.value,
            "season": _season(year),
            "additionalInfo": extra(**beside, **dict(one.extra)),
            "_seasonDbId": str(year),
            "_level": SAMPLE,
            "_locationDbId": station_location_id(station),
        }


def _of_sample(sample: Sample, station: Station) -> dict[str, Any]:
    return {
        "observationUnitDbId": str(sample.operation.uid),
        "observationUnitName": sample.number,
        "studyDbId": grading_study_id(station, sample.operation.at.astimezone(UTC).year),
    }


def tell_observations(rows: Sequence[Any], asked: Asked) -> list[dict[str, Any]]:
    """Tell a page of observations (3 queries)."""
    notes = [row for row in rows if isinstance(row, FieldNote)]
    names = names_of(row.uid for row in notes)
    numbers = {row.sample for row in notes if row.sample}
    samples = {sample.number: sample for sample in standing_samples(asked.station).filter(number__in=numbers)}
    return [
        _note(row, names.get(row.uid, Names()), samples, asked) if isinstance(row, FieldNote) else _bare(row)
        for row in rows
    ]  # fmt: skip


def _bare(row: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in row.items() if not name.startswith("_")}


def _note(note: FieldNote, names: Names, samples: Mapping[str, Sample], asked: Asked) -> dict[str, Any]:
    variable = variables_by_id().get(note.variable)
    if note.plot is not None:
        plot, line = note.plot, note.plot.line.merged_into or note.plot.line
        of: dict[str, Any] = {
            "observationUnitDbId": str(plot.uid), "observationUnitName": plot.code, "germplasmDbId": str(line.uid),
            "germplasmName": line.name, "studyDbId": study_id(asked.station, plot.trial, plot.site_id, plot.season),
            "season": _season(plot.season),
        }  # fmt: skip
    else:
        of = _of_sample(samples[note.sample], asked.station)
        of["season"] = _season(note.operation.at.astimezone(UTC).year)
    return {
        **of,
        "observationDbId": str(note.uid),
        "observationVariableDbId": dbid_of(note.variable),
        "observationVariableName": variable.name if variable else note.variable,
        "observationTimeStamp": instant(note.operation.at),
        "collector": note.observer,
        "uploadedBy": note.operation.by.get_username(),
        "value": note.value,
        "externalReferences": references(*names.references),
        "additionalInfo": extra(moisturePercent=note.moisture_pct, operation=note.operation.seq),
    }


def _season(year: int) -> dict[str, Any]:
    return {"seasonDbId": str(year), "seasonName": str(year), "year": year}


def _unit(values: list[str], asked: Asked) -> Q:
    samples = standing_samples(asked.station).filter(operation__uid__in=uuids(values))
    return Q(plot__uid__in=uuids(values)) | Q(sample__in=samples.values("number"))


def _study(values: list[str], asked: Asked, key: str = "studyDbId") -> Q:
    samples = standing_samples(asked.station).annotate(drawn=ExtractYear("operation__at", tzinfo=UTC))
    graded = samples.filter(samples_of_studies(values, asked, key)).values("number")
    return plots_of(values, asked, key, "plot__") | Q(sample__in=graded)


def _study_named(rows: Any, values: Sequence[str], asked: Asked) -> list[Any]:
    ids = {study["studyDbId"] for study in studies_called(values, asked, "studyName")}
    return [row for row in rows if row["studyDbId"] in ids]


def _related(values: list[str], asked: Asked) -> Q:
    return _study(values, asked) | Q(plot__rep__in=wholes_in(values))


def _related_kind(values: list[str], _asked: Asked) -> Q:
    kinds = {one.casefold() for one in values}
    return Q() if "study" in kinds else Q(plot__rep__isnull=False) if "rep" in kinds else NOTHING


def _placed(values: list[str], asked: Asked) -> Q:
    is_here = asked.station.name.casefold() in {one.casefold() for one in values}
    return site_called(values, asked, "plot__site") | (Q(plot__isnull=True) if is_here else NOTHING)


def _at_station(rows: Any, values: Sequence[str], asked: Asked) -> list[Any]:
    return list(rows) if asked.station.name.casefold() in {one.casefold() for one in values} else []


def _variable_called(values: list[str], _asked: Asked) -> Q:
    return Q(variable__in=variable_ids(values, lambda variable: variable.names))


def _variable_pui(values: list[str], _asked: Asked) -> Q:
    return Q(variable__in=variable_ids(values, puis_of))


def _location(values: list[str], asked: Asked) -> Q:
    is_here = station_location_id(asked.station) in values
    return site_in(values, asked, "plot__site") | (Q(plot__isnull=True) if is_here else NOTHING)


def _season_of(values: list[str], _asked: Asked) -> Q:
    years = wholes_in(values)
    return Q(plot__season__in=years) | Q(plot__isnull=True, drawn__in=years)


def _level(values: list[str], asked: Asked) -> Q:
    plots = Q(plot__isnull=False) if level_is(PLOT)(values, asked) == Q() else NOTHING
    return plots | (Q(plot__isnull=True) if level_is(SAMPLE)(values, asked) == Q() else NOTHING)


def _code(values: list[str], _asked: Asked) -> Q:
    return Q(plot__code__in=values) | Q(sample__in=values)


def _called(part: str) -> Condition:
    return lambda values, asked: Q(
        uid__in=ForeignName.objects.filter(station=asked.station, **{f"{part}__in": values})
        .exclude(source__in=OURS).values("uid")
    )  # fmt: skip


def moment_sent(name: str, text: str) -> datetime:
    """Read an instant as other programs send it: with its zone, which is asked for where it is missing.

    Raises:
        BadRequest: it is none, or has no zone.
    """
    text = _PLUS_AS_SPACE.sub(r"\1+\2", text)
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        moment = None
    if moment is None or moment.year not in _YEARS:
        raise BadRequest(f"{name} reads {text[:40]!r}. Give an instant such as 2026-09-01T10:00:00Z.")
    if moment.tzinfo is None or len(text) < len("2026-09-01T10"):
        raise BadRequest(f"{name} reads {text[:40]!r}, without a time and its zone. Give it as 2026-09-01T10:00:00Z.")
    return moment


def _range(name: str, *, is_end: bool) -> Narrow:
    def last(rows: Any, values: Sequence[str], _asked: Asked) -> list[Any]:
        wanted = instant(moment_sent(name, values[0])) or ""
        return [
            row for row in rows
            if (row["observationTimeStamp"] <= wanted if is_end else row["observationTimeStamp"] >= wanted)
        ]  # fmt: skip

    comparison = "lte" if is_end else "gte"
    return both(lambda values, _asked: Q(**{f"operation__at__{comparison}": moment_sent(name, values[0])}), last)


def _nothing(_rows: Any, _values: Sequence[str], _asked: Asked) -> list[Any]:
    return []


def _one(values: list[str]) -> bool:
    return "1" in values


def _if(is_so: Callable[[list[str]], bool]) -> Narrow:
    return both(
        lambda values, _asked: Q() if is_so(values) else NOTHING,
        lambda rows, values, _asked: rows if is_so(list(values)) else [],
    )


FILTERS: Mapping[str, Narrow] = {
    **CROP_AND_PROGRAM,
    "observationDbId": both(lambda v, _a: Q(uid__in=uuids(v)), by_told("observationDbId")),
    "observationUnitDbId": both(_unit, by_told("observationUnitDbId")),
    "observationVariableDbId": both(lambda v, _a: Q(variable__in=v), by_told("observationVariableDbId")),
    "locationDbId": both(_location, by_told("_locationDbId")),
    "seasonDbId": both(_season_of, by_told("_seasonDbId")),
    "studyDbId": both(_study, by_told("studyDbId")),
    "trialDbId": both(lambda v, a: plots_of(v, a, "trialDbId", "plot__"), _nothing),
    "germplasmDbId": both(lambda v, _a: Q(plot__line__uid__in=uuids(v)), _nothing),
    "trialName": both(lambda v, a: plots_of(v, a, "trialName", "plot__"), _nothing),
    "studyName": both(lambda v, a: _study(v, a, "studyName"), _study_named),
    "germplasmName": both(lambda v, a: line_called(v, a, "plot__line"), _nothing),
    "locationName": both(_placed, _at_station),
    "observationVariableName": both(_variable_called, by_told("observationVariableName")),
    "observationVariablePUI": both(_variable_pui, _nothing),
    "observationUnitLevelName": both(_level, by_told("_level")),
    "observationUnitLevelOrder": _if(_one),
    "observationUnitLevelCode": both(_code, by_told("observationUnitName")),
    "observationUnitLevelRelationshipName": both(
        _related_kind, lambda rows, values, _a: rows if "study" in [one.casefold() for one in values] else []
    ),
    "observationUnitLevelRelationshipOrder": _if(lambda values: "0" in values),
    "observationUnitLevelRelationshipCode": both(_related, by_told("studyDbId")),
    "observationUnitLevelRelationshipDbId": both(never, _nothing),
    "externalReferenceId": both(_called("name"), _nothing),
    "externalReferenceID": both(_called("name"), _nothing),
    "externalReferenceSource": both(_called("source"), _nothing),
}
SINGLES: Mapping[str, Narrow] = {
    "observationTimeStampRangeStart": _range("observationTimeStampRangeStart", is_end=False),
    "observationTimeStampRangeEnd": _range("observationTimeStampRangeEnd", is_end=True),
}


def observations_of(asked: Asked, units: Sequence[str]) -> dict[str, list[dict[str, Any]]]:
    """Tell the observations of units, by the units' DbIds."""
    found: dict[str, list[dict[str, Any]]] = {}
    rows = FILTERS["observationUnitDbId"](observed(asked), units, asked)
    for row in tell_observations(list(rows), asked) if units else ():
        found.setdefault(row["observationUnitDbId"], []).append(row)
    return found


def observations(**writes: Any) -> Things:
    """Give the list of observations with what is written there."""
    return Things(
        "observations", "observation", "observationDbId", observed, tell_observations, FILTERS, singles=SINGLES,
        objects=levels_by(FILTERS), has_search=True, **writes,
    )  # fmt: skip
