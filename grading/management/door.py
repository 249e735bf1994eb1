"""What the commands of grading share beside the inventory's door: standard input, and JSON laid out for reading."""

import io
import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any, BinaryIO

from grading.rules.exact_json import LONGEST
from grading.rules.mistakes import OutOfRange
from inventory.rules.mistakes import Refused

_LINE = 4 * LONGEST + 1  # bytes of one line


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


def lines_of(file: str) -> Iterator[str]:
    """Read a file line by line, or standard input for "-"; of a line that is too long, a little more than we take.

    Raises:
        Refused: there is no such file, or it cannot be read.
    """
    if file == "-":
        yield from _lines(getattr(sys.stdin, "buffer", None) or io.BytesIO(sys.stdin.read().encode()))
        return
    try:
        with Path(file).open("rb") as stream:
            yield from _lines(stream)
    except OSError as fault:
        says = f"{file} cannot be read ({fault.strerror}). Give the path of a file with one JSON object a line."
        raise Refused([OutOfRange(says, field="all")]) from None


def _lines(stream: BinaryIO) -> Iterator[str]:
    while line := stream.readline(_LINE):
        rest = line
        while len(rest) == _LINE and not rest.endswith(b"\n"):
            rest = stream.readline(_LINE)
        # Bytes that are no UTF-8 become marks that no JSON holds, so that their line is refused and no other.
        yield line.decode("utf-8-sig", errors="replace")
