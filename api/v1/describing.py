"""The words that descriptions of addresses are made of: what is read, what is sent, which headers go along."""

from collections.abc import Callable
from typing import Any

from api.v1.shapes import Shape

Told = dict[str, Any]
Tell = Callable[[Any], Told]  # of a view
ANY: Shape = {"type": "object"}
JSON = "application/json"


def reads(summary: str, answer: Shape, *parameters: Told) -> Told:
    """Describe an address that is read."""
    return {"summary": summary, "parameters": list(parameters), "responses": {"200": content("what it is", answer)}}


def sends(summary: str, body: Shape, example: Any, answer: Told, *parameters: Told) -> Told:
    """Describe an address that takes a JSON object, with an example that works on the demo season."""
    sent: Told = {"schema": body, **({"example": example} if example is not None else {})}
    return {
        "summary": summary,
        "parameters": list(parameters),
        "requestBody": {"required": True, "content": {JSON: sent}},
        "responses": answer,
    }


def content(says: str, shape: Shape) -> Told:
    """Describe one answer in JSON."""
    return {"description": says, "content": {JSON: {"schema": shape}}}


def later(what: str) -> Told:
    """Describe an answer that names the job which does it."""
    return content(f"the job of {what}; Location says where it is looked at", ANY)


def prefer() -> Told:
    """Describe Prefer."""
    says = "respond-async: as a job, also where it is short (RFC 7240)"
    return {"name": "Prefer", "in": "header", "description": says, "schema": {"type": "string"}}


def query(name: str, says: str, shape: Shape | None = None) -> Told:
    """Describe a parameter of the address."""
    return {"name": name, "in": "query", "description": says, "schema": shape or {"type": "string"}}


def seen() -> Told:
    """Describe If-Match."""
    says = "the ETag of what was read, or * for whatever stands"
    shape = {"type": "string", "minLength": 1}
    return {
        "name": "If-Match", "in": "header", "required": True, "description": says, "schema": shape, "example": "*",
    }  # fmt: skip


def as_known(told: Told) -> Told:
    """Add to an address that is read what its ETag does."""
    same = {"description": "it is as the ETag in If-None-Match says"}
    return {
        **told, "parameters": [*told.get("parameters", []), known()], "responses": {**told["responses"], "304": same},
    }  # fmt: skip


def known() -> Told:
    """Describe If-None-Match."""
    says = "ETag of what is had already: 304 if it is the same"
    return {"name": "If-None-Match", "in": "header", "description": says, "schema": {"type": "string"}}


def key(act: str) -> Told:
    """Describe the Idempotency-Key, with one as an example: "add-cross"."""
    says = "a new one for each act, such as a UUID; the same one to try again"
    shape = {"type": "string", "minLength": 1, "maxLength": 200}
    return {
        "name": "Idempotency-Key", "in": "header", "required": True, "description": says, "schema": shape,
        "example": f"example-{act}",
    }  # fmt: skip
