"""`manage.py grade -`: grade one portion from standard input; stores nothing."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand

from grading.management.door import json_text, refusals, stdin_text
from grading.queries.answers import graded
from grading.rules.exact_json import read_object


class Command(BaseCommand):
    """Grades a portion: the rule's own grade, what holds it back, and how sure it is."""

    help = "Grade one portion given as a JSON object on standard input. Computes only; stores nothing."
    requires_system_checks = ()
    requires_migrations_checks = False

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take "-" for standard input."""
        parser.add_argument("portion", choices=["-"], help="- reads one JSON object from standard input")
        parser.add_argument("--json", action="store_true", help="answer as JSON (the only form for -)")

    def handle(self, *_args: str, **_options: Any) -> None:
        """Print the answer as JSON."""
        with refusals():
            self.stdout.write(json_text(graded(read_object(stdin_text()))))
