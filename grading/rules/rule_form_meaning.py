"""What a written rule set means: sums that close, names that exist, limits in order, dates that follow."""

from collections.abc import Iterator, Mapping
from itertools import pairwise
from typing import Any

from grading.rules.mistakes import RuleSetFault, UnknownWord, shown
from grading.rules.rounding import limit_number
from grading.rules.rule_form_allowances import allowance_faults
from grading.rules.rule_form_factors import factor_faults, grams_fault
from grading.rules.rule_form_naming import date_faults, is_figure, naming_faults
from grading.rules.rule_set import LEAST, MARKET, NIL, PER_MASS, READ, SEED, UNVERIFIED, folded_class
from inventory.rules.mistakes import Mistake

MOST_PIECES = 999  # in so many grams


def meaning_faults(document: Mapping[str, Any]) -> Iterator[Mistake]:
    """Yield every fault of a well-shaped rule set, each at its JSON pointer."""
    open_factors = list(factor_faults(document["factors"]))
    yield from open_factors
    if not document["tables"]:
        yield RuleSetFault("It holds no table. Give at least one class with its grades.", field="/tables")
    yield from _class_faults(document["tables"])
    for place, table in enumerate(document["tables"]):
        yield from _table_faults(document, table, f"/tables/{place}")
        if not open_factors:
            yield from allowance_faults(document["factors"], table, f"/tables/{place}/allowances")
    yield from naming_faults(document)
    yield from date_faults(document["in_force"])
    if document.get("standing") == UNVERIFIED and not document["notes"]:
        says = "notes is empty. Say why these limits are unverified: it is said with every grade under them."
        yield RuleSetFault(says, field="/notes")
    elif document.get("standing", READ) not in (READ, UNVERIFIED):
        yield UnknownWord("standing", document["standing"], (READ, UNVERIFIED), "/standing")
    if document.get("purpose", MARKET) not in (MARKET, SEED):
        yield UnknownWord("purpose", document["purpose"], (MARKET, SEED), "/purpose")


def _class_faults(tables: list[Any]) -> Iterator[Mistake]:
    owner: dict[str, str] = {}
    for place, table in enumerate(tables):
        for name in dict.fromkeys(map(folded_class, (table["class"], *table["applies_to"]))):
            if name in owner:
                says = f"Class {name!r} stands in two tables, {owner[name]} and {table['table']}. Keep it in one."
                yield RuleSetFault(says, field=f"/tables/{place}/applies_to")
            owner.setdefault(name, table["table"])


def _table_faults(document: Mapping[str, Any], table: Mapping[str, Any], pointer: str) -> Iterator[Mistake]:
    names = [grade["grade"] for grade in table["grades"]]
    if not names:
        yield RuleSetFault(f"{table['table']} lists no grade. Give its rows.", field=f"{pointer}/grades")
    for name in sorted({name for name in names if names.count(name) > 1}):
        yield RuleSetFault(f"{name} stands twice in {table['table']}. Name each grade once.", field=f"{pointer}/grades")
    limited = dict.fromkeys(factor for grade in table["grades"] for factor in grade["limits"])
    for place, grade in enumerate(table["grades"]):
        yield from _grade_faults(document, grade, limited, f"{pointer}/grades/{place}")
    for factor in limited:
        yield from _order_faults(table, factor, document["factors"].get(factor, {}), f"{pointer}/grades")
    yield from grams_fault(table.get("least_portion_g"), f"{pointer}/least_portion_g")


def _grade_faults(
    document: Mapping[str, Any], grade: Mapping[str, Any], limited: Mapping[str, None], pointer: str
) -> Iterator[Mistake]:
    for factor in limited:
        if factor not in grade["limits"]:
            says = f"{grade['grade']} has no limit for {factor}, its neighbours have. Write null where none is printed."
            yield RuleSetFault(says, field=f"{pointer}/limits")
    yield from _limit_faults(document, grade, f"{pointer}/limits")
    for thing, word in grade["needs"].items():
        if thing not in document["judged"]:
            yield UnknownWord("judged thing", thing, document["judged"], f"{pointer}/needs")
        elif word not in document["judged"][thing]["best_first"]:
            yield UnknownWord("word", word, document["judged"][thing]["best_first"], f"{pointer}/needs/{thing}")


def _limit_faults(document: Mapping[str, Any], grade: Mapping[str, Any], pointer: str) -> Iterator[Mistake]:
    for factor, limit in grade["limits"].items():
        if factor not in document["factors"]:
            yield UnknownWord("factor", factor, document["factors"], pointer)
        written = document["factors"].get(factor, {})
        most = MOST_PIECES if written.get("taken_by") == PER_MASS else 100
        if limit == NIL and written.get("limit_is") == LEAST:
            says = f"{grade['grade']} asks at least nil of {factor}: that is no limit. Write null, or a figure."
            yield RuleSetFault(says, field=f"{pointer}/{factor}")
        elif limit not in (None, NIL) and not is_figure(limit, most):
            how = "a figure with a point" if isinstance(limit, str) else "the limit as text"
            says = f'{grade["grade"]} limits {factor} to {shown(limit)}. Write {how}, from "0" to "{most}".'
            says += ' Its decimals set the rounding; "nil" is none at all.'
            yield RuleSetFault(says, field=f"{pointer}/{factor}")


def _order_faults(table: Mapping[str, Any], factor: str, written: Mapping[str, Any], pointer: str) -> Iterator[Mistake]:
    """Later grades may not ask more, because a table lists the best first (other orders: set any_order)."""
    is_least = written.get("limit_is") == LEAST
    unit = "" if written.get("taken_by") == PER_MASS else " %"
    rows = [(grade["grade"], grade["limits"].get(factor)) for grade in table["grades"]]
    known = [(name, limit) for name, limit in rows if limit == NIL or is_figure(limit, MOST_PIECES)]
    for (better, above), (worse, below) in pairwise(known):
        asks_more = limit_number(below) - limit_number(above)
        if (asks_more > 0 if is_least else asks_more < 0) and not table.get("any_order", False):
            says = f"{factor}: {worse} allows {below}{unit}, less than the {above}{unit} of {better} above it."
            if is_least:
                says = f"{factor}: {worse} asks {below}{unit}, more than the {above}{unit} of {better} above it."
            yield RuleSetFault(f'{says} Correct one, or set "any_order": true.', field=pointer)
