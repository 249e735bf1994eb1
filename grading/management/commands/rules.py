"""`manage.py rules [ID]`: the rule sets, or one with its tables."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand

from grading.management.door import json_text, refusals
from grading.queries.rule_tables import head_line, rule_set_lines, rule_set_whole
from grading.queries.shipped import shipped_rule_set, shipped_rule_sets


class Command(BaseCommand):
    """Lists rule sets with edition, dates and source; with an id, its tables too."""

    help = "List the rule sets with edition, dates in force and source; with an id, show its tables."
    requires_system_checks = ()
    requires_migrations_checks = False

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take an id and the form of the answer."""
        parser.add_argument("id", nargs="?", help="a rule set, such as CA-BEANS")
        parser.add_argument("--json", action="store_true", help="answer as JSON")

    def handle(self, *_args: str, **options: Any) -> None:
        """Print the list or the one set."""
        with refusals():
            wanted = shipped_rule_set(options["id"]) if options["id"] is not None else None
        if options["json"]:
            answer = (
                rule_set_whole(wanted) if wanted else [rule_set_whole(rule_set) for rule_set in shipped_rule_sets()]
            )
            self.stdout.write(json_text(answer))
            return
        lines = rule_set_lines(wanted) if wanted else [head_line(rule_set) for rule_set in shipped_rule_sets()]
        self.stdout.write("\n".join(lines))
