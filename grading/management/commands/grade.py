"""`manage.py grade --sample ID` gives a stored sample's grade; `grade -` grades standard input and stores nothing."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from grading.management.door import CANNOT_USE, json_text, refusals, stdin_text
from grading.queries.answers import graded
from grading.queries.answers_in_words import answer_lines
from grading.queries.grades import sample_answer
from grading.rules.exact_json import read_object
from inventory.management.door import the_station
from inventory.rules.mistakes import Mistake, Refused


class Command(BaseCommand):
    """Grades a portion: the rule's own grade, what holds it back, and how sure it is."""

    help = "Grade one portion given as a JSON object on standard input (-, stores nothing), or a sample in the books."
    requires_system_checks = ()
    requires_migrations_checks = False

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take "-" for standard input, or a sample."""
        parser.add_argument("portion", nargs="?", choices=["-"], help="- reads one JSON object from standard input")
        parser.add_argument("--sample", default="", help="number of a sample in the books, such as G03")
        parser.add_argument("--rule-set", default="", help="another rule set than the one the sample was graded under")
        parser.add_argument("--station", default="", help="code of the station; may be left out where there is one")
        parser.add_argument("--json", action="store_true", help="answer as JSON (the only form for -)")

    def handle(self, *_args: str, **options: Any) -> None:
        """Print the answer."""
        if bool(options["portion"]) == bool(options["sample"]):
            raise CommandError("Give either --sample and its number, or - for standard input.", returncode=CANNOT_USE)
        with refusals():
            if options["portion"]:
                self.stdout.write(json_text(graded(read_object(stdin_text()))))
                return
            answer = _of_sample(options)
        self.stdout.write(json_text(answer) if options["json"] else "\n".join(answer_lines(answer)))


def _of_sample(options: dict[str, Any]) -> dict[str, Any]:
    try:
        station = the_station(options)
        return sample_answer(station, options["sample"], options["rule_set"])
    except Mistake as mistake:
        raise Refused([mistake]) from None
