"""`manage.py rules [ID]`: the rule sets, or one with its tables; `--check FILE`, `--try FILE`, `--drafts`."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from grading.management.door import file_text, json_text, rules_here
from grading.queries.drafts import NoSuchDraft, draft_of, drafts_of
from grading.queries.editions import edition_from, text_of
from grading.queries.rule_tables import head_line, rule_set_lines, rule_set_whole
from grading.queries.trying import try_rules
from grading.queries.trying_in_words import trial_as_json, trial_lines
from grading.rules.exact_json import read_object
from grading.rules.rule_form import read_rule_set
from grading.rules.rule_set import RuleSet
from grading.rules.timeline import key_of
from inventory.management.door import DONE, UNUSABLE, Door, the_station
from inventory.models import Station
from inventory.rules.mistakes import Mistake, Refused


class Command(Door):
    """Lists rule sets with edition, dates and source, shows one with its tables, checks one, tries one on the past."""

    help = (
        "List the rule sets with edition, dates in force and source; with an id, or ID:EDITION, show its tables. "
        "--check a file before it is drafted; --try a file, a draft or an edition on all samples in the books."
    )
    requires_system_checks = ()
    requires_migrations_checks = False

    def take(self, parser: ArgumentParser) -> None:
        """Take an id, or what is to be checked or tried."""
        parser.add_argument("id", nargs="?", help="a rule set, such as CA-BEANS, or QM-DEMO:2")
        asked = parser.add_mutually_exclusive_group()
        asked.add_argument("--check", default="", metavar="FILE", help="say all that is wrong with a file")
        asked.add_argument("--try", default="", dest="tried", metavar="FILE|ID:EDITION", help="try it on past samples")
        asked.add_argument("--copy", default="", metavar="FILE", help="write the form of ID to a new file")
        asked.add_argument("--drafts", action="store_true", help="list the drafts, which grade nothing yet")

    def answer(self, options: dict[str, Any]) -> int:
        """Print the list, the one set, the faults of a file, or what a set would change."""
        if options["check"]:
            return self._check(options)
        if options["copy"]:
            return self._copy(options)
        if options["tried"]:
            station = the_station(options)
            trial = try_rules(station, _tried(station, options))
            self.say(*([json_text(trial_as_json(trial))] if options["json"] else trial_lines(trial)))
        elif options["drafts"]:
            self._list_drafts(the_station(options), as_json=options["json"])
        else:
            self._show(options)
        return DONE

    def _show(self, options: dict[str, Any]) -> None:
        here = rules_here(options)
        wanted = here.find(options["id"]) if options["id"] is not None else None
        if options["json"]:
            self.say(json_text(rule_set_whole(wanted) if wanted else [rule_set_whole(each) for each in here.known]))
        else:
            self.say(*(rule_set_lines(wanted) if wanted else [head_line(each) for each in here.known]))

    def _copy(self, options: dict[str, Any]) -> int:
        """Write a set's form to a new file, to be changed, checked and drafted."""
        if not options["id"]:
            raise Mistake("Say which rule set is copied: `rules QM-DEMO --copy FILE`.", field="id")
        here, path = rules_here(options), Path(options["copy"])
        wanted = here.find(options["id"])
        try:
            with path.open("x", encoding="utf-8") as stream:
                stream.write(text_of(here.station, wanted))
        except OSError as fault:
            says = f"{path} cannot be written ({fault.strerror}). Give the path of a file that is not there yet."
            raise Mistake(says, field="copy") from None
        says = f"{wanted.id}, edition {wanted.edition}, stands in {path}. Change its limits and its edition, then"
        self.say(f"{says} `rules --check {path}` and `book draft rules document=@{path}`.")
        return DONE

    def _check(self, options: dict[str, Any]) -> int:
        path, as_json = options["check"], options["json"]
        try:
            rule_set = read_rule_set(read_object(file_text(path)))
        except Refused as refused:
            if as_json:
                faults = [{"pointer": each.field, "says": each.says, "code": each.code} for each in refused.mistakes]
                self.say(json_text({"faults": faults}))
            for each in refused.mistakes:
                self.complain(f"{each.field}: {each.says}" if each.field else each.says)
            return UNUSABLE
        whole = {"faults": [], "rule_set": rule_set.id, "edition": rule_set.edition}
        says = f"{rule_set.id}, edition {rule_set.edition}: nothing is wrong with its form. Draft it, then try it."
        here = rules_here(options)
        if any(key_of(each) == key_of(rule_set) for each in here.known):
            form = says.removesuffix(" Draft it, then try it.")
            says = f"{form} That edition is in use already: give yours another before you draft it."
        self.say(json_text(whole) if as_json else says)
        return DONE

    def _list_drafts(self, station: Station, *, as_json: bool) -> None:
        drafts = drafts_of(station)
        if as_json:
            rows = [{"id": each.rule_set, "edition": each.edition, "by": each.drafted_by.username} for each in drafts]
            self.say(json_text(rows))
            return
        self.say(*(f"{each}  drafted by {each.drafted_by.username}" for each in drafts))
        if not drafts:
            self.say("There is no draft. `book draft-rules` makes one.")


def _tried(station: Station, options: dict[str, Any]) -> RuleSet:
    """Find what is to be tried: a draft or an edition by its name, else a file."""
    wanted = options["tried"]
    name, colon, edition = wanted.partition(":")
    if colon and not Path(wanted).exists():
        try:
            return edition_from(draft_of(station, name, edition).text)
        except NoSuchDraft:
            return rules_here(options).find(wanted)
    return read_rule_set(read_object(file_text(wanted)))
