"""JSON read exactly: every number a Decimal, never a float, and no name twice."""

import json
from decimal import Decimal, InvalidOperation
from typing import Any

from grading.rules.mistakes import NotAnObject, OutOfRange
from inventory.rules.mistakes import Refused

LONGEST = 1_000_000  # characters; a bench sheet has a few hundred


def read_object(text: str) -> dict[str, Any]:
    """Read one JSON object.

    Args:
        text: up to a million characters.

    Returns:
        Its names and values; numbers as Decimal with the digits that were typed.

    Raises:
        Refused: it is not JSON, not an object, too long, too deep, or holds a name twice.
    """
    if len(text) > LONGEST:
        raise _refused(f"The text has {len(text):,} characters. One portion takes a few hundred: send one object.")
    try:
        document = json.loads(
            text, parse_float=_number, parse_int=_number, parse_constant=Decimal, object_pairs_hook=_once
        )
    except json.JSONDecodeError as fault:
        where = f"line {fault.lineno}, column {fault.colno}"
        raise _refused(f"This is not JSON: {fault.msg} at {where}. Send one object in braces.") from None
    except RecursionError:
        raise _refused("The braces and brackets are nested too deep. Send one object as the help shows it.") from None
    if not isinstance(document, dict):
        raise Refused([NotAnObject("What was sent", document)])
    return document


def _number(digits: str) -> Decimal:
    try:
        return Decimal(digits)
    except InvalidOperation:  # an exponent beyond what Decimal holds: the reader of its field says so
        return Decimal("NaN")


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    seen: dict[str, Any] = {}
    for name, value in pairs:
        if name in seen:
            raise _refused(f"{name} stands twice in one object. Keep one, for we can't know which is meant.")
        seen[name] = value
    return seen


def _refused(says: str) -> Refused:
    return Refused([OutOfRange(says)])
