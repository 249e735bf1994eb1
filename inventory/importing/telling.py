"""What an act asks for, told from the dataclass of its words: no second list of fields that could fall behind."""

import types
from collections.abc import Mapping, Sequence
from dataclasses import MISSING, Field, fields, is_dataclass
from typing import Any, Union, get_args, get_origin, get_type_hints

WEIGHT = "a weight, such as 842, or 842 kg"
LOOKS = {  # how people write what is typed freely; a field's own `metadata["looks"]` says more, others tell their shape
    "at": "a day, such as 2024-09-24, or a moment, such as 2024-09-24T08:00:00Z; without it now",
    "lot": "a lot, such as 24-0016-5",
    "feed_lot": "a lot, such as 24-0016-5",
    "act": "an act, such as #12, a run, a shipment or the lot it made",
    "moisture": "a per cent on wet basis, such as 16.2",
    "before": "a per cent on wet basis, such as 16.2",
    "after": "a per cent on wet basis, such as 16.2",
    **dict.fromkeys(("bags", "feed_bags", "into", "from_bag"), "numbers of bags, such as 1-6, 24"),
    **dict.fromkeys(
        ("gross", "tare", "net", "mass", "feed", "unaccounted", "bag_mass", "part_bag", "spilled", "weighed"), WEIGHT
    ),
    **dict.fromkeys(("out", "loose", "added", "put_back"), WEIGHT),
    **dict.fromkeys(("until", "shipped_on", "sown_on", "checked_on", "day"), "a day, such as 2024-09-24"),
    **dict.fromkeys(("place", "feed_place"), "a place, such as A-01"),
    **dict.fromkeys(("line", "female", "male"), "a line, by any of its names"),
    "unit": "kg or lb",
    "plot": "a plot or block, such as QM25-I1",
    "cross": "a cross, by its code",
    "site": "a site, by its code",
    "sample": "a sample, such as G03",
    "shipment": "a shipment, such as S2",
    "run": "a run, such as R14",
    "container": "a container, such as bin 7",
    "market_class": "one of the station's classes, such as navy",
    "machines": "in the order of the run, such as air-screen + gravity",
    "settings": "screens, air and deck as they were set",
    "recipient": "who it is for, as on their papers",
    "grader": "who picked it, where it is somebody else",
    "role": "intake, line, bench, breeder or records",
}


def tell_short(kind: type[Any]) -> str:
    """Name the fields of an act on one line; what it cannot do without is marked with a star.

    Args:
        kind: the frozen dataclass of the act's typed words.
    """
    return ", ".join(f"{one.name}{'*' if is_needed(one) else ''}" for one in fields(kind))


def tell(kind: type[Any], *, where: str = "") -> list[tuple[str, str]]:
    """Tell each field of an act with the shape it takes, parts of a part one by one.

    Args:
        kind: the frozen dataclass of the act's typed words.
        where: the field these are parts of, "outs.1.".

    Returns:
        Rows of `outs.1.mass` and what stands there.
    """
    hints = get_type_hints(kind)
    return [row for one in fields(kind) for row in _rows(one, hints[one.name], f"{where}{one.name}")]


def is_needed(field: Field[Any]) -> bool:
    """Say whether an act cannot do without a field."""
    return field.default is MISSING and field.default_factory is MISSING


def _rows(field: Field[Any], hint: Any, name: str) -> list[tuple[str, str]]:
    part = _part(hint)
    if part is not None:
        return tell(part, where=f"{name}.1.")
    one = _one_part(hint)
    if one is not None:
        optional = "" if is_needed(field) else "where it is given: "
        return [(row, f"{optional}{shape}") for row, shape in tell(one, where=f"{name}.")]
    usual = LOOKS.get(field.name) if hint in (Any, str) else None
    shape = field.metadata.get("looks") or usual or _shape(hint)
    if get_origin(hint) is not None and _is_a(hint, Mapping):
        name = f"{name}.NAME"
    return [(name, f"needed; {shape}" if is_needed(field) else _unless(field, shape))]


def _unless(field: Field[Any], shape: str) -> str:
    usual = field.default
    if isinstance(usual, bool):
        return f"{shape}; without it {'yes' if usual else 'no'}"
    return f"{shape}; without it {usual}" if isinstance(usual, str) and usual else shape


def _part(hint: Any) -> type[Any] | None:
    """Find the dataclass of which a list is made."""
    inner = get_args(hint)
    if _is_a(hint, Sequence) and inner and is_dataclass(inner[0]):
        return inner[0] if isinstance(inner[0], type) else None
    return None


def _one_part(hint: Any) -> type[Any] | None:
    """Find the dataclass that stands at a field, or may."""
    inner = [one for one in get_args(hint) if one is not type(None)]
    one = inner[0] if get_origin(hint) in (Union, types.UnionType) and len(inner) == 1 else hint
    return one if isinstance(one, type) and is_dataclass(one) else None


def _is_a(hint: Any, kind: type[Any]) -> bool:
    origin = get_origin(hint)
    return isinstance(origin, type) and issubclass(origin, kind)


def _shape(hint: Any) -> str:
    if get_origin(hint) in (Union, types.UnionType):
        simple = [one for one in get_args(hint) if one is not type(None)]
        return _shape(simple[0]) if len(simple) == 1 else "a word or number"
    if _is_a(hint, Mapping):
        return "a weight under each name"
    if _is_a(hint, Sequence):
        return "one or more, with commas"
    return {int: "a whole number", bool: "yes or no", str: "a word"}.get(hint, "a word or number")
