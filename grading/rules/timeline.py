"""The editions of a rule set in time: each begins on a day and ends the one before it, so that one is in force."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date, timedelta
from functools import lru_cache

from grading.rules.rule_set import RuleSet
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import quoted

DAY = timedelta(days=1)
KEPT = 512  # editions with their dates, kept once; what is made ready of them hangs on the same object
Key = tuple[str, str]  # id, folded, and edition


class EditionTaken(Mistake):
    """The edition's name stands for other limits already."""

    code = "edition_taken"

    def __init__(self, rule_set: str, edition: str) -> None:
        says = f"{rule_set}, edition {edition}, is in use already. A grade keeps its edition, so it cannot change."
        super().__init__(f"{says} Give yours another edition.", field="edition")


class SpelledOtherwise(Mistake):
    """The id differs from a known one in capitals alone."""

    code = "spelled_otherwise"

    def __init__(self, typed: str, known: str) -> None:
        says = f"The id {quoted(typed)} is spelled {known} here. Write it so, or take another."
        super().__init__(says, field="/id", proposal=known)


class TwoInForce(Mistake):
    """Another edition of the same id would be in force in the same time."""

    code = "two_in_force"

    def __init__(self, rule_set: str, edition: str, begins: date | None, asked: date) -> None:
        since = f"from {begins}" if begins else "from the first day on"
        says = f"{rule_set}, edition {edition}, is in force {since}, so that on {asked} two would be in force at once."
        super().__init__(f"{says} Begin after that day, or take that edition back first.", field="begins")


class EndsBefore(Mistake):
    """An edition that would end before it begins."""

    code = "ends_before"

    def __init__(self, what: str, ends: date, begins: date, field: str) -> None:
        super().__init__(f"{what} begins on {begins} and would end on {ends}, before it. Correct one day.", field=field)


class NotInForceThen(Mistake):
    """An edition that ended before."""

    code = "not_in_force_then"

    def __init__(self, what: str, until: date) -> None:
        super().__init__(f"{what} ends on {until} already. Give an earlier last day, or leave it.", field="ends")


def key_of(rule_set: RuleSet) -> Key:
    """Name an edition, however its id is written."""
    return rule_set.id.casefold(), rule_set.edition


@lru_cache(maxsize=KEPT)
def dated(rule_set: RuleSet, begins: date | None, ends: date | None) -> RuleSet:
    """Give an edition the days that it is in force; the same object for the same days."""
    if (begins, ends) == (rule_set.in_force_from, rule_set.in_force_until):
        return rule_set
    return replace(rule_set, in_force_from=begins, in_force_until=ends)


def timeline(editions: Iterable[RuleSet], withdrawn: Mapping[Key, date]) -> tuple[RuleSet, ...]:
    """Give editions the days on which they are in force.

    Args:
        editions: of any ids, each with the day it begins and the day it says it ends.
        withdrawn: the last day of editions that were taken out of force.

    Returns:
        The same editions by id and day; each ends the day before the next of its id begins, or earlier if it says so.
    """
    in_order = sorted(editions, key=lambda each: (each.id.casefold(), each.in_force_from or date.min))
    found = []
    for each, after in zip(in_order, [*in_order[1:], None], strict=False):
        ends = [each.in_force_until, withdrawn.get(key_of(each))]
        if after is not None and after.id.casefold() == each.id.casefold() and after.in_force_from:
            ends.append(after.in_force_from - DAY)
        found.append(dated(each, each.in_force_from, min((end for end in ends if end), default=None)))
    return tuple(found)


def begin_mistakes(wanted: RuleSet, begins: date, known: Iterable[RuleSet]) -> list[Mistake]:
    """Say why an edition cannot begin on a day.

    Args:
        wanted: the edition, with the day it says it ends.
        begins: the first day it should be in force.
        known: every edition that stands, with its dates.
    """
    mistakes: list[Mistake] = []
    if wanted.in_force_until and wanted.in_force_until < begins:
        mistakes.append(EndsBefore(f"{wanted.id}, edition {wanted.edition},", wanted.in_force_until, begins, "begins"))
    for each in known:
        is_other = key_of(each) != key_of(wanted) and each.id.casefold() == wanted.id.casefold()
        if is_other and (each.in_force_from or date.min) >= begins:
            mistakes.append(TwoInForce(each.id, each.edition, each.in_force_from, begins))
    return mistakes


def end_mistakes(edition: RuleSet, ends: date) -> list[Mistake]:
    """Say why an edition cannot end on a day; on the day before it begins it may: then it never was in force.

    Args:
        edition: with the days on which it is in force.
        ends: the last day it should be in force.
    """
    what, begins = f"{edition.id}, edition {edition.edition},", edition.in_force_from
    if begins and ends < begins - DAY:
        return [EndsBefore(what, ends, begins, "ends")]
    if edition.in_force_until and ends >= edition.in_force_until:
        return [NotInForceThen(what, edition.in_force_until)]
    return []
