"""What the commands of grading share beside the inventory's door: standard input, and JSON laid out for reading."""

import io
import json
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any, BinaryIO

from django.db import DatabaseError, connection

from grading.queries.editions import rules_of
from grading.queries.in_force import named_rule_set
from grading.queries.shipped import shipped_rule_sets
from grading.rules.exact_json import LONGEST
from grading.rules.mistakes import OutOfRange
from grading.rules.rule_set import RuleSet
from inventory.management.door import the_station
from inventory.models import Station
from inventory.queries.today import today_at
from inventory.rules.mistakes import Mistake, Refused

_LINE = 4 * LONGEST + 1  # bytes of one line


@dataclass(frozen=True)
class RulesHere:
    """The editions that this station grades by, and the day it is there; those of the app where there is no station."""

    station: Station | None
    known: tuple[RuleSet, ...]
    today: date

    def find(self, wanted: str) -> RuleSet:
        """Find a rule set by its id, or by id and edition.

        Raises:
            Refused: there is none.
        """
        return named_rule_set(wanted, self.today, self.known)


def rules_here(options: dict[str, Any]) -> RulesHere:
    """Look up the rule sets of the station that is meant; without a station, or books, those that come with the app.

    Raises:
        Mistake: the station that is named is unknown.
    """
    if not options.get("station") and not _has_books():
        return RulesHere(None, shipped_rule_sets(), datetime.now(UTC).date())
    try:
        station = the_station(options)
        return RulesHere(station, rules_of(station), today_at(station))
    except (Mistake, DatabaseError):
        if options.get("station"):
            raise
        return RulesHere(None, shipped_rule_sets(), datetime.now(UTC).date())


def _has_books() -> bool:
    """Say whether there is a database to look into: looking into one that is not there would make an empty file."""
    name = str(connection.settings_dict["NAME"])
    return connection.vendor != "sqlite" or "memory" in name or Path(name).is_file()


def file_text(path: str) -> str:
    """Read a file of JSON as UTF-8, a little more than the longest we take.

    Raises:
        Refused: there is no such file, or it is other bytes.
    """
    try:
        with Path(path).open(encoding="utf-8-sig") as stream:
            return stream.read(LONGEST + 1)
    except OSError as fault:
        says = f"{path} cannot be read ({fault.strerror}). Give the path of a JSON file."
        raise Refused([OutOfRange(says, field="file")]) from None
    except UnicodeDecodeError:
        raise Refused([OutOfRange(f"{path} is not UTF-8 text. Save it as UTF-8.", field="file")]) from None


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
