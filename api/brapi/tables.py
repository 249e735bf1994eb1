"""Observations and units as tables: a row a unit and moment, a column a variable; as JSON, or as text by Accept."""

import csv
import io
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django.http import HttpResponse

from api.brapi.asked import Asked, read_query
from api.brapi.observations import FILTERS, SINGLES, observed, tell_observations
from api.brapi.routes import JSON, Route
from api.brapi.units import FILTERS as UNIT_FILTERS
from api.brapi.units import plots_and_samples, tell_units

CSV, TSV = "text/csv", "text/tsv"
# The standard writes text/tsv; what is registered for such text is the longer name.
_FORMS = {JSON: JSON, "*/*": JSON, CSV: CSV, TSV: TSV, "text/tab-separated-values": TSV}
_HEADS = ("studyDbId", "studyName", "germplasmDbId", "germplasmName", "observationUnitDbId", "observationUnitName")
_WITH_TIME = (*_HEADS, "observationTimeStamp")
_NARROWS = {**FILTERS, **SINGLES, "observationLevel": FILTERS["observationUnitLevelName"]}  # the last is an older name
Table = dict[str, Any]
Row = tuple[Mapping[str, Any], Mapping[str, str]]  # what is told of the unit, and its values by variable


def _rows(asked: Asked) -> list[dict[str, Any]]:
    rows: Any = observed(asked)
    for name, narrow in _NARROWS.items():
        if name in asked.words:
            rows = narrow(rows, asked.words[name], asked)
    return tell_observations(list(rows), asked)


def _table(heads: Sequence[str], rows: Iterable[Row], names: Mapping[str, str]) -> Table:
    return {
        "headerRow": list(heads),
        "observationVariables": [
            {"observationVariableDbId": key, "observationVariableName": name} for key, name in names.items()
        ],
        "data": [
            [*(str(told.get(head) or "") for head in heads), *(values.get(key, "") for key in names)]
            for told, values in rows
        ],
    }  # fmt: skip


def _observations(asked: Asked) -> Table | HttpResponse:
    """Tell a row for each unit and moment; observations of one moment stand side by side."""
    read_query(asked, (*_NARROWS, "searchResultsDbId"))
    rows = _rows(asked)
    units = _units(asked, {row["observationUnitDbId"] for row in rows})
    told: dict[tuple[str, str], tuple[dict[str, Any], dict[str, str]]] = {}
    for row in rows:
        key = (row["observationUnitDbId"], row["observationTimeStamp"])
        head = {**units.get(key[0], {}), "observationTimeStamp": key[1]}
        told.setdefault(key, (head, {}))[1][row["observationVariableDbId"]] = row["value"]
    return _answer(_table(_WITH_TIME, told.values(), _names(rows)), asked, "observations")


def _unit_table(asked: Asked) -> Table | HttpResponse:
    """Tell a row for each unit that something was seen of, with its newest value of each variable."""
    read_query(asked, _NARROWS)
    rows = sorted(_rows(asked), key=lambda row: row["observationTimeStamp"])
    units = _units(asked, {row["observationUnitDbId"] for row in rows})
    told: dict[str, tuple[dict[str, Any], dict[str, str]]] = {}
    for row in rows:
        key = row["observationUnitDbId"]
        told.setdefault(key, (units.get(key, {}), {}))[1][row["observationVariableDbId"]] = row["value"]
    return _answer(_table(_HEADS, told.values(), _names(rows)), asked, "observationunits")


def _units(asked: Asked, wanted: set[str]) -> dict[str, dict[str, Any]]:
    rows = UNIT_FILTERS["observationUnitDbId"](plots_and_samples(asked), sorted(wanted), asked)
    return {unit["observationUnitDbId"]: unit for unit in tell_units(list(rows), asked)}


def _names(rows: Iterable[Mapping[str, Any]]) -> dict[str, str]:
    return {row["observationVariableDbId"]: row["observationVariableName"] for row in rows}


def _answer(table: Table, asked: Asked, name: str) -> Table | HttpResponse:
    """Answer as Accept asks: CSV and TSV bear the variables' ids in their first line and names in their second."""
    kind = _wanted(asked.request.headers.get("Accept", ""))
    if kind == JSON:
        return table
    text = io.StringIO()
    writer = csv.writer(text, delimiter="," if kind == CSV else "\t", lineterminator="\r\n")
    variables = table["observationVariables"]
    writer.writerow([*table["headerRow"], *(one["observationVariableDbId"] for one in variables)])
    writer.writerow(["" for _ in table["headerRow"]] + [one["observationVariableName"] for one in variables])
    writer.writerows([_plain(cell) for cell in row] for row in table["data"])
    answer = HttpResponse(text.getvalue(), content_type=f"{kind}; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{name}.{kind.rpartition("/")[2]}"'
    return answer


def _wanted(accepts: str) -> str:
    """Choose the form that is wanted most; of those wanted alike the first of ours, JSON before text.

    Source: RFC 9110, HTTP Semantics, 2022, 12.5.1: each form with its weight, 1 where none is given.
    """
    wanted: dict[str, float] = {}
    for part in accepts.split(","):
        name, *more = (one.strip().casefold() for one in part.split(";"))
        weights = [one[2:] for one in more if one.startswith("q=")]
        if kind := _FORMS.get(name):
            wanted[kind] = max(wanted.get(kind, 0.0), _weight(weights[0]) if weights else 1.0)
    best = max((JSON, CSV, TSV), key=lambda kind: wanted.get(kind, 0.0))
    return best if wanted.get(best) else JSON


def _weight(text: str) -> float:
    return float(text) if re.fullmatch(r"[01](\.\d{0,3})?", text) else 0.0


def _plain(cell: str) -> str:
    """Keep a spreadsheet from taking a remark for a formula."""
    return f"'{cell}" if cell[:1] in ("=", "+", "@", "\t") else cell


ROUTES = (
    Route("observations/table", _observations, content_types=(JSON, CSV, TSV)),
    Route("observationunits/table", _unit_table, content_types=(JSON, CSV, TSV)),
)
