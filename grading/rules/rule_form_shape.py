"""The shape of a written rule set: which names stand where, and what kind of value each holds."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from grading.rules.mistakes import RuleSetFault, nearest, shown
from inventory.rules.mistakes import Mistake

TEXT, TRUTH, ANY = "a text", "true or false", "any value"
DATE = "a date as text, or null"
OPTIONAL_TEXT = "a text, or null"


@dataclass(frozen=True, slots=True)
class Shape:
    """An object: the names it must have, and those it may have.

    A value's kind is one of the words above, another Shape, ("list", kind) or ("map", kind).
    """

    must: Mapping[str, object] = field(default_factory=dict)
    may: Mapping[str, object] = field(default_factory=dict)


_FACTOR = Shape(
    {"words": TEXT},
    {
        "basis": TEXT,
        "taken_by": TEXT,
        "sum_of": ("list", TEXT),
        "counted": ("map", TEXT),
        "least_portion_g": TEXT,
        "has_chance": TRUTH,
        "weighs_like_a_seed": TRUTH,
        "also_called": ("list", TEXT),
        "limit_is": TEXT,
        "reads": TEXT,
        "per_g": TEXT,
    },
)
_GRADE = Shape({"grade": TEXT, "limits": ("map", ANY), "needs": ("map", TEXT)})
_TABLE = Shape(
    {
        "class": TEXT,
        "applies_to": ("list", TEXT),
        "table": TEXT,
        "class_in_name": TRUTH,
        "grades": ("list", _GRADE),
    },
    {
        "any_order": TRUTH,
        "least_portion_g": TEXT,
        "allowances": (
            "list",
            Shape(
                {
                    "classes": ("list", TEXT),
                    "dish": TEXT,
                    "up_to": TEXT,
                    "not_counted_in": ("list", TEXT),
                    "source": TEXT,
                }
            ),
        ),
    },
)
_OVER = Shape({"factor": TEXT, "over": TEXT, "name": TEXT, "source": TEXT})
_CHANGE = Shape({"factor": TEXT, "over": TEXT, "makes": TEXT, "source": TEXT}, {"classes": ("list", TEXT)})
FORM = Shape(
    {
        "form": ANY,
        "id": TEXT,
        "title": TEXT,
        "edition": TEXT,
        "in_force": Shape({"from": DATE, "until": DATE}),
        "source": TEXT,
        "official": TRUTH,
        "notes": ("list", TEXT),
        "name_order": ANY,
        "factors": ("map", _FACTOR),
        "parts_read_to": TEXT,
        "judged": ("map", Shape({"words": TEXT, "best_first": ("list", TEXT), "source": TEXT})),
        "dockage": Shape({"read_to": TEXT, "source": TEXT}, {"least_g": TEXT}),
        "additions": (
            "list",
            Shape({"word": TEXT, "reading": TEXT, "over": TEXT, "source": TEXT}, {"retest_within": TEXT}),
        ),
        "instead": ("list", _OVER),
        "below_last": Shape({"name": TEXT, "source": TEXT}, {"further": ("list", _OVER)}),
        "stops": ("map", Shape({"name": OPTIONAL_TEXT, "source": TEXT})),
        "tables": ("list", _TABLE),
    },
    {"standing": TEXT, "purpose": TEXT, "rounding": TEXT, "class_changes": ("list", _CHANGE)},
)
_TYPES: Mapping[object, tuple[type, ...]] = {
    TEXT: (str,),
    TRUTH: (bool,),
    DATE: (str, type(None)),
    OPTIONAL_TEXT: (str, type(None)),
}


def shape_faults(document: object) -> Iterator[Mistake]:
    """Yield what a written rule set lacks, has too much or has of another kind, each at its JSON pointer."""
    yield from _faults(document, FORM, "")
    if isinstance(document, dict) and document.get("form", 1) != 1:
        says = f"This is form {shown(document['form'])} of a rule set. We read form 1."
        yield RuleSetFault(says, field="/form")


def faults_of(value: object, kind: object) -> Iterator[Mistake]:
    """Yield what a written form lacks, has too much or has of another kind than its shape, each at its JSON pointer."""
    yield from _faults(value, kind, "")


def the_place(pointer: str) -> str:
    """Say in words where a JSON pointer leads: "/tables/0/grades/1/limits" is "The limits of grade 2 of table 1"."""
    names: list[str] = []
    for part in pointer.split("/")[1:]:
        if part.isdecimal() and names:
            names[-1] = f"{names[-1].removesuffix('s')} {int(part) + 1}"
        else:
            names.append(part.replace("_", " "))
    return f"The {' of '.join(reversed(names))}" if names else "It"


def _faults(value: object, kind: object, pointer: str) -> Iterator[Mistake]:
    if isinstance(kind, Shape):
        yield from _object_faults(value, kind, pointer)
    elif isinstance(kind, tuple):
        yield from _group_faults(value, kind, pointer)
    elif kind != ANY and not isinstance(value, _TYPES[kind]):
        yield RuleSetFault(f"{the_place(pointer)} is {shown(value)}. It should be {kind}.", field=pointer)
    elif kind == TEXT and value == "":
        yield RuleSetFault(f"{the_place(pointer)} is empty. Say what belongs there.", field=pointer)


def _object_faults(value: object, shape: Shape, pointer: str) -> Iterator[Mistake]:
    if not isinstance(value, dict):
        yield RuleSetFault(f"{the_place(pointer)} is {shown(value)}. It should be an object.", field=pointer)
        return
    known = {**shape.must, **shape.may}
    for name in shape.must:
        if name not in value:
            yield RuleSetFault(
                f"{the_place(f'{pointer}/{name}')} is missing; a shipped one shows where it stands.",
                field=f"{pointer}/{name}",
            )
    for name, part in value.items():
        if name in known:
            yield from _faults(part, known[name], f"{pointer}/{name}")
        else:
            near = nearest(name, known)
            hint = f"Did you mean {near}?" if near else f"Known: {', '.join(known)}."
            yield RuleSetFault(
                f"{the_place(pointer)} holds {shown(name)}, which we don't know. {hint}", field=f"{pointer}/{name}"
            )


def _group_faults(value: object, kind: tuple[object, ...], pointer: str) -> Iterator[Mistake]:
    group, inner = kind
    wanted: type = list if group == "list" else dict
    if not isinstance(value, wanted):
        yield RuleSetFault(f"{the_place(pointer)} is {shown(value)}. It should be a {group}.", field=pointer)
        return
    pairs = enumerate(value) if isinstance(value, list) else value.items() if isinstance(value, dict) else ()
    for name, part in pairs:
        yield from _faults(part, inner, f"{pointer}/{name}")
