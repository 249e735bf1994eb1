"""What a reader typed, before it is looked up: an address cut to its number, another keyboard's digits put right."""

import re

from inventory.rules.mistakes import Note
from inventory.rules.reading import plain

_ADDRESS = re.compile(r"^https?://\S+/(?=[^/\s]+/?$)")
# The unshifted digit row of the French keyboard, from 1 to 0 (AFNOR NF Z71-300, from memory).
_FRENCH_ROW = str.maketrans("&é\"'(-è_çà", "1234567890")
_FEWEST_FRENCH = 5  # fewer signs may be what somebody meant


class OtherKeyboard(Note):
    """A reader that types as on another keyboard."""

    code = "other_keyboard"

    def __init__(self, read: str) -> None:
        super().__init__(f"Read as {read}: your reader is set to another keyboard than this computer. Set both alike.")


def read_scan(typed: str) -> tuple[str, tuple[Note, ...]]:
    """Bring what was typed or scanned to the text that names a thing.

    Args:
        typed: any text; a label's address counts by its last part.

    Returns:
        The text, and a note where another keyboard's digits were put right.
    """
    text = plain(_ADDRESS.sub("", typed.replace("\0", "").strip()).rstrip("/"))
    if len(text) >= _FEWEST_FRENCH and set(text) <= set("&é\"'(-è_çà"):
        digits = text.translate(_FRENCH_ROW)
        return digits, (OtherKeyboard(digits),)
    return text, ()


def bags_by_lot(scanned: str) -> dict[str, list[str]]:
    """Sort what was scanned, one after the other, by lot: "24-0016-5/14, 24-0016-5/15" -> {"24-0016-5": ["14", "15"]}.

    Args:
        scanned: bags as lot, slash and number; a lot alone stands without numbers.
    """
    lots: dict[str, list[str]] = {}
    for part in re.split(r"[,;\n]+", scanned):
        lot, _slash, bag = plain(part).partition("/")
        if lot.strip():
            lots.setdefault(lot.strip(), []).extend([bag.strip()] if bag.strip() else [])
    return lots


def scanned_bags(text: str) -> list[int]:
    """Take the bag numbers out of "14, 15, 15", each as often as it was scanned; what is no number is left out."""
    return [int(number) for number in re.findall(r"(?<![0-9])[0-9]{1,5}(?![0-9])", text)]
