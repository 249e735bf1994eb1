"""The words of a rule set that several figures ask for: its id, a class and a grade of it."""

from grading.queries.editions import rules_of
from grading.queries.in_force import GradesSeed, named_rule_set
from grading.queries.shipped import shipped_rule_set
from grading.rules.mistakes import Missing, UnknownWord
from grading.rules.predicted import grade_named
from grading.rules.rule_set import Grade, RuleSet, Table, folded_class
from inventory.models import Station
from inventory.queries.today import today_at
from inventory.rules.mistakes import Refused


def rule_set_of(typed: str, station: Station | None = None) -> RuleSet:
    """Find a rule set by its id, or by id and edition.

    Args:
        station: whose own editions are meant, too; without one, those that come with the app.

    Raises:
        Mistake: none is named, none is called so, or it grades seed.
    """
    if not typed.strip():
        raise Missing("rule_set", "Give the id of a rule set; `manage.py rules` lists them.")
    try:
        if station is None:
            found = shipped_rule_set(typed)
        else:
            found = named_rule_set(typed, today_at(station), rules_of(station))
    except Refused as refused:
        raise refused.mistakes[0] from None
    if found.is_for_seed:
        raise GradesSeed(found.id)
    return found


def class_of(rule_set: RuleSet, typed: str) -> str:
    """Find a class of a rule set.

    Raises:
        Mistake: it has none of that name.
    """
    if folded_class(typed) not in rule_set.table_by_class:
        raise UnknownWord(f"class of {rule_set.id}", typed, rule_set.classes, "market_class")
    return rule_set.table_by_class[folded_class(typed)][0]


def grade_of(rule_set: RuleSet, class_name: str, typed: str) -> Grade | None:
    """Find a grade of a class by its name; None where none is named.

    Raises:
        Mistake: the class has none of that name.
    """
    table = rule_set.table_by_class[folded_class(class_name)][1]
    found = grade_named(table, typed) if typed.strip() else None
    if found is None and typed.strip():
        names = [grade.name for grade in table.grades]
        raise UnknownWord(f"grade of {rule_set.id} for {class_name}", typed, names, "grade")
    return found


def not_judged(table: Table, rule_set: RuleSet) -> tuple[str, ...]:
    """Say what the table asks beside weights: no sum of weights can predict it."""
    asked = dict.fromkeys(thing for grade in table.grades for thing in grade.needs)
    if not asked:
        return ()
    words = ", ".join(rule_set.judged[thing].words for thing in asked)
    return (f"The table also asks for what is judged by eye ({words}): that is not predicted here.",)
