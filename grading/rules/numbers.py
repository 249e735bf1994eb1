"""The numbers on the tags of samples (G03) and seed tests (T01)."""

import re

from inventory.rules.mistakes import Mistake, Note
from inventory.rules.reading import ReadAs, ReadCode, plain, quoted, typed_text

LONGEST = 20
_TAG = re.compile(r"[A-Z0-9][A-Z0-9./_-]*")


class NotATag(Mistake):
    """A sample's or test's number that no tag carries."""

    code = "not_a_tag"

    def __init__(self, typed: str, what: str) -> None:
        says = f"{quoted(typed)} is no number for a {what}. Use letters and digits, at most {LONGEST}, such as G03."
        super().__init__(says, field=what)


class NumberTaken(Mistake):
    """The number stands for a sample or test already."""

    code = "number_taken"

    def __init__(self, number: str, what: str, lot: str, day: str) -> None:
        says = f"{number} is already in the books: a {what} of {lot}, {day}."
        super().__init__(f"{says} Use the next number, or take that one back.", field=what)


def read_tag(typed: object, what: str) -> ReadCode[str]:
    """Read a number as it is stored: capitals, no blanks.

    Args:
        typed: text or a cell's number.
        what: "sample" or "test", for the sentence.

    Raises:
        NotATag: other signs are in it, or too many.
    """
    text = typed_text(typed)
    tag = plain(text).replace(" ", "").upper()
    if len(tag) > LONGEST or not _TAG.fullmatch(tag):
        raise NotATag(text, what)
    notes: tuple[Note, ...] = () if tag == text else (ReadAs(text, tag, field=what),)
    return ReadCode(tag, text, notes)


def next_tag(prefix: str, highest: str | None) -> str:
    """Give the number after the highest one: "G09" -> "G10", None -> "G01"."""
    return f"{prefix}{int(highest.removeprefix(prefix) if highest else 0) + 1:02d}"
