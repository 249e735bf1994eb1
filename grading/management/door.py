"""What the commands of grading share beside the inventory's door: standard input, and JSON laid out for reading."""

import json
import sys
from typing import Any

from grading.rules.exact_json import LONGEST
from grading.rules.mistakes import OutOfRange
from inventory.rules.mistakes import Refused


def stdin_text() -> str:
    """Read standard input as UTF-8, a little more than the longest we take.

    Raises:
        Refused: it is other bytes.
    """
    stream = getattr(sys.stdin, "buffer", None)
    if stream is None:
        return sys.stdin.read(LONGEST + 1)
    try:
        text: str = stream.read(4 * LONGEST + 1).decode("utf-8-sig")
    except UnicodeDecodeError:
        raise Refused([OutOfRange("Standard input is not UTF-8 text. Send one JSON object as UTF-8.")]) from None
    return text


def json_text(document: Any) -> str:
    """Write JSON with the letters as they are."""
    return json.dumps(document, ensure_ascii=False, indent=1)
