"""What a plugin can be set to: which schemas are read, and that we read them as JSON Schema does."""

from decimal import Decimal
from typing import Any

import jsonschema
import pytest

from hilum.plugins import Plugin
from hilum.plugins.plugin import faults_of
from hilum.plugins.settings_schema import faults_of_schema, frozen, settings_in, text_of, value_of

GOOD = {
    "type": "object",
    "properties": {
        "darkest": {"type": "number", "title": "darkest L*", "default": 48.5, "minimum": 0, "maximum": 100},
        "lamp": {"type": "string", "enum": ["D65", "A"], "default": "D65"},
        "replicates": {"type": "integer", "minimum": 1, "maximum": 8},
        "is_strict": {"type": "boolean", "default": False},
        "password": {"type": "string", "writeOnly": True},
    },
}


def of_one(**rules: Any) -> dict[str, Any]:
    return {"type": "object", "properties": {"lamp": rules}}


def test_a_schema_gives_its_settings_in_their_order() -> None:
    assert list(faults_of_schema(GOOD)) == []
    darkest, lamp, replicates, is_strict, password = settings_in(GOOD)
    assert (darkest.title, darkest.default, darkest.most) == ("darkest L*", Decimal("48.5"), Decimal(100))
    assert (lamp.choices, replicates.title, replicates.default) == (("D65", "A"), "replicates", None)
    assert (is_strict.default, password.is_secret, lamp.is_secret) == (False, True, False)


@pytest.mark.parametrize(
    ("schema", "says"),
    [
        ("text", "is no object"),
        ({"type": "array"}, "not of the type object"),
        ({"type": "object", "properties": {}, "required": ["lamp"]}, "says 'required', which is not read there"),
        (of_one(type="array"), "has no type of string, number, integer, boolean"),
        (of_one(type="string", pattern="^a"), "says 'pattern', which is not read there"),
        (of_one(type="string", minimum=1), "says 'minimum', which is not read there"),
        (of_one(type="string", enum=[1]), "an enum that is no list of texts"),
        (of_one(type="string", enum=["a"], default="b"), "a default that it does not allow"),
        (of_one(type="integer", default=1.5), "a default that it does not allow"),
        (of_one(type="integer", default=True), "a default that it does not allow"),
        (of_one(type="number", maximum=4, default=5), "a default that it does not allow"),
        (of_one(type="number", minimum=4, maximum=3), "no two numbers in this order"),
        (of_one(type="number", minimum="4"), "no two numbers in this order"),
        (of_one(type="string", writeOnly=True, default="x"), "a secret with a default"),
        (of_one(type="string", writeOnly=True, enum=["x", "y"]), "a secret with an enum"),
        ({"type": "object", "properties": {"class": {"type": "string"}}}, "has a name that is taken"),
        ({"type": "object", "properties": {"reason": {"type": "string"}}}, "has a name that is taken"),
        ({"type": "object", "properties": {"Lamp lit": {"type": "boolean"}}}, "is not named in small letters"),
    ],
)
def test_a_schema_that_is_not_read_is_a_fault_of_the_plugin(schema: Any, says: str) -> None:
    plugin = Plugin(slug="lamp", title="Lamp", version="1", api=">=1.1,<2", settings_schema=schema)
    assert any(says in fault for fault in faults_of(plugin, "lamp"))


@pytest.mark.outside("JSON Schema, draft 2020-12, by the library jsonschema")
@pytest.mark.parametrize(
    ("rules", "value"),
    [
        ({"type": "integer", "minimum": 1, "maximum": 8}, value) for value in (1, 8, 0, 9, 1.5, True, "1")
    ] + [
        ({"type": "number", "minimum": 0, "maximum": 100}, value) for value in (0, 48.5, 100, -0.1, 100.1, False, "x")
    ] + [
        ({"type": "string", "enum": ["D65", "A"]}, value) for value in ("D65", "A", "B", "", 1)
    ] + [({"type": "boolean"}, value) for value in (True, False, 0, 1, "yes")],
)  # fmt: skip
def test_a_default_fits_where_json_schema_says_so(rules: dict[str, Any], value: Any) -> None:
    """Held against the library jsonschema, draft 2020-12."""
    ours = not list(faults_of_schema(of_one(**rules, default=value)))
    assert ours == jsonschema.Draft202012Validator(rules).is_valid(value)


def test_what_holds_is_frozen_and_typed() -> None:
    held = frozen(settings_in(GOOD), {"darkest": "50.25", "replicates": "4", "gone": "x", "is_strict": "yes"})
    assert held == {"darkest": Decimal("50.25"), "lamp": "D65", "replicates": 4, "is_strict": True}
    assert type(held["replicates"]) is int
    with pytest.raises(TypeError):
        held["lamp"] = "A"  # type: ignore[index]


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("darkest", "bright"),
        ("darkest", "NaN"),
        ("darkest", "500"),
        ("replicates", "2.5"),
        ("lamp", "C"),
        ("is_strict", "4"),
    ],
)
def test_what_was_kept_under_an_earlier_schema_and_fits_no_more_stands_as_if_not_set(name: str, text: str) -> None:
    assert frozen(settings_in(GOOD), {name: text}) == frozen(settings_in(GOOD), {})


@pytest.mark.parametrize(
    ("name", "value"), [("darkest", Decimal("0.10")), ("replicates", 3), ("is_strict", True), ("lamp", "A")]
)
def test_a_value_comes_back_from_its_text(name: str, value: Any) -> None:
    setting = next(one for one in settings_in(GOOD) if one.name == name)
    assert value_of(setting, text_of(value)) == value
