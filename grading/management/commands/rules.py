"""`manage.py rules [ID]`: the rule sets, or one with its tables."""

from argparse import ArgumentParser
from typing import Any

from grading.management.door import json_text
from grading.queries.rule_tables import head_line, rule_set_lines, rule_set_whole
from grading.queries.shipped import shipped_rule_set, shipped_rule_sets
from inventory.management.door import DONE, Door


class Command(Door):
    """Lists rule sets with edition, dates and source; with an id, its tables too."""

    help = "List the rule sets with edition, dates in force and source; with an id, show its tables."
    requires_system_checks = ()
    requires_migrations_checks = False

    def take(self, parser: ArgumentParser) -> None:
        """Take an id."""
        parser.add_argument("id", nargs="?", help="a rule set, such as CA-BEANS")

    def answer(self, options: dict[str, Any]) -> int:
        """Print the list or the one set."""
        wanted = shipped_rule_set(options["id"]) if options["id"] is not None else None
        if options["json"]:
            whole = rule_set_whole(wanted) if wanted else [rule_set_whole(each) for each in shipped_rule_sets()]
            self.say(json_text(whole))
        else:
            self.say(*(rule_set_lines(wanted) if wanted else [head_line(each) for each in shipped_rule_sets()]))
        return DONE
