"""Trials and studies: neither has a row of its own, they are what plots and samples say of themselves.

A study is what one trial has at one site in one season; increase blocks of a site and season are one, and so are the
samples that were drawn for grading in one year.
"""

from collections.abc import Callable, Collection, Sequence
from datetime import UTC, date
from typing import Any

from django.db.models import Min, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import ExtractYear, Lower

from api.brapi.asked import Asked, uuids
from api.brapi.core import season_id, site_id, station_location_id
from api.brapi.envelope import Rows
from api.brapi.errors import BadRequest
from api.brapi.filters import CROP_AND_PROGRAM, NO_REFERENCES, Narrow, by_told, keepable, nowhere, program_id
from api.brapi.portions import dbid_of, portions_of
from api.brapi.things import Things
from api.brapi.told import CROP, made_id, midnight
from grading.queries.finding import standing_samples
from inventory.models import Line, Plot, Station
from inventory.queries.notes import standing_notes
from inventory.queries.today import today_at
from inventory.queries.variables import shipped_variables
from inventory.rules.variables import Variable

TRIAL, INCREASE, GRADING = STUDY_TYPES = ("Trial", "Increase", "Grading")
_ONTOLOGY = "https://cropontology.org/rdf/"
_SORTS = {"studies": ("studyDbId", "studyName", "studyType", "trialName", "locationName", "startDate", "seasonDbId"),
          "trials": ("trialDbId", "trialName", "startDate", "programName")}  # fmt: skip


def trial_id(station: Station, trial: str) -> str:
    """Give the DbId of a trial by its name, "" of which there is none."""
    return made_id(station.pk, "trial", trial) if trial else ""


def study_id(station: Station, trial: str, site: int, season: int) -> str:
    """Give the DbId of a study by what its plots have in common; "" as the trial is that of increase blocks."""
    return made_id(station.pk, "study", site, season, trial)


def grading_study_id(station: Station, year: int) -> str:
    """Give the DbId of the study of all samples that were drawn in a year (UTC)."""
    return made_id(station.pk, "grading", year)


def studies_of(station: Station) -> list[dict[str, Any]]:
    """Tell every study of a station, oldest season first and those of grading last (5 queries)."""
    year = today_at(station).year
    studies = [*(_field_study(station, row, year) for row in _groups(station)), *_grading_studies(station, year)]
    noted = {**_noted_of_plots(station), **_noted_of_samples(station)}
    return [{**study, "observationVariableDbIds": noted.get(study["studyDbId"])} for study in studies]


def studies_called(values: Collection[str], asked: Asked, key: str) -> list[dict[str, Any]]:
    """Give the studies that say one of these values under a name, such as studyDbId or trialName (5 queries)."""
    wanted = {value.casefold() for value in values}
    return [study for study in studies_of(asked.station) if str(study.get(key) or "").casefold() in wanted]


def with_found(studies: Sequence[dict[str, Any]], asked: Asked) -> list[dict[str, Any]]:
    """Add to the studies of grading the variables of what was found in their samples' portions (4 queries)."""
    found: dict[str, list[str]] = {}
    for portion, some in portions_of(asked):
        study = grading_study_id(asked.station, portion.sample.operation.at.astimezone(UTC).year)
        known = found.setdefault(study, [])
        known += [dbid for one in some if one.value and (dbid := dbid_of(one.variable)) not in known]
    return [
        {**study, "observationVariableDbIds": [*(study["observationVariableDbIds"] or ()), *more]} if more else study
        for study in studies
        for more in [found.get(study["studyDbId"])]
    ]


def _noted_of_plots(station: Station) -> dict[str, list[str]]:
    """Say which variables were noted in each study of plots."""
    found: dict[str, list[str]] = {}
    notes = standing_notes(station).filter(plot__isnull=False).order_by("variable")
    for trial, site, season, variable in notes.values_list(
        "plot__trial", "plot__site", "plot__season", "variable"
    ).distinct():
        found.setdefault(study_id(station, trial, site, season), []).append(variable)
    return found


def _noted_of_samples(station: Station) -> dict[str, list[str]]:
    """Say which variables were noted of the samples that were drawn in each year."""
    found: dict[str, list[str]] = {}
    drawn = standing_samples(station).filter(number=OuterRef("sample")).order_by()
    year = Subquery(drawn.values_list(ExtractYear("operation__at", tzinfo=UTC))[:1])
    notes = standing_notes(station).exclude(sample="").order_by("variable").annotate(year=year)
    for of, variable in notes.values_list("year", "variable").distinct():
        if of is not None:
            found.setdefault(grading_study_id(station, of), []).append(variable)
    return found


def _groups(station: Station) -> Sequence[dict[str, Any]]:
    """Group plots into studies (1 query)."""
    plots = Plot.objects.filter(station=station, taken_back=False)
    grouped = plots.order_by().values("trial", "site", "site__code", "site__name", "season")
    rows = grouped.annotate(first=Min("sown_on")).order_by("season", "site__code", "trial", "site")
    return [dict(row) for row in rows]


def _field_study(station: Station, row: dict[str, Any], year: int) -> dict[str, Any]:
    trial, season = row["trial"], row["season"]
    kind = TRIAL if trial else INCREASE
    site = row["site__name"] or row["site__code"]
    return {
        "studyDbId": study_id(station, trial, row["site"], season),
        "studyName": f"{trial or 'Increase'} {row['site__code']} {season}",
        "studyCode": f"{trial or 'Increase'}-{row['site__code']}-{season}",
        "studyType": kind,
        "trialDbId": trial_id(station, trial),
        "trialName": trial,
        "locationDbId": site_id(station, row["site"]),
        "locationName": site,
        "seasons": [season_id(season)],
        "startDate": midnight(row["first"]),
        "active": season >= year,
        "commonCropName": CROP,
        "observationLevels": _levels("plot"),
        "_sown": row["first"],
        "_key": (trial, row["site"], season),
    }


def _grading_studies(station: Station, year: int) -> list[dict[str, Any]]:
    years = standing_samples(station).order_by().values_list(ExtractYear("operation__at", tzinfo=UTC), flat=True)
    return [
        {
            "studyDbId": grading_study_id(station, drawn),
            "studyName": f"Grading {drawn}",
            "studyCode": f"Grading-{drawn}",
            "studyType": GRADING,
            "locationDbId": station_location_id(station),
            "locationName": station.name,
            "seasons": [season_id(drawn)],
            "active": drawn >= year,
            "commonCropName": CROP,
            "observationLevels": _levels("sample"),
        }
        for drawn in sorted(set(years.distinct()))
    ]


def lines_sown_in(name: str, values: Sequence[str], asked: Asked) -> set[int]:
    """Give the keys of lines of those studies that say one of these values under a name: trialName (4 queries)."""
    wanted = {value.casefold() for value in values}
    keys = {
        study["_key"]
        for study in studies_of(asked.station)
        if "_key" in study and str(study.get(name) or "").casefold() in wanted  # those of grading have no plots
    }
    return {line for line, *key in _sown(asked.station) if tuple(key) in keys}


def _sown(station: Station) -> "QuerySet[Plot, tuple[int, str, int, int]]":
    """Give the keys of lines with the study in which each was sown."""
    plots = Plot.objects.filter(station=station, taken_back=False)
    return plots.order_by().values_list("line_id", "trial", "site", "season").distinct()


def _levels(name: str) -> list[dict[str, Any]]:
    return [{"levelName": "study", "levelOrder": 0}, {"levelName": name, "levelOrder": 1}]


def _studies(asked: Asked) -> Rows:
    return _sorted("studies", with_found(studies_of(asked.station), asked), asked)


def _trials(asked: Asked) -> Rows:
    """Tell trials from their studies (3 queries)."""
    station, trials = asked.station, dict[str, dict[str, Any]]()
    for study in studies_of(station):
        if name := study.get("trialName"):
            trial = trials.setdefault(name, _new_trial(station, name))
            trial["active"] = trial["active"] or study["active"]
            trial["startDate"] = _earliest(trial["startDate"], study["_sown"])
            trial["_studyDbIds"].append(study["studyDbId"])
            trial["_studyNames"].append(study["studyName"])
            trial["_locationDbIds"].append(study["locationDbId"])
            trial["_locationNames"].append(study["locationName"])
    return _sorted("trials", [trials[name] for name in sorted(trials)], asked)


def _new_trial(station: Station, name: str) -> dict[str, Any]:
    return {
        "trialDbId": trial_id(station, name), "trialName": name, "commonCropName": CROP, "active": False,
        "programDbId": program_id(station), "programName": station.name, "startDate": None,
        "_studyDbIds": [], "_studyNames": [], "_locationDbIds": [], "_locationNames": [],
    }  # fmt: skip


def _earliest(known: str | None, day: date | None) -> str | None:
    days = [one for one in (known, day.isoformat() if day else None) if one]
    return min(days, default=None)


def _sorted(path: str, rows: list[dict[str, Any]], asked: Asked) -> list[dict[str, Any]]:
    """Sort as sortBy and sortOrder say; rows that are alike keep their order.

    Raises:
        BadRequest: it cannot be sorted so.
    """
    by, order = asked.one("sortBy"), asked.one("sortOrder").casefold() or "asc"
    if by and by not in _SORTS[path]:
        raise BadRequest(f"{path} are not sorted by {by[:40]!r}. Give one of {', '.join(_SORTS[path])}.")
    if order not in ("asc", "desc"):
        raise BadRequest(f"sortOrder reads {order[:40]!r}. Give asc or desc.")
    name = "seasons" if by == "seasonDbId" else by
    return sorted(rows, key=lambda row: str(row.get(name) or ""), reverse=order == "desc") if by else rows


def _bare(rows: Sequence[Any], _asked: Asked) -> list[dict[str, Any]]:
    return [{name: value for name, value in row.items() if not name.startswith("_")} for row in rows]


def _active(rows: Rows, values: Sequence[str], asked: Asked) -> Rows:
    wanted = asked.flag("active", default=bool(values))
    return [row for row in rows if row["active"] is wanted]


def _with_lines(rows: Rows, lines: Q, asked: Asked) -> Rows:
    """Keep studies in which one of some lines was sown (1 query)."""
    plots = Plot.objects.filter(lines, station=asked.station, taken_back=False)
    keys = set(plots.values_list("trial", "site", "season"))
    return [row for row in rows if row.get("_key") in keys]


def _with_line(rows: Rows, values: Sequence[str], asked: Asked) -> Rows:
    return _with_lines(rows, Q(line__uid__in=uuids(values)), asked)


def _with_line_named(rows: Rows, values: Sequence[str], asked: Asked) -> Rows:
    kept = keepable(values)
    lines = Line.objects.filter(station=asked.station).alias(low=Lower("name"))
    named = lines.filter(Q(name__in=kept) | Q(low__in=[value.lower() for value in kept]))
    return _with_lines(rows, Q(line__in=named.values("pk")), asked)


def _with_variables(named: Callable[[Variable], Collection[str]]) -> Narrow:
    """Keep studies in which a variable was noted that goes by one of the values."""

    def narrow(rows: Rows, values: Sequence[str], _asked: Asked) -> Rows:
        ids = variable_ids(values, named)
        return [row for row in rows if ids & set(row["observationVariableDbIds"] or ())]

    return narrow


def variable_ids(values: Sequence[str], named: Callable[[Variable], Collection[str]]) -> set[str]:
    """Give the ids of variables that can be noted and go by one of the values."""
    wanted = {value.casefold() for value in values}
    return {one.id for one in shipped_variables() if wanted & {name.casefold() for name in named(one)}}


def puis_of(variable: Variable) -> tuple[str, ...]:
    """Write the address of a variable of the crop ontology; one of our own has none."""
    return (f"{_ONTOLOGY}{variable.id.replace(':', '_')}",) if variable.id.startswith("CO_") else ()


def _started(name: str, *, is_end: bool) -> Narrow:
    """Keep what began on a day or after it, or until then; what has no day is left out."""

    def narrow(rows: Rows, values: Sequence[str], _asked: Asked) -> Rows:
        try:
            day = date.fromisoformat(values[0][:10]).isoformat()
        except ValueError:
            raise BadRequest(f"{name} reads {values[0][:40]!r}. Give a day such as 2026-09-01.") from None
        known = [row for row in rows if row["startDate"]]
        return [row for row in known if (row["startDate"] <= day if is_end else row["startDate"] >= day)]

    return narrow


def _told(*names: str) -> dict[str, Narrow]:
    return {name: by_told(name) for name in names}


THINGS = (
    Things(
        "trials", "trial", "trialDbId", _trials, _bare,
        {
            **CROP_AND_PROGRAM, **NO_REFERENCES, **_told("trialDbId", "trialName"),
            "studyDbId": by_told("_studyDbIds"), "studyName": by_told("_studyNames"),
            "locationDbId": by_told("_locationDbIds"), "locationName": by_told("_locationNames"),
            "contactDbId": nowhere, "trialPUI": nowhere,
        },
        singles={
            "active": _active,
            "searchDateRangeStart": _started("searchDateRangeStart", is_end=False),
            "searchDateRangeEnd": _started("searchDateRangeEnd", is_end=True),
        },
        flags=("sortBy", "sortOrder"), has_search=True,
    ),
    Things(
        "studies", "study", "studyDbId", _studies, _bare,
        {
            **CROP_AND_PROGRAM, **NO_REFERENCES,
            **_told("studyDbId", "studyName", "studyCode", "studyType", "trialDbId", "trialName",
                    "locationDbId", "locationName"),
            "seasonDbId": by_told("seasons"), "germplasmDbId": _with_line,
            "germplasmName": _with_line_named, "studyPUI": nowhere,
            "observationVariableDbId": by_told("observationVariableDbIds"),
            "observationVariableName": _with_variables(lambda variable: variable.names),
            "observationVariablePUI": _with_variables(puis_of),
        },
        singles={"active": _active}, flags=("sortBy", "sortOrder"), has_search=True,
    ),
)  # fmt: skip
ROUTES = ()
