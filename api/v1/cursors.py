"""Cursors as programs carry them: opaque text around the row where a page ended, the order, and the way to go on."""

import base64
import binascii
from dataclasses import dataclass

from api.problems import Unusable
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import quoted

_ON, _BACK = ">", "<"
_LONGEST = 4000
_LONGEST_KEY = 19  # digits


class CursorNotOurs(Mistake):
    """A cursor that no page gave."""

    code = "cursor_not_ours"

    def __init__(self) -> None:
        super().__init__(
            "This cursor is none of ours. Follow `next` of the page before, or leave it out.", field="cursor"
        )


class CursorOfOtherOrder(Mistake):
    """A cursor of the same list in another order: what was read and what comes would overlap."""

    code = "cursor_of_other_order"

    def __init__(self, made: str, wanted: str) -> None:
        was, now = (f"by {quoted(one[:60])}" if one else "newest first, as without ordering" for one in (made, wanted))
        says = f"This cursor belongs to the list ordered {was}; here it is ordered {now}."
        super().__init__(f"{says} Keep the ordering it was made under, or leave the cursor out.", field="cursor")


@dataclass(frozen=True)
class Cursor:
    """A place between two rows of a list.

    Attributes:
        key: of the row beside it.
        is_back: rows before it are wanted.
        ordering: how the list is ordered; "" as it is without.
        value: what the row has in the column that orders.
    """

    key: int
    is_back: bool = False
    ordering: str = ""
    value: str = ""


def write_cursor(cursor: Cursor) -> str:
    """Write a cursor."""
    place = f"{_BACK if cursor.is_back else _ON}{cursor.key}"
    ordered = f"\n{cursor.ordering}\n{cursor.value}" if cursor.ordering else ""
    return base64.urlsafe_b64encode(f"{place}{ordered}".encode()).decode()


def read_cursor(text: str, ordering: str = "") -> Cursor | None:
    """Read a cursor; empty is the first page.

    Args:
        ordering: that of the list which is asked for; "" as it is without.

    Raises:
        Unusable: it is none of ours, or of the list in another order.
    """
    if not text:
        return None
    place, _, rest = _decoded(text).partition("\n")
    made, _, value = rest.partition("\n")
    way, key = place[:1], _key_of(place[1:])
    if way not in (_ON, _BACK):
        raise Unusable(CursorNotOurs())
    if made != ordering:
        raise Unusable(CursorOfOtherOrder(made.replace("\0", "?"), ordering))
    return Cursor(key, is_back=way == _BACK, ordering=made, value=value)


def _key_of(digits: str) -> int:
    if not digits.isascii() or not digits.isdigit() or len(digits) > _LONGEST_KEY or int(digits) >= 2**63:
        raise Unusable(CursorNotOurs())
    return int(digits)


def _decoded(text: str) -> str:
    try:
        return base64.b64decode(text[:_LONGEST].encode(), altchars=b"-_", validate=True).decode()
    except (binascii.Error, ValueError):
        raise Unusable(CursorNotOurs()) from None
