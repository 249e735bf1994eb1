"""Cursors as programs carry them: opaque text around the key of the row where a page ended, and the way to go on."""

import base64
import binascii
from dataclasses import dataclass

from api.problems import Unusable
from inventory.rules.mistakes import Mistake

_ON, _BACK = ">", "<"
_LONGEST = 100


class CursorNotOurs(Mistake):
    """A cursor that no page gave."""

    code = "cursor_not_ours"

    def __init__(self) -> None:
        super().__init__(
            "This cursor is none of ours. Follow `next` of the page before, or leave it out.", field="cursor"
        )


@dataclass(frozen=True)
class Cursor:
    """A place between two rows of a list.

    Attributes:
        key: of the row beside it.
        is_back: rows before it are wanted.
    """

    key: int
    is_back: bool = False


def write_cursor(cursor: Cursor) -> str:
    """Write a cursor."""
    return base64.urlsafe_b64encode(f"{_BACK if cursor.is_back else _ON}{cursor.key}".encode()).decode()


def read_cursor(text: str) -> Cursor | None:
    """Read a cursor; empty is the first page.

    Raises:
        Unusable: it is none of ours.
    """
    if not text:
        return None
    try:
        read = base64.b64decode(text[:_LONGEST].encode(), altchars=b"-_", validate=True).decode()
    except (binascii.Error, ValueError):
        raise Unusable(CursorNotOurs()) from None
    way, digits = read[:1], read[1:]
    if way not in (_ON, _BACK) or not digits.isascii() or not digits.isdigit() or int(digits) >= 2**63:
        raise Unusable(CursorNotOurs())
    return Cursor(int(digits), is_back=way == _BACK)
