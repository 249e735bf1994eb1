"""Which rule set grades a lot: the one that was named, or the one in force on the day for its class."""

from collections.abc import Sequence
from datetime import date

from grading.queries.shipped import shipped_rule_sets
from grading.rules.mistakes import UnknownWord
from grading.rules.rule_set import RuleSet, folded_class
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.reading import listed


class NotInForce(Mistake):
    """No rule set, or not the named one, was in force for this class on this day."""

    code = "not_in_force"

    def __init__(self, what: str, class_name: str, on: date) -> None:
        says = f"{what} in force for {class_name} on {on}. Name a rule set of that day; `manage.py rules` lists them."
        tries = " `manage.py rules --try ID:EDITION` reads past samples by limits of another day."
        super().__init__(says + tries, field="rule_set")


class GradesSeed(Mistake):
    """A rule set for seed, where a portion for the market is graded, predicted or planned."""

    code = "grades_seed"

    def __init__(self, rule_set: str) -> None:
        says = f"{rule_set} gives seed grades, by counts in so many grams and by tests. Nothing of the market is graded"
        super().__init__(
            f"{says} under it: name another rule set, or ask `manage.py grade -` for a seed grade.", field="rule_set"
        )


class WhichRuleSet(Mistake):
    """Several rule sets grade this class, and the station has none of its own."""

    code = "which_rule_set"

    def __init__(self, class_name: str, ids: list[str]) -> None:
        super().__init__(f"{class_name} is graded by {listed(ids, 'and')}. Say by which rule set.", field="rule_set")


def rule_set_for(
    wanted: str, class_name: str, on: date, station_code: str, known: Sequence[RuleSet] | None = None
) -> RuleSet:
    """Choose the rule set for a portion.

    Args:
        wanted: an id, or "" for the one in force: the station's own (its id begins with the station's code and a
            hyphen), else the only one there is. What is unverified is never chosen on its own, and what grades seed is
            not taken here at all.
        class_name: market class as people call it.
        on: the day of the sample.
        station_code: whose sample it is.
        known: the station's editions, as `editions.rules_of` gives them; without them only those of the app.

    Raises:
        Mistake: none was in force, or several are and none was named.
    """
    known = shipped_rule_sets() if known is None else known
    if wanted.strip():
        return _named(wanted, class_name, on, known)
    fitting = [each for each in known if _may_be_chosen(each) and each.is_in_force(on) and _grades(each, class_name)]
    own = [each for each in fitting if each.id.casefold().startswith(f"{station_code}-".casefold())]
    chosen = own or fitting
    if not chosen:
        raise NotInForce("No rule set was", class_name, on)
    if len(chosen) > 1:
        raise WhichRuleSet(class_name, [each.id for each in chosen])
    return chosen[0]


def named_rule_set(wanted: str, on: date, known: Sequence[RuleSet]) -> RuleSet:
    """Find a rule set by its id: the edition in force on a day, else the newest one; or by id and edition, "ID:2".

    Raises:
        Refused: there is none of that id, or it has no such edition.
    """
    name, _, edition = (part.strip() for part in wanted.partition(":"))
    editions = [each for each in known if each.id.casefold() == name.casefold()]
    if not editions:
        raise Refused([UnknownWord("rule set", wanted, dict.fromkeys(each.id for each in known), "rule_set")])
    if edition:
        named = [each for each in editions if each.edition == edition]
        if not named:
            numbers = [each.edition for each in editions]
            raise Refused([UnknownWord(f"edition of {editions[0].id}", edition, numbers, "rule_set")])
        return named[0]
    return next((each for each in editions if each.is_in_force(on)), editions[-1])


def _named(wanted: str, class_name: str, on: date, known: Sequence[RuleSet]) -> RuleSet:
    try:
        found = named_rule_set(wanted, on, known)
    except Refused as refused:
        raise refused.mistakes[0] from None
    if found.is_for_seed:
        raise GradesSeed(found.id)
    if not found.is_in_force(on):
        raise NotInForce(f"{found.id} was not", class_name, on)
    if not _grades(found, class_name):
        raise UnknownWord(f"class of {found.id}", class_name, found.classes, "class")
    return found


def _may_be_chosen(rule_set: RuleSet) -> bool:
    return rule_set.is_verified and not rule_set.is_for_seed


def _grades(rule_set: RuleSet, class_name: str) -> bool:
    return folded_class(class_name) in rule_set.table_by_class
