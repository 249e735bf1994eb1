"""Cursors as programs carry them: opaque text around (made at, lot key)."""

import base64
import binascii
from datetime import datetime

from rest_framework.exceptions import ParseError

from inventory.queries.lot_pages import After


def write_cursor(after: After) -> str:
    """Write a cursor."""
    moment, key = after
    return base64.urlsafe_b64encode(f"{moment.isoformat()}|{key}".encode()).decode()


def read_cursor(text: str) -> After | None:
    """Read a cursor; empty is the first page.

    Raises:
        ParseError: it is none of ours.
    """
    if not text:
        return None
    try:
        moment, _bar, key = base64.urlsafe_b64decode(text.encode()).decode().partition("|")
        read = datetime.fromisoformat(moment), int(key)
    except (binascii.Error, ValueError):
        raise ParseError("This cursor is none of ours. Follow `next` of the page before, or leave it out.") from None
    if read[0].tzinfo is None or not 0 <= read[1] < 2**63:
        raise ParseError("This cursor is none of ours. Follow `next` of the page before, or leave it out.")
    return read
