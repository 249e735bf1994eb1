"""Reads a class card from its written form (grading/class_cards/README.md) and says everything wrong with it."""

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal, InvalidOperation
from typing import Any

from grading.rules.class_card import ClassCard, ColourTarget, LookedAt, OnScreens, WeightRange
from grading.rules.colour_reading import ILLUMINANTS, OBSERVERS, RANGE
from grading.rules.mistakes import NotAnObject, RuleSetFault, shown
from grading.rules.rule_form_shape import ANY, TEXT, Shape, faults_of, the_place
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.reading import UNKEPT, listed

_LOOKED_AT = Shape(
    {"name": TEXT, "words": TEXT, "definition": TEXT, "borderline": TEXT, "best_first": ("list", TEXT), "enough": TEXT}
)
_COLOUR = Shape(
    {"lightness": TEXT, "a": TEXT, "b": TEXT, "illuminant": TEXT, "observer": TEXT, "within": TEXT, "source": TEXT}
)
_FORM = Shape(
    {
        "form": ANY, "id": TEXT, "edition": TEXT, "title": TEXT, "station": TEXT, "classes": ("list", TEXT),
        "source": TEXT, "notes": ("list", TEXT), "looked_at": ("list", _LOOKED_AT),
    },
    {
        "colour": _COLOUR,
        "hundred_seeds_g": Shape({"least": TEXT, "most": TEXT, "source": TEXT}),
        "screens": Shape({"held_on": ("list", TEXT), "least_pct": TEXT, "source": TEXT}),
    },
)  # fmt: skip
LONGEST = {"id": 40, "edition": 40}  # signs that the books hold


class CardFault(RuleSetFault):
    """A card that can't be used as it is written."""

    code = "card_fault"


def read_class_card(document: object) -> ClassCard:
    """Read a parsed card.

    Args:
        document: the JSON object, as parsed.

    Raises:
        Refused: with every fault found, each at its JSON pointer; faults of shape come first.
    """
    if not isinstance(document, dict):
        raise Refused([NotAnObject("The class card", document)])
    faults = list(_shape_faults(document)) or list(_meaning_faults(document))
    if faults:
        raise Refused(faults)
    return _built(document)


def _shape_faults(document: Mapping[str, Any]) -> Iterator[Mistake]:
    yield from faults_of(document, _FORM)
    if any(UNKEPT.search(text) for text in _texts(document)):
        yield CardFault("The card holds a sign that cannot be kept, a NUL or half of a character. Take it out.")
    if document.get("form", 1) != 1:
        yield CardFault(f"This is form {shown(document['form'])} of a class card. We read form 1.", field="/form")


def _texts(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict | list):
        for part in (*value, *value.values()) if isinstance(value, dict) else value:
            yield from _texts(part)


def _meaning_faults(document: Mapping[str, Any]) -> Iterator[Mistake]:
    for name, longest in LONGEST.items():
        if len(document[name]) > longest:
            yield CardFault(f"/{name} has {len(document[name])} signs; {longest} fit. Shorten it.", field=f"/{name}")
    for name in ("classes", "looked_at"):
        if not document[name]:
            yield CardFault(f"/{name} is empty. Name at least one.", field=f"/{name}")
    yield from _looked_at_faults(document["looked_at"])
    yield from _colour_faults(document.get("colour"))
    yield from _weight_faults(document.get("hundred_seeds_g"))
    yield from _screen_faults(document.get("screens"))


def _looked_at_faults(entries: Sequence[Mapping[str, Any]]) -> Iterator[Mistake]:
    seen: set[str] = set()
    for place, entry in enumerate(entries):
        at, words = f"/looked_at/{place}", entry["best_first"]
        if entry["name"] in seen:
            yield CardFault(f"{at}/name: {entry['name']} stands twice. Keep one.", field=f"{at}/name")
        seen.add(entry["name"])
        if len(words) < 2 or len({word.casefold() for word in words}) < len(words):
            yield CardFault(
                f"{at}/best_first needs two words or more, each once, the best first.", field=f"{at}/best_first"
            )
        if entry["enough"] not in words:
            says = f"{at}/enough is {shown(entry['enough'])}. Give one of its words: {listed(list(words))}."
            yield CardFault(says, field=f"{at}/enough")


def _colour_faults(colour: Mapping[str, str] | None) -> Iterator[Mistake]:
    if colour is None:
        return
    for name, (least, most) in RANGE.items():
        yield from _number_faults(colour[name], f"/colour/{name}", least, most)
    yield from _number_faults(colour["within"], "/colour/within", 0, 100)
    for name, known in (("illuminant", ILLUMINANTS), ("observer", OBSERVERS)):
        if colour[name] not in known:
            says = f"/colour/{name} is {shown(colour[name])}. Give {listed(list(known))}."
            yield CardFault(says, field=f"/colour/{name}")


def _weight_faults(weight: Mapping[str, str] | None) -> Iterator[Mistake]:
    if weight is None:
        return
    faults = [*_number_faults(weight["least"], "/hundred_seeds_g/least", 0, 1000)]
    faults += _number_faults(weight["most"], "/hundred_seeds_g/most", 0, 1000)
    if not faults and Decimal(weight["least"]) > Decimal(weight["most"]):
        says = f"/hundred_seeds_g goes from {weight['least']} to {weight['most']} g. Put the smaller one first."
        faults.append(CardFault(says, field="/hundred_seeds_g/least"))
    yield from faults


def _screen_faults(screens: Mapping[str, Any] | None) -> Iterator[Mistake]:
    if screens is None:
        return
    if not screens["held_on"]:
        yield CardFault("/screens/held_on is empty. Name at least one screen.", field="/screens/held_on")
    yield from _number_faults(screens["least_pct"], "/screens/least_pct", 0, 100)


def _number_faults(text: str, pointer: str, least: int, most: int) -> Iterator[Mistake]:
    try:
        number = Decimal(text)
    except InvalidOperation:
        number = Decimal("NaN")
    if not (number.is_finite() and least <= number <= most):
        yield CardFault(
            f"{the_place(pointer)} is {shown(text)}. Give a number from {least} to {most}, as a text.", field=pointer
        )


def _built(document: Mapping[str, Any]) -> ClassCard:
    colour, weight, screens = (document.get(name) for name in ("colour", "hundred_seeds_g", "screens"))
    return ClassCard(
        id=document["id"],
        edition=document["edition"],
        title=document["title"],
        station=document["station"],
        classes=tuple(document["classes"]),
        source=document["source"],
        notes=tuple(document["notes"]),
        looked_at=tuple(
            LookedAt(**{**entry, "best_first": tuple(entry["best_first"])}) for entry in document["looked_at"]
        ),
        colour=colour and _colour(colour),
        hundred_seeds_g=weight and WeightRange(Decimal(weight["least"]), Decimal(weight["most"]), weight["source"]),
        screens=screens and OnScreens(tuple(screens["held_on"]), Decimal(screens["least_pct"]), screens["source"]),
    )


def _colour(colour: Mapping[str, str]) -> ColourTarget:
    lightness, a, b, within = (Decimal(colour[name]) for name in ("lightness", "a", "b", "within"))
    return ColourTarget(lightness, a, b, colour["illuminant"], colour["observer"], within, colour["source"])
