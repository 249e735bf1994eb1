"""What the scan line means: the thing that was typed or scanned, or a sentence with up to three proposals."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from inventory.models import Station
from inventory.queries.anything import find_anything
from inventory.queries.finding import find_place
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import plain

MOST_PROPOSALS = 3


@dataclass(frozen=True)
class Meant:
    """A thing with its kind and name; or, where `kind` is empty, a sentence and proposals to scan instead."""

    kind: str = ""
    name: str = ""
    says: str = ""
    proposals: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def what_is_meant(station: Station, typed: str) -> Meant:
    """Find what was typed or scanned; a label's address is read by its last part (a few queries)."""
    text = plain(re.sub(r"^https?://\S+/(?=[^/\s]+/?$)", "", typed.replace("\0", "").strip()).rstrip("/"))
    if not text:
        return Meant(says="Nothing was typed. Scan a label, or type a lot such as 24-0016-5.")
    place = _place(station, text)
    if place:
        return Meant("place", place)
    try:
        thing = find_anything(station, text)
    except Mistake as mistake:
        return Meant(says=mistake.says, proposals=tuple(_proposals(mistake)))
    return Meant(str(thing.kind), thing.id, notes=tuple(note.says for note in thing.notes))


def _place(station: Station, text: str) -> str:
    try:
        place, notes = find_place(station, text)
    except Mistake:
        return ""
    return place.code if not notes or place.code.casefold() == text.casefold() else ""


def _proposals(mistake: Mistake) -> Sequence[str]:
    """Take what a mistake proposes: the numbers or codes it names, else its one proposal."""
    readings = [str(reading) for reading in getattr(mistake, "readings", ())]
    after = mistake.says.partition("Did you mean ")[2].partition("?")[0]
    named = [re.sub(r" \(.*", "", one) for one in re.split(r", (?![^(]*\))| or ", after) if one]
    return (readings or named or ([mistake.proposal] if mistake.proposal else []))[:MOST_PROPOSALS]
