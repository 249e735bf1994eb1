"""A reader of EPCIS documents that knows the standard alone, and the published schema to hold documents against."""

import json
import re
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from django.db.models import Sum
from jsonschema import Draft7Validator, FormatChecker

import hilum
from inventory.models import Entry, Lot, Station
from inventory.queries.epcis import lot_events
from inventory.queries.tracing import trace
from inventory.rules.mass import MG_PER_KG
from tests.make import NOW

SCHEMA = Path(hilum.__file__).parents[2] / "shared" / "epcis" / "EPCIS-JSON-Schema.json"
# RFC 3986, clause 3: a scheme, a colon, and none of the characters that no part may hold.
_URI = re.compile(r"[A-Za-z][A-Za-z0-9+.-]*:(?:%[0-9A-Fa-f]{2}|[A-Za-z0-9:/?#\[\]@!$&'()*+,;=._~-])+")
SITE = "https://seed.example"
Document = Mapping[str, Any]


@cache
def validator() -> Draft7Validator:
    """The published schema, compiled once."""
    if not SCHEMA.exists():
        pytest.skip(f"the published schema is not here: {SCHEMA}")
    formats = FormatChecker(formats=())
    formats.checks("uri")(lambda value: not isinstance(value, str) or bool(_URI.fullmatch(value)))
    formats.checks("date-time", raises=ValueError)(lambda value: datetime.fromisoformat(value).tzinfo is not None)
    return Draft7Validator(json.loads(SCHEMA.read_text(encoding="utf-8")), format_checker=formats)


def wrongs(document: Document) -> list[str]:
    """What the schema finds wrong, as it stands in a file."""
    written = json.loads(json.dumps(document))
    return [f"{list(error.absolute_path)}: {error.message[:200]}" for error in validator().iter_errors(written)]


def standing(document: Document) -> list[Mapping[str, Any]]:
    """Events that no error declaration of the same name takes back (clause 7.4.1.4)."""
    events = document["epcisBody"]["eventList"]
    wrong = {event["eventID"] for event in events if "errorDeclaration" in event}
    return [event for event in events if event["eventID"] not in wrong]


def things(event: Mapping[str, Any], side: str) -> set[str]:
    """What goes into a transformation or comes out of it."""
    classes = {element["epcClass"] for element in event.get(f"{side}QuantityList", ())}
    return classes | set(event.get(f"{side}EPCList", ()))


def ancestors(document: Document, thing: str) -> set[str]:
    """Everything that a thing came from by transformations alone."""
    return _closure(_came_from(document), thing)


def ancestors_over_fields(document: Document, thing: str) -> set[str]:
    """The same, over places too: what went to a field is before what was taken from it."""
    came = _came_from(document)
    for event in standing(document):
        seed = {element["epcClass"] for element in event.get("quantityList", ())} | set(event.get("epcList", ()))
        for each in seed:
            came[each] |= {source["source"] for source in event.get("sourceList", ()) if source["type"] == "location"}
        for goal in event.get("destinationList", ()):
            came[goal["destination"]] |= seed
    return _closure(came, thing)


def _came_from(document: Document) -> dict[str, set[str]]:
    came: dict[str, set[str]] = defaultdict(set)
    for event in standing(document):
        if event["type"] == "TransformationEvent":
            for thing in things(event, "output"):
                came[thing] |= things(event, "input")
    return came


def _closure(came: Mapping[str, set[str]], thing: str) -> set[str]:
    found: set[str] = set()
    waiting = [thing]
    while waiting:
        fresh = came.get(waiting.pop(), set()) - found
        found |= fresh
        waiting += fresh
    return found - {thing}


def sums(document: Document) -> dict[str, int]:
    """What the standing events leave of each lot, from the exact texts [mg]."""
    left: dict[str, int] = defaultdict(int)
    for event in standing(document):
        for mass in event.get("hilum:masses", ()):
            if "lot" in mass:
                left[mass["lot"]] += milligrams(mass["kg"])
    return dict(left)


def milligrams(kg: str) -> int:
    """Read an exact text; more than six decimals would be no milligrams."""
    whole, _point, decimals = kg.removeprefix("-").partition(".")
    assert len(decimals) <= 6, kg
    mg = int(whole) * MG_PER_KG + int(decimals.ljust(6, "0"))
    return -mg if kg.startswith("-") else mg


def quantities(event: Mapping[str, Any], *names: str) -> Iterable[Mapping[str, Any]]:
    """The quantity elements of some lists of an event."""
    return [element for name in names for element in event.get(name, ())]


def told(station: Station, lot: Lot | str) -> Document:
    """A lot's document."""
    return lot_events(station, str(lot), address=SITE, now=NOW)


def events(document: Document, kind: str = "") -> list[dict[str, Any]]:
    """All events, or those of one kind of act."""
    every = document["epcisBody"]["eventList"]
    return [event for event in every if not kind or event["hilum:operation"] == kind]


def address(lot: Lot | str) -> str:
    """What a lot's QR code carries."""
    return f"{SITE}/s/{str(lot).replace('-', '')}"


def adds_up(document: Document) -> bool:
    """Hold a document against the ledger's entries, read without any code of the document's."""
    about, found = document["hilum:about"], sums(document)
    rows = Entry.objects.filter(station__code=about["station"], lot__number__in=about["lots"])
    ledger = dict(rows.values_list("lot__number").annotate(mg=Sum("mg")).order_by())
    return about["lot"] in about["lots"] and all(found.get(lot, 0) == ledger.get(lot, 0) for lot in about["lots"])


def is_traced(
    station: Station, lot: str, document: Document, name: Callable[[str], str] = address
) -> bool:  # fmt: skip
    """Hold the ancestors that transformations alone lead to against the trace; bags are named by longer numbers.

    Args:
        name: of a lot by its number, as the document has it.
    """
    nodes = [node for node in trace(station, lot).nodes if node.kind == "lot" and node.id != lot]
    by_seed = {name(node.id) for node in nodes if node.share is not None}
    return {thing for thing in ancestors(document, name(lot)) if "/s/0" not in thing and "/21/" not in thing} == by_seed
