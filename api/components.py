"""Shapes that many addresses of the API share, as its description names them."""

from typing import Any

_TEXT, _MAYBE = {"type": "string"}, {"type": ["string", "null"]}
_TEXTS = {"type": "array", "items": _TEXT}
_OBJECTS = {"type": "array", "items": {"type": "object"}}


def _list(says: str, **parts: Any) -> dict[str, Any]:
    return {"type": "array", "description": says, "items": {"type": "object", "properties": parts}}


_WROTE = {
    "operations": _list(
        "the acts that were written",
        uid={**_TEXT, "description": "`id` of lists and changes"},
        number={"type": "integer", "description": "`seq` of changes: its place in the chain"},
        kind=_TEXT, name=_TEXT, at=_TEXT, reason=_TEXT,
    ),
    "lots": _list(
        "lots that were made", lot={**_TEXT, "description": "its number"}, line=_MAYBE, **{"class": _MAYBE},
        kg={**_TEXT, "description": "exact"}, place=_MAYBE, moisture_pct=_MAYBE,
        advice={**_MAYBE, "description": "where it is too wet to wait"},
    ),
    "bags": _list(
        "bags that were filled", bag={**_TEXT, "description": "lot and number, as on its label"}, kg=_TEXT, place=_TEXT
    ),
    "measured": _list(
        "what a plugin's method came to", lot=_TEXT, kind=_TEXT,
        results=_list("each exact", name=_TEXT, value=_TEXT, unit=_TEXT),
    ),
    "notes": {**_TEXTS, "description": "what was read otherwise than it was sent, and what to know"},
}  # fmt: skip
PROBLEMS = {
    "400": ("Unreadable", "it cannot be read"),
    "401": ("WithoutKey", "no key, or one that is not known"),
    "403": ("MayNot", "not with this key or this role"),
    "404": ("NotThere", "it is not there"),
    "409": ("Asked", "something is asked: answer it and send the same again"),
    "429": ("TooOften", "this key asks too often: wait as Retry-After says"),
    "412": ("Changed", "it is no longer as it was read: read it again"),
    "413": ("TooLarge", "the body is longer than what is read"),
    "422": ("Refused", "it is refused, with everything that stands in the way"),
    "428": ("SeenMissing", "a change needs If-Match"),
}
_PROBLEM = {"application/problem+json": {"schema": {"$ref": "#/components/schemas/Problem"}}}

COMPONENTS: dict[str, Any] = {
    "securitySchemes": {
        "key": {"type": "http", "scheme": "bearer", "description": "the page Connections makes a key."},
    },
    "responses": {name: {"description": says, "content": _PROBLEM} for name, says in PROBLEMS.values()},
    "schemas": {
        "Mass": {
            "type": "object",
            "description": "an exact mass",
            "properties": {"value": {"type": "string", "pattern": r"^-?\d+\.\d+$"}, "unit": {"const": "kg"}},
            "required": ["value", "unit"],
        },
        "Booked": {
            "type": "object",
            "description": "what an act wrote",
            "properties": _WROTE,
            "required": ["operations", "lots", "bags", "notes"],
        },
        "Bulk": {
            "type": "object",
            "description": "what became of each item, in their order",
            "properties": {
                "mode": {"enum": ["atomic", "each"]},
                "items": {
                    "type": "array",
                    "items": {
                        "type": "object",
                        "properties": {
                            "client_id": _TEXT, "status": {"type": "integer"},
                            "id": {**_MAYBE, "description": "of its operation, where it wrote one"},
                            **_WROTE, "problem": {"$ref": "#/components/schemas/Problem"},
                        },
                        "required": ["client_id", "status"],
                    },
                },
            },
            "required": ["mode", "items"],
        },
        "Found": {
            "type": "object",
            "description": "a sheet with everything found in it, as `manage.py sheet --json` prints it",
            "properties": {
                "id": _TEXT, "sha256": _TEXT, "file_name": _TEXT, "kind": _TEXT, "sheet": _TEXT,
                "rows": {"type": "integer"}, "saved": {"type": "integer"}, "load": _MAYBE,
                "findings": {
                    "type": "array",
                    "items": {
                        "type": "object",
                        "properties": {
                            "row": {"type": ["integer", "null"], "description": "as the spreadsheet counts"},
                            "column": {**_TEXT, "description": "the heading as typed"},
                            "cell": _TEXT, "value": _TEXT, "says": _TEXT, "proposal": _MAYBE,
                            "level": {"enum": ["note", "question", "error", "duplicate"]},
                        },
                    },
                },
            },
            "required": ["rows", "findings", "saved", "load"],
        },
        "Answer": {
            "type": "object",
            "description": "named values, the answer in sentences, and how it was worked out",
            "properties": {"says": _TEXTS, "working": _OBJECTS, "notes": _TEXTS},
            "required": ["says", "working", "notes"],
        },
        "Problem": {
            "type": "object",
            "description": "RFC 9457; branch on `code`, never on text",
            "properties": {
                "type": _TEXT, "title": _TEXT, "status": {"type": "integer"}, "detail": _TEXT, "instance": _TEXT,
                "code": _TEXT, "request_id": {**_TEXT, "description": "also in X-Request-ID"},
                "errors": {
                    "type": "array",
                    "items": {
                        "type": "object",
                        "properties": {
                            "code": _TEXT, "level": _TEXT, "field": _TEXT, "detail": _TEXT,
                            "pointer": {"type": "string", "description": "JSON pointer (RFC 6901) into the body"},
                            "proposal": {**_MAYBE, "description": "what is meant, where it is known"},
                            "answer": {**_MAYBE, "description": "how a question is answered"},
                        },
                    },
                },
            },
            "required": ["type", "title", "status", "detail"],
        },
    },
}  # fmt: skip
