"""What each address does, takes and answers, as OpenAPI has it."""

from collections.abc import Callable, Mapping
from typing import Any

from rest_framework.views import APIView

from api.components import PROBLEMS
from api.v1 import acts, exporting, figures, listing, lots, me, rule_sets
from api.v1.columns import comparisons_of, wanted_of
from api.v1.examples import EXAMPLES, NAMES, PORTION
from api.v1.shapes import Shape, row_shape, words_shape
from api.v1.shelves import Shelf
from grading.queries.figures import FIGURES

Told = dict[str, Any]
_ANY: Shape = {"type": "object"}
_JSON = "application/json"


def describe(view: APIView, path: str, method: str) -> Told:
    """Describe one method of an address.

    Raises:
        KeyError: a view that nobody described.
    """
    told = _own(view, method) or (_TOLD[type(view)](view) if type(view) in _TOLD else _index())
    name = path.removeprefix("/api/v1").strip("/").replace("/", "_").replace("{", "").replace("}", "").replace("-", "_")
    if "{name}" in path:
        told["parameters"] = [_name(view, path), *told.get("parameters", [])]
    return {
        "operationId": f"{method.lower()}_{name or 'index'}",
        **told,
        "tags": [(path.removeprefix("/api/v1/").split("/")[0]) if name else "index"],
        "security": [{"key": []}],
        "responses": {**told["responses"], **_problems(method)},
    }


def _own(view: APIView, method: str) -> Told | None:
    """Take the description that a view brings itself, method by method: `told(method)`."""
    tells = getattr(view, "told", None)
    return dict(tells(method)) if tells is not None else None


def _reads(summary: str, answer: Shape, *parameters: Told) -> Told:
    return {"summary": summary, "parameters": list(parameters), "responses": {"200": _content("what it is", answer)}}


def _sends(summary: str, body: Shape, example: Any, answer: Told, *parameters: Told) -> Told:
    content: Told = {"schema": body, **({"example": example} if example is not None else {})}
    return {
        "summary": summary,
        "parameters": list(parameters),
        "requestBody": {"required": True, "content": {_JSON: content}},
        "responses": answer,
    }


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
    answer = {"201": _content("what was booked", {"$ref": "#/components/schemas/Booked"})}
    return _sends(f"Book: {verb}", body, example, answer, _key(verb))


def _figure(view: figures.WorkOut) -> Told:
    figure = FIGURES[view.figure]
    answer = {"200": _content("the answer with its working", {"$ref": "#/components/schemas/Answer"})}
    return _sends(figure.tells, words_shape(figure.asks), dict(figure.example) or None, answer)


def _things(view: listing.Things) -> Told:
    shelf = view.shelf
    page: Shape = {
        "type": "object",
        "properties": {
            "results": {"type": "array", "items": row_shape(shelf.columns)},
            "next": {"type": ["string", "null"]},
            "previous": {"type": ["string", "null"]},
        },
        "required": ["results", "next", "previous"],
    }
    limit = _query("limit", "rows of a page", {"type": "integer", "minimum": 1, "maximum": listing.MOST})
    cursor = _query("cursor", "where to go on: follow `next` and `previous`")
    return _reads(f"List: {shelf.name}, newest first", page, limit, cursor, _fields(shelf), *_filters(shelf))


def _one(view: listing.OneThing) -> Told:
    return _reads(f"One {view.shelf.one}", row_shape(view.shelf.columns), _fields(view.shelf), _known())


def _export(view: exporting.Export) -> Told:
    shelf = view.shelf
    form = _query("format", "csv or ndjson", {"type": "string", "enum": list(exporting.FORMS)})
    told = _reads(f"All {shelf.name} as one stream", _ANY, {**form, "required": True}, _fields(shelf), *_filters(shelf))
    content = {form.partition(";")[0]: {"schema": {"type": "string"}} for form in exporting.FORMS.values()}
    return {**told, "responses": {"200": {"description": "the whole list", "content": content}}}


def _epcis() -> Told:
    told = _reads("A lot's history as an EPCIS 2.0 document, an event for every act before and after it", _ANY)
    kinds = {kind: {"schema": _ANY} for kind in (_JSON, "application/ld+json")}
    return {**told, "responses": {"200": {"description": "an EPCISDocument", "content": kinds}}}


def _index() -> Told:
    return _reads("All addresses", _ANY)


def _outcome(_view: APIView) -> Told:
    return _sends("Grade a portion; nothing is kept", _ANY, PORTION, {"200": _content("the grade", _ANY)})


_OF = {"name": "of", "in": "query", "required": True, "schema": {"type": "string"}, "example": "24-0016-5"}
_FORWARD = {
    "name": "forward", "in": "query", "schema": {"type": "boolean"}, "description": "to shipments, not back to plots",
}  # fmt: skip
_TOLD: Mapping[type[APIView], Callable[[Any], Told]] = {
    acts.Acts: lambda _view: _reads("All acts with their fields", _ANY),
    acts.Do: lambda view: _act(view.verb),
    figures.Figures: lambda _view: _reads("All figures with what they ask for", _ANY),
    figures.WorkOut: _figure,
    figures.OutcomeOf: _outcome,
    figures.SampleOutcome: lambda _view: _reads("The grade of a sample", _ANY, _query("rule_set", "another rule set")),
    lots.OneLot: lambda _view: _reads("One lot and its story", _ANY, _known()),
    lots.LotTrace: lambda _view: _reads("What a lot came from, or what came of it", _ANY, _FORWARD),
    lots.LotEpcis: lambda _view: _epcis(),
    lots.Trace: lambda _view: _reads("What anything came from, or what came of it", _ANY, _OF, _FORWARD),
    lots.RecallOf: lambda _view: _reads("What shares the seed of something, where it is, who got it", _ANY, _OF),
    lots.Receive: lambda _view: _act("receive"),
    rule_sets.RuleSets: lambda _view: _reads("All editions of rule sets", _ANY),
    rule_sets.OneRuleSet: lambda _view: _reads("One edition with its tables", _ANY, _known()),
    me.Me: lambda _view: _reads("Who the key is, and what it may do", _ANY),
    listing.Things: _things,
    listing.OneThing: _one,
    exporting.Export: _export,
}


def _content(says: str, shape: Shape) -> Told:
    return {"description": says, "content": {_JSON: {"schema": shape}}}


def _problems(method: str) -> Told:
    codes = [code for code in PROBLEMS if method == "POST" or code != "409"]
    return {code: {"$ref": f"#/components/responses/{PROBLEMS[code][0]}"} for code in codes}


def _query(name: str, says: str, shape: Shape | None = None) -> Told:
    return {"name": name, "in": "query", "description": says, "schema": shape or {"type": "string"}}


def _fields(shelf: Shelf) -> Told:
    return _query("fields", f"only these, with commas: {', '.join(column.name for column in shelf.columns)}")


def _filters(shelf: Shelf) -> list[Told]:
    return [
        _query(parameter, f"{column.tells}: {wanted_of(column, comparison)}".removeprefix(": "))
        for column in shelf.columns
        for parameter, comparison in comparisons_of(column)
    ]


def _known() -> Told:
    says = "ETag of what is had already: 304 if it is the same"
    return {"name": "If-None-Match", "in": "header", "description": says, "schema": {"type": "string"}}


def _key(verb: str) -> Told:
    says = "a new one for each act, such as a UUID; the same one to try again"
    shape = {"type": "string", "minLength": 1, "maxLength": 200}
    return {
        "name": "Idempotency-Key", "in": "header", "required": True, "description": says, "schema": shape,
        "example": f"example-{acts.slug_of(verb)}",
    }  # fmt: skip


def _name(view: APIView, path: str) -> Told:
    shelf = getattr(view, "shelf", None)
    kind = path.removeprefix("/api/v1/").split("/")[0]
    says = f"its {shelf.named_by}" if isinstance(shelf, Shelf) else "its name"
    return {
        "name": "name", "in": "path", "required": True, "description": says, "schema": {"type": "string"},
        "example": NAMES[kind],
    }  # fmt: skip
