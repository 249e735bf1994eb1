"""`manage.py grade --sample ID` gives a stored sample's grade; `grade -` and `grade --all FILE` store nothing."""

import json
from argparse import ArgumentParser
from typing import Any

from grading.management.door import json_text, lines_of, rules_here, stdin_text
from grading.queries.answers import graded
from grading.queries.answers_in_words import answer_lines, portion_lines
from grading.queries.grades import sample_answer
from grading.queries.many_answers import graded_lines
from grading.rules.exact_json import read_object
from inventory.management.door import DONE, UNUSABLE, Door, the_person, the_station
from inventory.rules.mistakes import Mistake


class WhatToGrade(Mistake):
    """Neither a portion nor a sample nor a file of portions was named, or several were."""

    code = "what_to_grade"

    def __init__(self) -> None:
        super().__init__("Give one of: --sample and its number; --all and a file; - for standard input.")


class Command(Door):
    """Grades a portion: the rule's own grade, what holds it back, and how sure it is."""

    help = (
        "Grade one portion given as a JSON object on standard input (-, stores nothing), such as "
        '{"rule_set": "QM-DEMO", "class": "navy", "portion_g": 500, "weights_g": {"splits": 2.4, "damaged": 5.0}, '
        '"seed_weight_g_per_100": 18.2} (`manage.py rules ID` lists classes and dishes); a sample in the books, or '
        "with --all a file of portions, one JSON object a line: an answer a line comes out, in the same order."
    )
    requires_system_checks = ()
    requires_migrations_checks = False

    def take(self, parser: ArgumentParser) -> None:
        """Take "-" for standard input, a sample, or a file."""
        parser.add_argument("portion", nargs="?", choices=["-"], help="- reads one JSON object from standard input")
        parser.add_argument("--sample", default="", help="number of a sample in the books, such as G03")
        parser.add_argument("--by", default="", help="who asks: what waits for a blind re-grade is hidden from graders")
        parser.add_argument("--rule-set", default="", help="another rule set than the one the sample was graded under")
        parser.add_argument("--all", default="", metavar="FILE", help="a file of portions, or - for standard input")
        parser.add_argument("--words", action="store_true", help="with -: answer in words, as --sample does")
        parser.add_argument("--working", action="store_true", help="with --all: give the steps of each, too")

    def answer(self, options: dict[str, Any]) -> int:
        """Print the answer; of standard input and files always as JSON."""
        asked = [options["portion"], options["sample"], options["all"]]
        if sum(map(bool, asked)) != 1:
            raise WhatToGrade
        if options["all"]:
            return self._all(options)
        if options["portion"]:
            return self._portion(options)
        person = the_person(options) if options["by"] else None
        answer = sample_answer(the_station(options), options["sample"], options["rule_set"], person=person)
        self.say(*([json_text(answer)] if options["json"] else answer_lines(answer)))
        return DONE

    def _portion(self, options: dict[str, Any]) -> int:
        """Grade what stands on standard input, and say for which day its edition was chosen."""
        here, document = rules_here(options), read_object(stdin_text())
        answer = graded(document, here.find)
        if ":" not in str(document.get("rule_set", "")):
            chosen = f"{answer['rule_set']}, edition {answer['edition']}, is the one in force on {here.today}"
            answer["notes"].append(f"{chosen}; for another day name it as {answer['rule_set']}:EDITION.")
        self.say(*(portion_lines(answer) if options["words"] and not options["json"] else [json_text(answer)]))
        return DONE

    def _all(self, options: dict[str, Any]) -> int:
        """Answer line by line; what is refused is said on stderr by its line number, and the others are graded."""
        refused = 0
        lines, find = lines_of(options["all"]), rules_here(options).find
        for line in graded_lines(lines, find, with_working=options["working"]):
            self.say(json.dumps(line.as_json, ensure_ascii=False, separators=(",", ":")))
            for mistake in line.refused:
                self.complain(f"Line {line.number}: {mistake.says}")
            refused += bool(line.refused)
        return UNUSABLE if refused else DONE
