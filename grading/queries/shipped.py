"""The rule sets that come with the app."""

import json
from functools import cache
from importlib.resources import files

from grading.rules.mistakes import UnknownWord
from grading.rules.rule_form import read_rule_set
from grading.rules.rule_set import RuleSet
from inventory.rules.mistakes import Refused

SCHEMA = "form.schema.json"  # describes the others


@cache
def shipped_rule_sets() -> tuple[RuleSet, ...]:
    """Give every shipped rule set by id; reads files once a process."""
    folder = files("grading") / "rule_sets"
    names = sorted(entry.name for entry in folder.iterdir() if entry.name.endswith(".json") and entry.name != SCHEMA)
    return tuple(read_rule_set(json.loads((folder / name).read_text("utf-8"))) for name in names)


def shipped_text(rule_set_id: str) -> str:
    """Give the written form of a shipped rule set, as its file holds it."""
    return (files("grading") / "rule_sets" / f"{rule_set_id}.json").read_text("utf-8")


def shipped_rule_set(wanted: str) -> RuleSet:
    """Give a shipped rule set by its id, typed in any case.

    Raises:
        Refused: there is none of that id.
    """
    by_id = {rule_set.id.casefold(): rule_set for rule_set in shipped_rule_sets()}
    found = by_id.get(wanted.strip().casefold())
    if found is None:
        ids = [rule_set.id for rule_set in by_id.values()]
        raise Refused([UnknownWord("rule set", wanted, ids, "rule_set")])
    return found
