"""`manage.py figure NAME field=value …`: work out one figure and show its working; nothing is stored."""

import shlex
from argparse import ArgumentParser
from collections.abc import Sequence
from typing import Any

from django.core.management.base import CommandParser

from grading.management.door import json_text, rules_here, stdin_text
from grading.queries.figures import FIGURES, Answer, Figure, figure_of
from inventory.importing import words as typed
from inventory.importing.telling import tell
from inventory.management.door import DONE, Door, columns, the_station
from inventory.models import Station


class Command(Door):
    """Works out a figure from typed words; without words it tells what the figure asks for."""

    help = "Work out one figure: a name and its fields. Without a name: list them; with a name alone: what it asks for."
    requires_system_checks = ()
    requires_migrations_checks = False

    def create_parser(self, prog_name: str, subcommand: str, **kwargs: Any) -> CommandParser:
        """Let options stand between the fields, as people type them."""
        parser = super().create_parser(prog_name, subcommand, **kwargs)
        parser.parse_args = parser.parse_intermixed_args  # type: ignore[method-assign]
        return parser

    def take(self, parser: ArgumentParser) -> None:
        """Take the figure's name and its fields."""
        parser.add_argument("name", nargs="*", metavar="NAME field=value", help="or NAME - to read one JSON object")

    def answer(self, options: dict[str, Any]) -> int:
        """Answer, or tell what can be asked."""
        name, said = _name_and_fields(options["name"])
        if not name:
            self._list(as_json=options["json"])
            return DONE
        figure = figure_of(name)
        if not said:
            self._tell(figure, as_json=options["json"])
            return DONE
        words = typed.json_object(stdin_text()) if said == ["-"] else typed.pairs(said)
        asked = typed.fill(figure.asks, words)
        answer = figure.work_out(asked, _station(figure, asked, options))
        self.say(json_text(answer.as_json)) if options["json"] else self.say(*_lines(answer))
        return DONE

    def _list(self, *, as_json: bool) -> None:
        if as_json:
            self.say_json({name: figure.tells for name, figure in FIGURES.items()})
        else:
            self.say(*columns([(name, figure.tells) for name, figure in sorted(FIGURES.items())]))

    def _tell(self, figure: Figure, *, as_json: bool) -> None:
        told = tell(figure.asks)
        if as_json:
            self.say_json({"tells": figure.tells, "asks": dict(told), "example": dict(figure.example)})
            return
        self.say(figure.tells, *columns(list(told)))
        self.say(*([f"For example: {example_of(figure)}"] if figure.example else []))


def example_of(figure: Figure) -> str:
    """Write a figure's example as it is typed behind `figure`, quoted for a shell."""
    return " ".join([figure.name, *map(shlex.quote, typed.as_typed(figure.example))])


def _station(figure: Figure, asked: Any, options: dict[str, Any]) -> Station | None:
    """Find the station whose books are looked into; a figure that only knows its rules works without one."""
    if figure.needs_station(asked):
        return the_station(options)
    return rules_here(options).station if figure.knows_own_rules else None


def _name_and_fields(said: Sequence[str]) -> tuple[str, list[str]]:
    """Split `seed weight readings=…` where the first field stands."""
    at = next((place for place, word in enumerate(said) if "=" in word or word == "-"), len(said))
    return " ".join(said[:at]), list(said[at:])


def _lines(answer: Answer) -> list[str]:
    working = [f"  {step.says}" for step in answer.working]
    table = ["", *columns(list(answer.table)), ""] if answer.table else []
    return [*answer.says, *table, *(["How it was worked out:", *working] if working else []), *answer.notes]
