"""What the scan line means: the thing that was typed or scanned, or a sentence with up to three proposals."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from django.urls import reverse
from django.utils.translation import gettext

from hilum.plugins.host import the_host
from inventory.models import Container, Place, Station
from inventory.queries.anything import find_anything
from inventory.queries.cards import card_words
from inventory.queries.finding import Find, find_container, find_place
from inventory.queries.labelled import card_on_label, name_on_label
from inventory.rules.label_codes import Card
from inventory.rules.mistakes import Mistake
from inventory.rules.scanned import read_scan

MOST_PROPOSALS = 3


@dataclass(frozen=True)
class Meant:
    """A thing with its kind and name; or, where `kind` is empty, a sentence and proposals to scan instead."""

    kind: str = ""
    name: str = ""
    says: str = ""
    proposals: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    address: str = ""  # of a plugin's thing; the site's own have theirs by kind and name


def what_is_meant(station: Station, typed: str) -> Meant:
    """Find what was typed or scanned, a label's own number among it (a few queries)."""
    text, read_notes = read_scan(typed)
    if not text:
        return Meant(says="Nothing was typed. Scan a label, or type a lot such as 24-0016-5.")
    try:
        card = card_on_label(text)
        if card is not None:
            return _card(card)
        found = _found(station, name_on_label(station, text) or text)
    except Mistake as mistake:
        return Meant(says=mistake.says, proposals=tuple(_proposals(mistake)))
    return replace(found, notes=(*(note.says for note in read_notes), *found.notes))


def _card(card: Card) -> Meant:
    """A card for the wall presses a button of the page that is open; HOLD opens a page of its own."""
    name, does = card_words(card)
    if card is Card.HOLD:
        return Meant("card", name, address=reverse("act", args=["hold"]))
    says = gettext("%(card)s presses a button of the page it is scanned on. %(does)s")
    return Meant(says=says % {"card": name, "does": does})


def _found(station: Station, text: str) -> Meant:
    """Look for a place, then for whatever the books hold, then for what plugins know.

    Raises:
        Mistake: nothing is called so.
    """
    place = _code(find_place, station, text)
    if place:
        return Meant("place", place)
    try:
        thing = find_anything(station, text)
    except Mistake:
        theirs = the_host().find(text, station.code)
        if theirs is not None:
            return Meant(theirs.kind, theirs.name, address=theirs.address)
        container = _code(find_container, station, text)
        if container:
            return Meant("container", container)
        raise
    return Meant(str(thing.kind), thing.id, notes=tuple(note.says for note in thing.notes))


def _code(find: Find[Place] | Find[Container], station: Station, text: str) -> str:
    """Give the code of a place or container that is called exactly so, but for capitals."""
    try:
        found, notes = find(station, text)
    except Mistake:
        return ""
    return found.code if not notes or found.code.casefold() == text.casefold() else ""


def _proposals(mistake: Mistake) -> Sequence[str]:
    """Take what a mistake proposes: the numbers or codes it names, else its one proposal."""
    readings = [str(reading) for reading in getattr(mistake, "readings", ())]
    after = mistake.says.partition("Did you mean ")[2].partition("?")[0]
    named = [re.sub(r" \(.*", "", one) for one in re.split(r", (?![^(]*\))| or ", after) if one]
    return (readings or named or ([mistake.proposal] if mistake.proposal else []))[:MOST_PROPOSALS]
