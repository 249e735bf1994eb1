"""Variables with their traits, methods and scales: those of field notes, and those of graded portions."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from api.brapi.asked import Asked, read_query
from api.brapi.envelope import Page, Rows, page_of
from api.brapi.filters import CROP_AND_PROGRAM, NO_REFERENCES, Narrow, by_told, nowhere
from api.brapi.portions import dbid_of, portions_of, variables_in
from api.brapi.routes import Route
from api.brapi.studies import STUDY_TYPES, studies_called, with_found
from api.brapi.things import Things
from api.brapi.told import CROP, extra
from inventory.queries.variables import shipped_variables
from inventory.rules.variables import Part, Scale, ScaleKind, Variable

ONTOLOGY = "CO_335"
PUI = "https://cropontology.org/rdf/"
_KINDS = {
    ScaleKind.DATE: "Date", ScaleKind.NUMBER: "Numerical", ScaleKind.ORDINAL: "Ordinal", ScaleKind.WORD: "Nominal",
    ScaleKind.TEXT: "Text",
}  # fmt: skip


def variables_of(asked: Asked) -> list[Variable]:
    """Give all variables of a station: shipped ones, then those of its graded portions (4 queries)."""
    return [*shipped_variables(), *variables_in(portions_of(asked))]


def _pui(part_id: str) -> str | None:
    return f"{PUI}{part_id.replace(':', '_')}" if part_id.startswith(f"{ONTOLOGY}:") else None


def _ontology(part_id: str) -> dict[str, str]:
    is_theirs = part_id.startswith(f"{ONTOLOGY}:")
    return {"ontologyDbId": ONTOLOGY if is_theirs else "LOCAL", "ontologyName": CROP if is_theirs else "Our own"}


def _part(part: Part, kind: str) -> dict[str, Any]:
    is_trait = kind == "trait"
    return {
        f"{kind}DbId": dbid_of(part.id), f"{kind}Name": part.name, f"{kind}PUI": _pui(part.id),
        f"{kind}Class": part.kind, ("traitDescription" if is_trait else "description"): part.says,
        "bibliographicalReference": None if is_trait else part.source, "ontologyReference": _ontology(part.id),
    }  # fmt: skip


def _scale(scale: Scale) -> dict[str, Any]:
    ends = {
        "minimumValue": None if scale.least is None else f"{scale.least:f}",
        "maximumValue": None if scale.most is None else f"{scale.most:f}",
        "categories": [{"value": value, "label": words} for value, words in scale.categories] or None,
    }
    return {
        "scaleDbId": dbid_of(scale.id), "scaleName": scale.name, "scalePUI": _pui(scale.id),
        "dataType": _KINDS[scale.kind], "units": scale.unit, "validValues": ends,
        "ontologyReference": _ontology(scale.id), "additionalInfo": extra(worstValue=scale.worst),
    }  # fmt: skip


def _variable(variable: Variable) -> dict[str, Any]:
    return {
        "observationVariableDbId": dbid_of(variable.id),
        "observationVariableName": variable.name,
        "observationVariablePUI": _pui(variable.id),
        "commonCropName": CROP,
        "growthStage": variable.growth_stage,
        "synonyms": [variable.short] if variable.short else None,
        "language": "en",
        "ontologyReference": _ontology(variable.id),
        "trait": _part(variable.trait, "trait"),
        "method": _part(variable.method, "method"),
        "scale": _scale(variable.scale),
        "additionalInfo": extra(
            notedOf=", ".join(variable.of), atMoisture="asked" if variable.at_moisture else None
        ),
    }  # fmt: skip


def _rows(asked: Asked) -> list[dict[str, Any]]:
    """Tell variables with what they are looked for by."""
    told = []
    for variable in variables_of(asked):
        row = _variable(variable)
        found = {f"_{name}": row[part].get(name) for part in ("trait", "method", "scale") for name in row[part]}
        told.append({**row, **found, "_ontologyDbId": row["ontologyReference"]["ontologyDbId"]})
    return told


def bare(rows: Sequence[Any], _asked: Asked) -> list[dict[str, Any]]:
    """Leave out what rows are only looked for by."""
    return [{name: value for name, value in row.items() if not name.startswith("_")} for row in rows]


def _parts(kind: str) -> Callable[[Asked], list[dict[str, Any]]]:
    def rows(asked: Asked) -> list[dict[str, Any]]:
        found: dict[str, dict[str, Any]] = {}
        for variable in _rows(asked):
            part = found.setdefault(variable[kind][f"{kind}DbId"], {**variable[kind], "_variables": []})
            part["_variables"].append(variable["observationVariableDbId"])
            part["_ontologyDbId"] = part["ontologyReference"]["ontologyDbId"]
        return list(found.values())

    return rows


def _study_types(asked: Asked) -> Page:
    read_query(asked, ())
    return Page(*page_of(list(STUDY_TYPES), asked))


def _levels(asked: Asked) -> Page:
    read_query(asked, ("programDbId", "trialDbId", "studyDbId"))
    levels = [{"levelName": "study", "levelOrder": 0}, {"levelName": "plot", "levelOrder": 1},
              {"levelName": "sample", "levelOrder": 1}]  # fmt: skip
    return Page(*page_of(levels, asked))


def _of_part(kind: str, path: str) -> Things:
    key = f"{kind}DbId"
    filters: Mapping[str, Any] = {
        **CROP_AND_PROGRAM, **NO_REFERENCES, key: by_told(key), "observationVariableDbId": by_told("_variables"),
        "ontologyDbId": by_told("_ontologyDbId"),
    }  # fmt: skip
    return Things(path, kind, key, _parts(kind), bare, filters)


def _noted_in(key: str) -> Narrow:
    """Keep variables that were noted in studies which say one of the values under a name."""

    def narrow(rows: Rows, values: Sequence[str], asked: Asked) -> Rows:
        told = with_found(studies_called(values, asked, key), asked)
        ids = {dbid_of(one) for study in told for one in study["observationVariableDbIds"] or ()}
        return [row for row in rows if row["observationVariableDbId"] in ids]

    return narrow


# A trait is told whole here, not as an attribute of an entity.
_OF_NO_TRAIT = dict.fromkeys(("traitAttribute", "traitAttributePUI", "traitEntity", "traitEntityPUI"), nowhere)
VARIABLES = Things(
    "variables", "variable", "observationVariableDbId", _rows, bare,
    {
        **CROP_AND_PROGRAM, **NO_REFERENCES,
        **{name: by_told(name) for name in (
            "observationVariableDbId", "observationVariableName", "observationVariablePUI")},
        **{f"{kind}{what}": by_told(f"_{kind}{what}") for kind in ("trait", "method", "scale")
           for what in ("DbId", "Name", "PUI")},
        "traitClass": by_told("_traitClass"), "ontologyDbId": by_told("_ontologyDbId"),
        "dataType": by_told("_dataType"), **_OF_NO_TRAIT,
        **{name: _noted_in(name) for name in ("studyDbId", "studyName", "trialDbId", "trialName")},
    },
    has_search=True,
)  # fmt: skip
THINGS = (VARIABLES, _of_part("trait", "traits"), _of_part("method", "methods"), _of_part("scale", "scales"))
ROUTES = (
    Route("studytypes", _study_types),
    Route("observationlevels", _levels),
)
