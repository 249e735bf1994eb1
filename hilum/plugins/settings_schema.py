"""What a plugin can be set to: a small part of JSON Schema for a flat object, of which the site draws a form.

Taken are `type`, `title`, `description`, `default`, `enum`, `minimum`, `maximum` and `writeOnly` (a secret) of each
property. Anything else is a fault of the schema: a rule that is not kept must not look as if it were.

Source: JSON Schema 2020-12, Validation vocabulary (json-schema.org), sections 6.1, 6.2, 9.1, 9.2 and 9.4.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from keyword import iskeyword
from types import MappingProxyType
from typing import Any, Literal

SettingValue = str | int | Decimal | bool
Reads = Literal["string", "number", "integer", "boolean"]
TYPES: tuple[Reads, ...] = ("string", "number", "integer", "boolean")
LEAST, MOST = Decimal(-1_000_000), Decimal(1_000_000)  # where the schema names no bounds
_OF_OBJECT = {"type", "title", "description", "properties", "additionalProperties", "$schema"}
_OF_EACH = {"type", "title", "description", "default"}
_ALSO = {
    "string": {"enum", "writeOnly"}, "number": {"minimum", "maximum"}, "integer": {"minimum", "maximum"},
    "boolean": set[str](),
}  # fmt: skip
# Words that forms and requests bear beside the settings.
TAKEN_NAMES = ("answers", "csrfmiddlewaretoken", "key", "more", "reason", "save", "take", "then")
NOTHING: Mapping[str, SettingValue] = MappingProxyType({})


@dataclass(frozen=True)
class Setting:
    """One thing that can be set."""

    name: str
    reads: Reads
    title: str
    description: str = ""
    default: SettingValue | None = None
    choices: tuple[str, ...] = ()
    least: Decimal = LEAST
    most: Decimal = MOST
    is_secret: bool = False


def settings_in(schema: Mapping[str, Any]) -> tuple[Setting, ...]:
    """Read a schema that has no faults."""
    return tuple(_setting(name, one) for name, one in schema.get("properties", {}).items())


def faults_of_schema(schema: object) -> Iterator[str]:
    """Name what is wrong with a schema, each as half a sentence; an empty one says that nothing can be set."""
    if not isinstance(schema, Mapping):
        yield "its settings_schema is no object"
        return
    if not schema:
        return
    yield from _unknown("its settings_schema", schema, _OF_OBJECT)
    properties = schema.get("properties")
    if schema.get("type") != "object" or not isinstance(properties, Mapping):
        yield "its settings_schema is not of the type object with properties"
        return
    for name, one in properties.items():
        yield from _faults(f"its setting {name!r}", str(name), one)


def text_of(value: SettingValue) -> str:
    """Write a value as exact text, as it is kept."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:f}" if isinstance(value, Decimal) else str(value)


def value_of(setting: Setting, text: str) -> SettingValue | None:
    """Read a value that was kept; None where the schema, which may have changed since, takes it no more."""
    if setting.reads == "boolean":
        return {"yes": True, "no": False}.get(text)
    if setting.reads == "string":
        return text if not setting.choices or text in setting.choices else None
    try:
        number = Decimal(text)
        is_taken = setting.least <= number <= setting.most and not (setting.reads == "integer" and number % 1)
    except InvalidOperation:  # no number, or one that cannot be compared
        return None
    if not is_taken:
        return None
    return int(number) if setting.reads == "integer" else number


def frozen(settings: tuple[Setting, ...], kept: Mapping[str, str]) -> Mapping[str, SettingValue]:
    """Give what holds: what was set, else what stands where nothing is set; what has neither is left out.

    Args:
        kept: name -> exact text; names and values that the schema does not know any more are passed over.
    """
    read = {one.name: value_of(one, kept[one.name]) for one in settings if one.name in kept}
    found = {one.name: one.default if read.get(one.name) is None else read[one.name] for one in settings}
    return MappingProxyType({name: value for name, value in found.items() if value is not None})


def _setting(name: str, one: Mapping[str, Any]) -> Setting:
    return Setting(
        name, one["type"], str(one.get("title", name.replace("_", " "))), str(one.get("description", "")),
        _exact(one["type"], one.get("default")), tuple(one.get("enum", ())),
        _decimal(one.get("minimum", LEAST)), _decimal(one.get("maximum", MOST)), bool(one.get("writeOnly", False)),
    )  # fmt: skip


def _exact(reads: Reads, value: Any) -> SettingValue | None:
    return _decimal(value) if reads == "number" and value is not None else value


def _decimal(value: Any) -> Decimal:
    return Decimal(str(value))


def _faults(which: str, name: str, one: object) -> Iterator[str]:
    if not (name.isidentifier() and name.isascii() and name == name.lower()):
        yield f"{which} is not named in small letters, digits and underscores"
    if iskeyword(name) or name in TAKEN_NAMES:
        yield f"{which} has a name that is taken; name it otherwise"
    if not isinstance(one, Mapping) or one.get("type") not in TYPES:
        yield f"{which} has no type of {', '.join(TYPES)}"
        return
    yield from _unknown(which, one, _OF_EACH | _ALSO[one["type"]])
    yield from _faults_of_rules(which, one)


def _faults_of_rules(which: str, one: Mapping[str, Any]) -> Iterator[str]:
    choices = one.get("enum", ["any"])
    if not isinstance(choices, list | tuple) or not choices or not all(isinstance(it, str) and it for it in choices):
        yield f"{which} has an enum that is no list of texts"
        return
    bounds = [one[name] for name in ("minimum", "maximum") if name in one]
    if not all(_is_of("number", bound) for bound in bounds) or bounds != sorted(bounds):
        yield f"{which} has a minimum and a maximum that are no two numbers in this order"
    elif "default" in one and not _fits(one):
        yield f"{which} has a default that it does not allow itself"
    if one.get("writeOnly") and "default" in one:
        yield f"{which} is a secret with a default, which everybody knows"
    if one.get("writeOnly") and "enum" in one:
        yield f"{which} is a secret with an enum, which everybody knows"


def _fits(one: Mapping[str, Any]) -> bool:
    value = one["default"]
    if not _is_of(one["type"], value) or ("enum" in one and value not in one["enum"]):
        return False
    return one["type"] not in ("number", "integer") or one.get("minimum", LEAST) <= value <= one.get("maximum", MOST)


def _is_of(reads: Reads, value: object) -> bool:
    """Say whether a value of Python is one of a type of JSON Schema; yes and no are no numbers there."""
    if reads in ("number", "integer"):
        kinds = int if reads == "integer" else int | float | Decimal
        return isinstance(value, kinds) and not isinstance(value, bool)
    return isinstance(value, str if reads == "string" else bool)


def _unknown(which: str, told: Mapping[str, Any], known: set[str]) -> Iterator[str]:
    for word in sorted(set(map(str, told)) - known):
        yield f"{which} says {word!r}, which is not read there"
