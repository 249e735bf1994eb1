"""JSON Schemas (draft 2020-12) of what programs send and read: from the words of acts and figures, and from columns."""

import types
from collections.abc import Mapping, Sequence
from dataclasses import fields, is_dataclass
from typing import Any, Union, get_args, get_origin, get_type_hints

from api.v1.columns import Column, Kind
from inventory.importing.telling import LOOKS, is_needed

Shape = dict[str, Any]
ONE_VALUE: Shape = {"type": ["string", "number", "boolean", "null"]}
_SIMPLE: Mapping[Any, Shape] = {
    str: {"type": ["string", "number"]}, int: {"type": ["integer", "string"]}, bool: {"type": ["boolean", "string"]},
}  # fmt: skip
_MASS: Shape = {"$ref": "#/components/schemas/Mass"}
_OF_KIND: Mapping[Kind, Shape] = {
    Kind.NAME: {"type": "string"},
    Kind.UID: {"type": "string", "format": "uuid"},
    Kind.WHOLE: {"type": "integer"},
    Kind.MASS: _MASS,
    Kind.INSTANT: {"type": "string", "format": "date-time"},
    Kind.DAY: {"type": "string", "format": "date"},
    Kind.YES: {"type": "boolean"},
    Kind.EXACT: {"type": "string"},
    Kind.DATA: {"type": ["object", "array"]},
}


def words_shape(kind: type[Any]) -> Shape:
    """Describe the dataclass of typed words of an act or a figure; the text of a field says how it is written."""
    hints = get_type_hints(kind)
    described: Shape = {
        "type": "object",
        "properties": {
            field.name: _told(_word_shape(field, hints[field.name]), _looks(field, hints[field.name]))
            for field in fields(kind)
        },
        "additionalProperties": False,
    }
    needed = [field.name for field in fields(kind) if is_needed(field)]
    return {**described, "required": needed} if needed else described


def row_shape(columns: Sequence[Column]) -> Shape:
    """Describe one row of a list."""
    return {
        "type": "object",
        "properties": {column.name: _column_shape(column) for column in columns},
        "additionalProperties": False,
    }


def _column_shape(column: Column) -> Shape:
    shape = _OF_KIND[column.kind]
    if column.is_empty_allowed:
        given = shape.get("type", [])
        kinds = [given] if isinstance(given, str) else given
        shape = {"oneOf": [shape, {"type": "null"}]} if "$ref" in shape else {**shape, "type": [*kinds, "null"]}
    return _told(shape, column.tells)


def _word_shape(field: Any, hint: Any) -> Shape:
    """Describe a word; one that may be left out may also be null, which says the same."""
    shape = _shape(hint)
    given = shape.get("type")
    if given is None or is_needed(field):
        return shape
    return {**shape, "type": [*dict.fromkeys([*([given] if isinstance(given, str) else given), "null"])]}


def _told(shape: Shape, says: str) -> Shape:
    return {**shape, "description": says} if says else shape


def _looks(field: Any, hint: Any) -> str:
    """Say how a field is written and what stands for it where it is left out."""
    looks = field.metadata.get("looks") or LOOKS.get(field.name, "") or _usual(hint)
    usual = field.default
    if isinstance(usual, bool) or not isinstance(usual, str) or not usual:
        return str(looks)
    return f"{looks}; without it {usual}".removeprefix("; ")


def _usual(hint: Any) -> str:
    """Say how a list of single values is written, and what may be a number; other types tell it themselves."""
    origin, inner = get_origin(hint), get_args(hint)
    if isinstance(origin, type) and issubclass(origin, Sequence) and not is_dataclass(inner[0]):
        return "a list, or one text with commas between"
    return "a number, or a text" if hint is Any else ""


def _shape(hint: Any) -> Shape:
    origin, inner = get_origin(hint), get_args(hint)
    if origin in (Union, types.UnionType):
        some = [one for one in inner if one is not type(None)]
        return _shape(some[0]) if len(some) == 1 else ONE_VALUE
    if isinstance(origin, type) and issubclass(origin, Mapping):
        return {"type": "object", "additionalProperties": _shape(inner[1])}
    if isinstance(origin, type) and issubclass(origin, Sequence):
        return {"type": ["array", "string", "object"], "items": _shape(inner[0])}
    if is_dataclass(hint) and isinstance(hint, type):
        return words_shape(hint)
    return _SIMPLE.get(hint, {})
