"""`manage.py grade --sample ID` gives a stored sample's grade; `grade -` grades standard input and stores nothing."""

from argparse import ArgumentParser
from typing import Any

from grading.management.door import json_text, stdin_text
from grading.queries.answers import graded
from grading.queries.answers_in_words import answer_lines
from grading.queries.grades import sample_answer
from grading.rules.exact_json import read_object
from inventory.management.door import DONE, Door, the_station
from inventory.rules.mistakes import Mistake


class WhatToGrade(Mistake):
    """Neither a portion nor a sample was named, or both."""

    code = "what_to_grade"

    def __init__(self) -> None:
        super().__init__("Give either --sample and its number, or - for standard input.")


class Command(Door):
    """Grades a portion: the rule's own grade, what holds it back, and how sure it is."""

    help = "Grade one portion given as a JSON object on standard input (-, stores nothing), or a sample in the books."
    requires_system_checks = ()
    requires_migrations_checks = False

    def take(self, parser: ArgumentParser) -> None:
        """Take "-" for standard input, or a sample."""
        parser.add_argument("portion", nargs="?", choices=["-"], help="- reads one JSON object from standard input")
        parser.add_argument("--sample", default="", help="number of a sample in the books, such as G03")
        parser.add_argument("--rule-set", default="", help="another rule set than the one the sample was graded under")

    def answer(self, options: dict[str, Any]) -> int:
        """Print the answer; of standard input always as JSON."""
        if bool(options["portion"]) == bool(options["sample"]):
            raise WhatToGrade
        if options["portion"]:
            self.say(json_text(graded(read_object(stdin_text()))))
            return DONE
        answer = sample_answer(the_station(options), options["sample"], options["rule_set"])
        self.say(*([json_text(answer)] if options["json"] else answer_lines(answer)))
        return DONE
