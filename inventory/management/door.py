"""What our commands share: a station, a person, JSON or plain text, and the three exit statuses.

0: done; 1: the answer is "no"; 2: the input cannot be used, with a full sentence for each reason on stderr.
"""

import json
import os
import sys
from argparse import ArgumentParser
from collections.abc import Iterable
from typing import Any

from django.contrib.auth.models import User
from django.core.management.base import BaseCommand, OutputWrapper
from django.db import DatabaseError

from inventory.models import Station
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.reading import listed, quoted
from inventory.rules.roles import who_may

DONE, NO, UNUSABLE = 0, 1, 2


class NoStation(Mistake):
    """There is no station yet."""

    code = "no_station"

    def __init__(self) -> None:
        super().__init__("No station is set up here. Run bin/demo for the demo season, or set up a station first.")


class WhichStation(Mistake):
    """Several stations and none, or an unknown one, was named."""

    code = "which_station"

    def __init__(self, typed: str, codes: list[str]) -> None:
        said = f"{quoted(typed)} is no station here." if typed else "There are several stations here."
        super().__init__(f"{said} Say --station {listed(codes)}.", field="station")


class NotSetUp(Mistake):
    """The database has no tables, or cannot be reached."""

    code = "not_set_up"

    def __init__(self, why: str) -> None:
        super().__init__(f"The database cannot be read ({why}). Run bin/demo, or manage.py migrate, and try again.")


class WhoIsIt(Mistake):
    """Nobody, or an unknown account, was named."""

    code = "who_is_it"

    def __init__(self, typed: str, how: str = "Say who does this: --by and the name of an account.") -> None:
        said = f"{quoted(typed)} is no account here." if typed else "Nobody is named."
        super().__init__(f"{said} {how}", field="by")


class Door(BaseCommand):
    """A command that asks a query or an action, answers on stdout, and words refusals on stderr."""

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take --station and --json, and what the command adds."""
        parser.add_argument("--station", default="", help="Code of the station; may be left out where there is one.")
        parser.add_argument("--json", action="store_true", help="Answer as JSON.")
        self.take(parser)

    def take(self, parser: ArgumentParser) -> None:
        """Add the command's own arguments."""

    def handle(self, **options: Any) -> None:
        """Answer, or say in full sentences why not."""
        try:
            status = self.answer(options)
        except Refused as refused:
            status = self.refuse(refused.mistakes)
        except Mistake as mistake:
            status = self.refuse((mistake,))
        for stream in (self.stdout, self.stderr):
            _flush(stream)
        if status:
            sys.exit(status)

    def answer(self, options: dict[str, Any]) -> int:
        """Do the work and return the exit status."""
        raise NotImplementedError

    def refuse(self, mistakes: tuple[Mistake, ...]) -> int:
        """Write each mistake's sentence on stderr."""
        self.complain(*(mistake.says for mistake in mistakes))
        return UNUSABLE

    def say_json(self, answer: Any) -> None:
        """Write an answer as JSON."""
        self.say(json.dumps(answer, ensure_ascii=False))

    def say(self, *lines: str) -> None:
        """Write lines of plain text; a reader that has read enough, such as `head`, may leave before the end."""
        _write(self.stdout, lines)

    def complain(self, *lines: str) -> None:
        """Write lines on stderr."""
        _write(self.stderr, lines)


def _write(stream: OutputWrapper, lines: Iterable[str]) -> None:
    try:
        for line in lines:
            stream.write(line)
    except BrokenPipeError:
        _unheard(stream)


def _flush(stream: OutputWrapper) -> None:
    try:
        stream.flush()
    except BrokenPipeError:
        _unheard(stream)


def _unheard(stream: OutputWrapper) -> None:
    """Let what is still to be said go nowhere: nobody reads it, and the exit status is asked for all the same."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, stream.fileno())
    os.close(nowhere)


def take_person(parser: ArgumentParser) -> None:
    """Take --by, for a command that changes something."""
    parser.add_argument("--by", default="", help="Account of the person who does this.")


def the_station(options: dict[str, Any]) -> Station:
    """Find the station that --station names; where there is only one it is implied.

    Raises:
        Mistake: none, or several and it is not clear which.
    """
    typed = str(options.get("station") or "").strip()
    try:
        stations = {station.code: station for station in Station.objects.order_by("code")}
    except DatabaseError as error:
        raise NotSetUp(str(error).splitlines()[0]) from error
    if not stations:
        raise NoStation
    found = {code.casefold(): station for code, station in stations.items()}.get(typed.casefold())
    if found is None and not typed and len(stations) == 1:
        found = next(iter(stations.values()))
    if found is None:
        raise WhichStation(typed, list(stations))
    return found


def the_person(options: dict[str, Any]) -> User:
    """Find the account that --by names.

    Raises:
        WhoIsIt: nobody was named, or there is no such account.
    """
    typed = str(options.get("by") or "").strip()
    person = User.objects.filter(username=typed).first() if typed else None
    if person is None:
        raise WhoIsIt(typed)
    return person


def the_person_who_may(options: dict[str, Any], station: Station, verb: str) -> User:
    """Find the account that --by names; where only one at the station may do this it is implied.

    Raises:
        WhoIsIt: nobody was named and several may, or there is no such account.
    """
    if not str(options.get("by") or "").strip():
        able = list(
            User.objects.filter(is_active=True, membership__station=station, membership__role__in=who_may(verb))
        )
        if len(able) == 1:
            return able[0]
    return the_person(options)


def columns(rows: list[tuple[str, ...]], *, right: frozenset[int] = frozenset()) -> list[str]:
    """Lay rows of text out in columns as wide as their widest cell.

    Args:
        right: indices of columns that stand to the right, for numbers.
    """
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    return [
        "  ".join(
            cell.rjust(width) if index in right else cell.ljust(width)
            for index, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in rows
    ]
