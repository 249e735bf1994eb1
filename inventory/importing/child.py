"""The second barrier: a workbook is read in a process of its own, with bounds on memory, time and output.

A `try` can't catch the abort of a compiled reader, so a file that makes it abort must not be read in the process that
serves people. The child is started anew (never forked from this one), sees no settings and no secrets, and whatever
ends it becomes one sentence.
"""

import json
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from pathlib import Path
from typing import IO, Any

from inventory.importing import limits
from inventory.importing.refusals import MB, ReaderGaveUp, refusal
from inventory.importing.table import Cell, Row, SheetTable, Value, column_letter
from inventory.rules.mistakes import Refused

ROOT = Path(__file__).resolve().parents[2]
START = "import sys; sys.path.insert(0, sys.argv[1]); from inventory.importing.reader import main; main()"


def read_workbook_apart(content: bytes, unpacked_bytes: int) -> SheetTable:
    """Read a workbook that passed the gate.

    Args:
        content: the file.
        unpacked_bytes: what its directory says it unpacks to; decides how long the child may take [byte].

    Raises:
        Refused: the child refused the file, or did not come back.
    """
    with tempfile.TemporaryFile() as answer:
        if not _run_child(content, seconds_for(unpacked_bytes), answer):
            raise Refused([ReaderGaveUp()])
        answer.seek(0)
        return _table(answer)


def seconds_for(unpacked_bytes: int) -> float:
    """Give a small file no more time than it can need: it must be refused within five seconds [s]."""
    seconds = limits.SECONDS_AT_LEAST + limits.SECONDS_PER_UNPACKED_MB * (
        unpacked_bytes / MB - limits.SMALL_UNPACKED_MB
    )
    return min(max(seconds, limits.SECONDS_AT_LEAST), limits.SECONDS_AT_MOST)


def _run_child(content: bytes, seconds: float, answer: IO[bytes]) -> bool:
    """Run the reader; False where it died, ran out of time or wrote too much."""
    try:
        done = subprocess.run(  # noqa: S603 - our own interpreter with our own words; the file comes in on stdin
            [sys.executable, "-I", "-X", "utf8", "-c", START, str(ROOT)],
            input=content,
            stdout=answer,
            stderr=subprocess.DEVNULL,
            env=_bare_environment(),
            timeout=seconds,
            check=False,
        )
    except (subprocess.TimeoutExpired, BrokenPipeError):
        return False
    return done.returncode == 0 and answer.seek(0, 2) <= limits.READER_OUTPUT_BYTES


def _bare_environment() -> dict[str, str]:
    """Pass on nothing that could hold a secret; Windows needs its system folder to start any program."""
    import os  # noqa: PLC0415 - used here alone

    return {name: os.environ[name] for name in ("SYSTEMROOT",) if name in os.environ}


def _table(answer: IO[bytes]) -> SheetTable:
    try:
        lines = (json.loads(line) for line in answer)
        about = next(lines)
        _raise_if_refused(about)
        rows = tuple(_whole_answer(lines))
    except (StopIteration, ValueError, TypeError, KeyError) as error:
        raise Refused([ReaderGaveUp()]) from error
    return SheetTable(
        name=about["name"],
        rows=rows,
        first_1904=about["first_1904"],
        hidden_columns=frozenset(about["hidden_columns"]),
        other_sheets=tuple(about["other_sheets"]),
    )


def _whole_answer(lines: Iterator[Any]) -> list[Row]:
    """Give the rows, and fail where the child's last line is missing: half a sheet must never pass for a whole one."""
    rows: list[Row] = []
    for line in lines:
        if isinstance(line, dict):
            _raise_if_refused(line)
            if line["end"] == len(rows):
                return rows
            break
        number, hidden, cells = line
        rows.append(Row(number, tuple(_cell(number, cell) for cell in cells), hidden=hidden))
    raise ValueError("the reader's answer breaks off")


def _raise_if_refused(line: dict[str, Any]) -> None:
    if "refused" in line:
        raise Refused([refusal(code, told) for code, told in line["refused"]] or [ReaderGaveUp()])


def _cell(row: int, record: list[Any]) -> Cell:
    column, kind, text, *rest = record
    formula, merged_from, number_format = rest or (None, None, "")
    error = text if kind == "e" else None
    return Cell(f"{column_letter(column)}{row}", _value(kind, text), formula, merged_from, number_format, error)


def _value(kind: str, text: str) -> Value:
    if kind == "s":
        return text
    if kind == "n":
        return Decimal(text)
    return _rarer_value(kind, text)


def _rarer_value(kind: str, text: str) -> Value:
    if kind == "d":
        return date.fromisoformat(text)
    if kind == "dt":
        return datetime.fromisoformat(text)
    if kind == "t":
        return time.fromisoformat(text)
    if kind == "td":
        return timedelta(seconds=float(text))
    return bool(text) if kind == "b" else None
