"""What each address does, takes and answers, as OpenAPI has it."""

from collections.abc import Callable, Mapping
from typing import Any

from rest_framework.views import APIView

from api.components import PROBLEMS
from api.v1 import acts, data_packages, exporting, figures, listing, lots, me, operations, rule_sets, sheets
from api.v1.columns import Kind, comparisons_of, wanted_of
from api.v1.described_sheets import TOLD_OF_SHEETS
from api.v1.describing import ANY, JSON, Told, as_known, content, key, query, reads, sends
from api.v1.examples import EXAMPLES, NAMES, PORTION
from api.v1.ordering import orders_of
from api.v1.shapes import Shape, row_shape, words_shape
from api.v1.shelves import Shelf
from api.v1.told_shapes import DATA_PACKAGE, LOT, OUTCOME, PORTION_SENT, TRACE
from grading.queries.figures import FIGURES


def describe(view: APIView, path: str, method: str) -> Told:
    """Describe one method of an address.

    Raises:
        KeyError: a view that nobody described.
    """
    told = _own(view, method) or _ours(view, method)
    if method == "GET" and not getattr(view, "is_stream", False) and "304" not in told["responses"]:
        told = as_known(told)
    name = path.removeprefix("/api/v1").strip("/").replace("/", "_").replace("{", "").replace("}", "").replace("-", "_")
    if "{name}" in path:
        told["parameters"] = [_name(view, path), *told.get("parameters", [])]
    return {
        "operationId": f"{method.lower()}_{name or 'index'}",
        **told,
        "tags": [(path.removeprefix("/api/v1/").split("/")[0]) if name else "index"],
        "security": [{"key": []}],
        "responses": {**told["responses"], **_problems(method, told)},
    }


def _own(view: APIView, method: str) -> Told | None:
    """Take the description that a view brings itself, method by method: `told(method)`."""
    tells = getattr(view, "told", None)
    own = tells(method) if tells is not None else None
    return dict(own) if own is not None else None


def _ours(view: APIView, method: str) -> Told:
    tell = TOLD_OF_SHEETS.get((type(view), method)) or _TOLD.get(type(view))
    if tell is None and isinstance(view, listing.Things):
        tell = _things  # a list that also takes something in
    return tell(view) if tell else _index()


def _act(verb: str) -> Told:
    body = words_shape(acts.offered()[verb].words)
    more = {
        "reason": {"type": "string", "description": "why; it is kept with the act"},
        "answers": {
            "type": "object", "additionalProperties": {"type": "string"},
            "description": "code of a question: the reason for going on",
        },
    }  # fmt: skip
    body["properties"] = {**more, **body["properties"]}
    example = EXAMPLES.get(verb)
    answer = {"201": content("what was booked", {"$ref": "#/components/schemas/Booked"})}
    return sends(f"Book: {verb}", body, example, answer, key(acts.slug_of(verb)))


def _figure(view: figures.WorkOut) -> Told:
    figure = FIGURES[view.figure]
    answer = {"200": content("the answer with its working", {"$ref": "#/components/schemas/Answer"})}
    return sends(figure.tells, words_shape(figure.asks), dict(figure.example) or None, answer)


def _things(view: listing.Things) -> Told:
    shelf = view.shelf
    page: Shape = {
        "type": "object",
        "properties": {
            "results": {"type": "array", "items": row_shape(shelf.columns)},
            "next": {"type": ["string", "null"]},
            "previous": {"type": ["string", "null"]},
            "count": {"type": "integer", "description": "where include=count asked for it"},
            "count_is_all": {"type": "boolean", "description": "false where counting stopped before the end"},
        },
        "required": ["results", "next", "previous"],
    }
    limit = query("limit", "rows of a page", {"type": "integer", "minimum": 1, "maximum": listing.MOST})
    cursor = query("cursor", "where to go on: follow `next` and `previous`")
    include = query("include", f"count: how many there are, up to {listing.MOST_COUNTED:,}", {"enum": ["count"]})
    says = f"List: {shelf.name}, newest first or as ordering says"
    return reads(says, page, limit, cursor, include, *asked_of(shelf))


def _one(view: listing.OneThing) -> Told:
    return reads(f"One {view.shelf.one}", row_shape(view.shelf.columns), _fields(view.shelf))


def _export(view: exporting.Export) -> Told:
    shelf = view.shelf
    says = "csv, ndjson, xlsx, or package: the CSV in a zip with datapackage.json, which describes it"
    form = query("format", says, {"type": "string", "enum": list(exporting.FORMS)})
    told = reads(f"All {shelf.name} as one stream", ANY, {**form, "required": True}, *asked_of(shelf))
    content = {form.partition(";")[0]: {"schema": {"type": "string"}} for form in exporting.FORMS.values()}
    return {**told, "responses": {"200": {"description": "the whole list", "content": content}}}


def _descriptor(view: data_packages.Descriptor) -> Told:
    says = f"What the CSV of {view.shelf.name} holds, as a Data Package (Frictionless Data, version 1)"
    return reads(says, DATA_PACKAGE, *asked_of(view.shelf))


def _epcis() -> Told:
    told = reads("A lot's history as an EPCIS 2.0 document, an event for every act before and after it", ANY)
    kinds = {kind: {"schema": ANY} for kind in (JSON, "application/ld+json")}
    return {**told, "responses": {"200": {"description": "an EPCISDocument", "content": kinds}}}


def _index() -> Told:
    return reads("All addresses", ANY)


def _outcome(_view: APIView) -> Told:
    return sends("Grade a portion; nothing is kept", PORTION_SENT, PORTION, {"200": content("the grade", OUTCOME)})


_NAMED = {
    "lots": "its number, with or without hyphens, or its id", "sheets": "its id or its SHA-256", "loads": "its number",
    "samples": "its number, such as G03", "rule-sets": "its id, such as QM-DEMO",
}  # fmt: skip
_OF = {
    "name": "of",
    "in": "query",
    "required": True,
    "schema": {"type": "string", "minLength": 1},
    "example": "24-0016-5",
}
_FORWARD = {
    "name": "forward", "in": "query", "schema": {"type": "boolean"}, "description": "to shipments, not back to plots",
}  # fmt: skip
_TOLD: Mapping[type[APIView], Callable[[Any], Told]] = {
    acts.Acts: lambda _view: reads("All acts with their fields", ANY),
    acts.Do: lambda view: _act(view.verb),
    figures.Figures: lambda _view: reads("All figures with what they ask for", ANY),
    figures.WorkOut: _figure,
    figures.OutcomeOf: _outcome,
    figures.SampleOutcome: lambda _view: reads("The grade of a sample", OUTCOME, query("rule_set", "another rule set")),
    lots.OneLot: lambda _view: reads("One lot and its story", LOT),
    lots.LotTrace: lambda _view: reads("What a lot came from, or what came of it", TRACE, _FORWARD),
    lots.LotEpcis: lambda _view: _epcis(),
    lots.Trace: lambda _view: reads("What anything came from, or what came of it", TRACE, _OF, _FORWARD),
    lots.RecallOf: lambda _view: reads("What shares the seed of something, where it is, who got it", ANY, _OF),
    lots.Receive: lambda _view: _act("receive"),
    rule_sets.RuleSets: lambda _view: reads("All editions of rule sets", ANY),
    rule_sets.OneRuleSet: lambda _view: reads("One edition with its tables", ANY),
    operations.OneOperation: lambda view: reads("One act with all that it wrote", ANY, _fields(view.shelf)),
    operations.Machines: lambda _view: reads("The machines that a run may name", ANY),
    me.Me: lambda _view: reads("Who the key is, and what it may do", ANY),
    listing.Things: _things,
    listing.OneThing: _one,
    exporting.Export: _export,
    data_packages.Descriptor: _descriptor,
    sheets.Sheets: _things,
}


def _problems(method: str, told: Told) -> Told:
    names = [one["name"] for one in told.get("parameters", ())]
    only = {"409": method == "POST", "413": "requestBody" in told, **dict.fromkeys(("412", "428"), "If-Match" in names)}
    codes = [code for code in PROBLEMS if only.get(code, True)]
    return {code: {"$ref": f"#/components/responses/{PROBLEMS[code][0]}"} for code in codes}


def _fields(shelf: Shelf) -> Told:
    return query("fields", f"only these, with commas: {', '.join(column.name for column in shelf.columns)}")


def asked_of(shelf: Shelf) -> list[Told]:
    """Describe the parameters that a list and its exports share."""
    return [*_order(shelf), _fields(shelf), *told_filters(shelf)]


def _order(shelf: Shelf) -> list[Told]:
    """Describe by which columns a list may be ordered."""
    ways = [f"{sign}{name}" for name in orders_of(shelf) for sign in ("", "-")]
    return [query("ordering", "by one column, the least first; with a hyphen before it the greatest", {"enum": ways})]


def told_filters(shelf: Shelf) -> list[Told]:
    """Describe the parameters that leave fewer rows of a list."""
    words = [query("q", f"words to look for in {', '.join(shelf.searched)}")] if shelf.searched else []
    return words + [
        query(parameter, f"{column.tells}: {wanted_of(column, comparison)}".removeprefix(": "))
        for column in shelf.columns
        for parameter, comparison in comparisons_of(column)
    ]


def _name(view: APIView, path: str) -> Told:
    shelf = getattr(view, "shelf", None)
    kind = path.removeprefix("/api/v1/").split("/")[0]
    says = f"its {shelf.named_by}" if isinstance(shelf, Shelf) else _NAMED.get(kind, "its name")
    if isinstance(shelf, Shelf) and shelf.named_by != "id" and shelf.column("id").kind is Kind.UID:
        says += ", or its id"
    return {
        "name": "name", "in": "path", "required": True, "description": says, "schema": {"type": "string"},
        "example": NAMES[kind],
    }  # fmt: skip
