"""The published schema of the form and the reader's own shape say the same, name by name and kind by kind."""

import copy
import json
import re
from importlib.resources import files
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from grading.queries.shipped import SCHEMA, shipped_rule_sets
from grading.rules.rule_form_naming import is_figure
from grading.rules.rule_form_shape import ANY, DATE, FORM, OPTIONAL_TEXT, TEXT, TRUTH, Shape, shape_faults

FOLDER = files("grading") / "rule_sets"
WRITTEN = json.loads((FOLDER / SCHEMA).read_text("utf-8"))
README = (FOLDER / "README.md").read_text("utf-8")


VALIDATOR = Draft202012Validator(WRITTEN)
DEMO = json.loads((FOLDER / "QM-DEMO.json").read_text("utf-8"))


@pytest.mark.parametrize("rule_set", shipped_rule_sets(), ids=lambda rule_set: rule_set.id)
def test_every_shipped_file_fits_the_schema(rule_set: Any) -> None:
    document = json.loads((FOLDER / f"{rule_set.id}.json").read_text("utf-8"))
    assert list(VALIDATOR.iter_errors(document)) == []


def places(value: object, path: tuple[object, ...] = ()) -> list[tuple[object, ...]]:
    """Every place in a document."""
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [path, *(place for name, part in inner for place in places(part, (*path, name)))]


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(places(DEMO)[1:]), st.sampled_from([None, 3, True, "", [], {}, [3], {"x": 3}, ["x"]]))
def test_whatever_the_reader_calls_misshapen_the_schema_refuses_too(place: tuple[Any, ...], value: object) -> None:
    document = copy.deepcopy(DEMO)
    inner: Any = document
    for name in place[:-1]:
        inner = inner[name]
    inner[place[-1]] = value
    if list(shape_faults(document)):
        assert list(VALIDATOR.iter_errors(document))


def kinds_of(schema: dict[str, Any]) -> set[str]:
    """The JSON types a schema lets through."""
    if "$ref" in schema:
        return kinds_of(WRITTEN["$defs"][schema["$ref"].rpartition("/")[2]])
    if "oneOf" in schema:
        return set().union(*map(kinds_of, schema["oneOf"]))
    if "const" in schema:
        return {type(schema["const"]).__name__}
    if "enum" in schema:
        return {"string"}
    named = schema["type"]
    return set(named) if isinstance(named, list) else {named}


def differences(kind: object, schema: dict[str, Any], pointer: str) -> list[str]:
    """Where the two part."""
    if isinstance(kind, Shape):
        return _of_shape(kind, schema, pointer)
    if isinstance(kind, tuple):
        group, inner = kind
        wanted, part = ("array", "items") if group == "list" else ("object", "additionalProperties")
        if kinds_of(schema) != {wanted}:
            return [f"{pointer} is no {wanted}"]
        return differences(inner, schema[part], f"{pointer}/*")
    wanted_kinds = {TEXT: {"string"}, TRUTH: {"boolean"}, DATE: {"string", "null"}, OPTIONAL_TEXT: {"string", "null"}}
    return [] if kind == ANY or kinds_of(schema) == wanted_kinds[kind] else [f"{pointer} is another kind"]


def _of_shape(kind: Shape, schema: dict[str, Any], pointer: str) -> list[str]:
    names = {**kind.must, **kind.may}
    if kinds_of(schema) != {"object"} or schema.get("additionalProperties") is not False:
        return [f"{pointer} is no closed object"]
    found = []
    if set(schema["required"]) != set(kind.must):
        found.append(f"{pointer} requires other names")
    if set(schema["properties"]) != set(names):
        found.append(f"{pointer} knows other names")
    return found + [
        each
        for name in names.keys() & schema["properties"].keys()
        for each in differences(names[name], schema["properties"][name], f"{pointer}/{name}")
    ]


def test_schema_and_reader_ask_for_the_same() -> None:
    assert differences(FORM, WRITTEN, "") == []


@pytest.mark.parametrize("name", ["standing", "tables", "below_last"])
def test_the_comparison_sees_a_name_that_only_one_of_them_has(name: str) -> None:
    properties = {key: value for key, value in WRITTEN["properties"].items() if key != name}
    assert differences(FORM, {**WRITTEN, "properties": properties}, "") == [" knows other names"]


@pytest.mark.parametrize("figure", ["0", "0.00", "5", "18.0", "100", "100.0", "99.999999"])
def test_a_per_cent_is_the_same_to_both(figure: str) -> None:
    assert is_figure(figure)
    assert re.fullmatch(WRITTEN["$defs"]["per_cent"]["pattern"], figure)


@pytest.mark.parametrize("figure", ["", "-1", "101", "0,5", ".5", "1.", "1.1234567", "nil", "NaN", "100.1"])
def test_what_is_no_per_cent_is_none_to_both(figure: str) -> None:
    assert not is_figure(figure)
    assert not re.fullmatch(WRITTEN["$defs"]["per_cent"]["pattern"], figure)


def named(schema: dict[str, Any]) -> set[str]:
    """Every name that may be written."""
    found = set(schema.get("properties", ()))
    parts = [*schema.get("properties", {}).values(), schema.get("items"), schema.get("additionalProperties")]
    return found.union(*(named(part) for part in parts if isinstance(part, dict)))


@pytest.mark.parametrize("name", sorted(named(WRITTEN)))
def test_the_readme_tells_of_every_name(name: str) -> None:
    assert f"`{name}`" in README


@pytest.mark.parametrize("rule_set", shipped_rule_sets(), ids=lambda rule_set: rule_set.id)
def test_the_readme_names_every_shipped_file(rule_set: Any) -> None:
    assert f"`{rule_set.id}.json`" in README
    assert (FOLDER / f"{rule_set.id}.json").is_file()
