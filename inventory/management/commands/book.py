"""`manage.py book VERB field=value …`: do any act from the words people type."""

import sys
from argparse import ArgumentParser
from collections.abc import Mapping, Sequence
from dataclasses import fields
from decimal import Decimal
from pathlib import Path
from typing import Any, get_type_hints

from django.core.management.base import CommandParser

from inventory.importing import words as typed
from inventory.importing.acts import act_of, all_acts, book, plain_verb
from inventory.importing.telling import tell, tell_short
from inventory.management.door import DONE, NO, UNUSABLE, Door, columns, take_person, the_person, the_station
from inventory.queries.booked import booked_facts
from inventory.rules.mistakes import Level, Mistake, Refused
from inventory.rules.reading import JsonText, listed


class Command(Door):
    """Books one act; questions that stand open are exit status 1, refusals 2."""

    help = (
        "Book one act: a verb and its fields. Without a verb: list the acts and their fields; with a verb alone: what "
        "it asks for. Parts of a list are numbered: items.1.lot=24-0016-5 items.1.mass=150 items.2.lot=…"
    )

    def create_parser(self, prog_name: str, subcommand: str, **kwargs: Any) -> CommandParser:
        """Let options stand between the fields, as people type them."""
        parser = super().create_parser(prog_name, subcommand, **kwargs)
        parser.parse_args = parser.parse_intermixed_args  # type: ignore[method-assign]
        return parser

    def take(self, parser: ArgumentParser) -> None:
        """Take verb, fields, and what goes with any act."""
        parser.add_argument("verb", nargs="?", help=listed(list(all_acts())))
        parser.add_argument("words", nargs="*", metavar="field=value", help="or - to read one JSON object from stdin")
        take_person(parser)
        parser.add_argument("--key", default="", help="The same key twice is one effect and the same answer.")
        parser.add_argument("--reason", default="", help="Why; it is kept with the act.")
        parser.add_argument("--answer", action="append", default=[], metavar="CODE=REASON", help="Answer a question.")

    def answer(self, options: dict[str, Any]) -> int:
        """Do the act and say what was booked."""
        verb, said = _verb_and_fields(options["verb"] or "", options["words"])
        if not said and not options["by"]:
            return self._tell(verb, options["station"], as_json=options["json"])
        try:
            facts = _booked(options, verb, said)
        except Refused as refused:
            if any(mistake.level is Level.ERROR for mistake in refused.mistakes):
                raise
            self._ask(refused.mistakes, as_json=options["json"])
            return NO
        self.say_json(facts) if options["json"] else self.say(*_in_words(facts, verb))
        return DONE

    def _tell(self, verb: str, station: str, *, as_json: bool) -> int:
        """Tell what an act asks for field by field, or name the fields of all acts, at a station where one is named."""
        told = {verb: dict(tell(act_of(verb, station).words))} if verb else {}
        names = {name: [one.name for one in fields(act.words)] for name, act in all_acts(station).items()}
        if as_json:
            self.say_json(told or names)
        elif verb:
            self.say(*columns(list(told[verb].items())))
        else:
            self.say(*(f"{name}: {tell_short(act.words)}" for name, act in all_acts(station).items()))
            self.say("* is needed. `book VERB` alone tells an act's fields one by one.")
        return DONE

    def refuse(self, mistakes: tuple[Mistake, ...]) -> int:
        """Write each sentence on stderr; questions among them with how to answer them."""
        for mistake in mistakes:
            self.complain(_said(mistake))
        return UNUSABLE

    def _ask(self, questions: Sequence[Mistake], *, as_json: bool) -> None:
        if as_json:
            self.say_json({"questions": [_question(question) for question in questions]})
        else:
            self.say(*(_said(question) for question in questions))


def _booked(options: dict[str, Any], verb: str, said: Sequence[str]) -> dict[str, Any]:
    act_of(verb)  # a mistyped verb is said before anybody is asked for
    station = the_station(options)
    by = the_person(options)
    words = typed.json_object(_stdin_text()) if list(said) == ["-"] else typed.pairs(said)
    words = _files_read(verb, words)
    answers = {code: str(reason) for code, reason in typed.pairs(options["answer"]).items()}
    booked = book(verb, words, station=station, by=by, key=options["key"], reason=options["reason"], answers=answers)
    return booked_facts(booked.operations)


def _files_read(verb: str, words: Mapping[str, Any]) -> dict[str, Any]:
    """Put the text of a file where a field takes JSON and reads `@FILE`, so that nobody quotes a document."""
    takes_json = {name for name, hint in get_type_hints(act_of(verb).words).items() if hint is JsonText}
    return {name: _file_text(name, said) if name in takes_json else said for name, said in words.items()}


def _file_text(name: str, said: Any) -> Any:
    if not (isinstance(said, str) and said.startswith("@")):
        return said
    try:
        with Path(said[1:]).open(encoding="utf-8-sig") as stream:
            return stream.read(typed.LONGEST + 1)
    except (OSError, UnicodeDecodeError):
        says = f"{said[1:]} cannot be read as UTF-8 text. Give {name}=@FILE with the path of a JSON file."
        raise Refused([Mistake(says, field=name)]) from None


def _verb_and_fields(first: str, words: Sequence[str]) -> tuple[str, Sequence[str]]:
    """Take the verb's further words to it: `add cross code=…` reads as `"add cross" code=…`."""
    acts, rest = all_acts(), list(words)
    verb = [first]
    while rest and rest[0] != "-" and "=" not in rest[0] and " ".join(verb) not in acts:
        verb.append(rest.pop(0))
    return " ".join(verb), rest


def _stdin_text() -> str:
    """Read standard input as UTF-8, a little more than the longest we take.

    Raises:
        Mistake: it is other bytes.
    """
    stream = getattr(sys.stdin, "buffer", None)
    if stream is None:
        return sys.stdin.read(typed.LONGEST + 1)
    try:
        text: str = stream.read(4 * typed.LONGEST + 1).decode("utf-8-sig")
    except UnicodeDecodeError:
        raise typed.NotWords("Standard input is not UTF-8 text. Send one JSON object as UTF-8.") from None
    return text


def _said(mistake: Mistake) -> str:
    how = _how_to_answer(mistake)
    return f"{mistake.says} [{how}]" if how else mistake.says


def _how_to_answer(mistake: Mistake) -> str:
    """Say how a question is answered: by a reason, or by typing what was meant."""
    if mistake.level is Level.ERROR:
        return ""
    readings = getattr(mistake, "readings", ())
    if readings:
        return f"type {mistake.field}={listed([str(reading) for reading in readings])}"
    return f'if it is right: --answer {mistake.code}="why"'


def _question(mistake: Mistake) -> dict[str, Any]:
    return {
        "code": mistake.code, "field": mistake.field, "level": str(mistake.level), "says": mistake.says,
        "proposal": mistake.proposal, "answer": _how_to_answer(mistake),
    }  # fmt: skip


def _in_words(facts: Mapping[str, Any], verb: str) -> list[str]:
    lines = [_act_in_words(act, verb) for act in facts["operations"]]
    lines += [_lot_in_words(lot) for lot in facts["lots"]]
    lines += _bags_in_words(facts["bags"])
    return [*lines, *facts["notes"]]


def _act_in_words(act: Mapping[str, Any], verb: str) -> str:
    """Say what was booked; acts about origins are named as they were asked for, since they share one kind."""
    name = act["name"].replace("origin", plain_verb(verb), 1) if act["kind"] == "origin" else act["name"]
    number = f"#{act['number']}"
    return f"Booked {name}." if number in name else f"Booked {name} ({number})."


def _lot_in_words(lot: Mapping[str, Any]) -> str:
    what = lot["line"] or "no one line"
    where = f" at {lot['place']}" if lot["place"] else ""
    advice = f" {lot['moisture_pct']} %: {lot['advice']}." if lot["advice"] else ""
    return f"Lot {lot['lot']}: {what}, {lot['kg']} kg{where}.{advice}"


def _bags_in_words(bags: Sequence[Mapping[str, Any]]) -> list[str]:
    """Name the bags that were filled as their labels are printed: from the first to the last."""
    if not bags:
        return []
    named = [bag["bag"] for bag in bags]
    first_to_last = f"Bags {named[0]} to {named[-1]}" if len(named) > 1 else f"Bag {named[0]}"
    kg = format(sum(Decimal(bag["kg"]) for bag in bags), ",")
    return [f"{first_to_last}: {kg} kg at {bags[0]['place']}."]
