"""What all forgiving readers share: plain characters, and a value that says how it was read.

A reader returns a value with its notes, or raises one `Mistake`; where two readings are possible it raises a
`Question` that names both. It never guesses in silence.
"""

import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal
from typing import Generic, TypeVar
from uuid import UUID

from inventory.rules.mistakes import Note

T = TypeVar("T")

# Dashes people and word processors put for a hyphen, and the minus sign; NFKC leaves them as they are.
DASHES = dict.fromkeys(map(ord, "‐‑‒–—―−"), "-")
# Signs without width that come along when a cell is copied from a web page.
WIDTHLESS = dict.fromkeys(map(ord, "\u200b‌‍⁠﻿­"))
# PostgreSQL refuses a NUL, and half of a surrogate pair is no text: no name in the books holds one.
UNKEPT = re.compile("[\x00\ud800-\udfff]")


def uid_in(text: str) -> UUID | None:
    """Read an id as programs send it; None where the text is none."""
    try:
        return UUID(text)
    except ValueError:
        return None


class JsonText(str):
    """A JSON text that an act takes whole, sent as text or as the object itself."""

    __slots__ = ()


MAX_TYPED = 60  # no code, mass or date is longer; a longer text is shown cut, so that the sentence stays readable


class ReadAs(Note):
    """Something was typed in another manner than it is stored."""

    code = "read_as"

    def __init__(self, typed: str, read: str, *, field: str = "") -> None:
        super().__init__(f"Read {quoted(typed)} as {read}.", field=field, proposal=read)


@dataclass(frozen=True, slots=True)
class ReadCode(Generic[T]):
    """A code as it was understood, with what was typed and what was said about it."""

    value: T
    typed: str
    notes: tuple[Note, ...] = ()


def plain(text: str) -> str:
    """Bring full-width signs, exotic dashes and blanks to their plain forms, and strip the ends."""
    folded = unicodedata.normalize("NFKC", text).translate(WIDTHLESS).translate(DASHES)
    return re.sub(r"\s+", " ", folded).strip()


def unaccented(text: str) -> str:
    """Drop accents and case, so that "Février" and "fevrier" are one word."""
    decomposed = unicodedata.normalize("NFKD", text)
    return "".join(sign for sign in decomposed if not unicodedata.combining(sign)).casefold()


def typed_text(value: object) -> str:
    """Write a cell as a person would have typed it: 240016.0 -> "240016", None -> ""."""
    if value is None:
        return ""
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    if isinstance(value, int) and abs(value) >= 10**MAX_TYPED:
        return f"{Decimal(value):.3e}"  # Python refuses to write out integers of thousands of digits
    return str(value)


def quoted(typed: str) -> str:
    """Put quotes around what was typed; a very long text is cut, and what no answer can hold is shown as U+FFFD."""
    shown = UNKEPT.sub("\N{REPLACEMENT CHARACTER}", typed[:MAX_TYPED])
    return f"'{shown}'" if len(typed) <= MAX_TYPED else f"'{shown}…'"


def listed(words: list[str], last: str = "or") -> str:
    """Join words as a sentence does: "A, B or C"; no words are "none"."""
    if not words:
        return "none"
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} {last} {words[-1]}"


def field_words(field: str) -> str:
    """Name a field at the start of a sentence: "gross_mass" -> "Gross mass"; no field -> "This"."""
    words = field.replace("_", " ").strip()
    return words[:1].upper() + words[1:] if words else "This"
