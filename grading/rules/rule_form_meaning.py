"""What a written rule set means: sums that close, names that exist, limits in order, dates that follow."""

import re
from collections.abc import Iterator, Mapping
from datetime import date
from decimal import Decimal
from itertools import pairwise
from typing import Any

from grading.rules.mistakes import RuleSetFault, UnknownWord
from grading.rules.rule_set import CLEANED, GROSS, folded_class
from inventory.rules.mistakes import Mistake

_LIMIT = re.compile(r"[0-9]{1,3}(\.[0-9]{1,6})?")


def meaning_faults(document: Mapping[str, Any]) -> Iterator[Mistake]:
    """Yield every fault of a well-shaped rule set, each at its JSON pointer."""
    cycles = list(_sum_faults(document["factors"]))
    yield from cycles or _factor_faults(document["factors"])
    if not document["tables"]:
        yield RuleSetFault("It holds no table. Give at least one class with its grades.", field="/tables")
    yield from _class_faults(document["tables"])
    for place, table in enumerate(document["tables"]):
        yield from _table_faults(document, table, f"/tables/{place}")
    yield from _written_faults(document)
    yield from _name_order_faults(document)
    yield from _date_faults(document["in_force"])


def dishes_of(factors: Mapping[str, Any], name: str) -> list[str]:
    """List the dishes that a factor is made of, a dish as often as it is summed."""
    parts = factors.get(name, {}).get("sum_of")
    return [dish for part in parts for dish in dishes_of(factors, part)] if parts else [name]


def day_of(written: str | None) -> date | None:
    """Read a date of the form, where there is one."""
    return None if written is None else date.fromisoformat(written)


def _sum_faults(factors: Mapping[str, Any]) -> Iterator[Mistake]:
    for name, factor in factors.items():
        pointer = f"/factors/{name}/sum_of"
        unknown = [part for part in factor.get("sum_of", []) if part not in factors]
        for part in unknown:
            yield UnknownWord("factor", part, factors, pointer)
        if _reaches(factors, name, name):
            yield RuleSetFault(f"{name} is summed from itself. Name the dishes it is made of.", field=pointer)


def _factor_faults(factors: Mapping[str, Any]) -> Iterator[Mistake]:
    for name, factor in factors.items():
        yield from _twice(factors, name)
        bases = {factors[dish].get("basis", CLEANED) for dish in dishes_of(factors, name)}
        if bases != {factor.get("basis", CLEANED)} or not bases <= {CLEANED, GROSS}:
            says = (
                f'{name} stands on {", ".join(sorted(bases))}. Use "cleaned" or "gross", the same for all its dishes.'
            )
            yield RuleSetFault(says, field=f"/factors/{name}/basis")


def _reaches(factors: Mapping[str, Any], start: str, goal: str) -> bool:
    seen, to_see = set(), list(factors[start].get("sum_of", []))
    while to_see:
        part = to_see.pop()
        if part == goal:
            return True
        if part not in seen and part in factors:
            seen.add(part)
            to_see += factors[part].get("sum_of", [])
    return False


def _twice(factors: Mapping[str, Any], name: str) -> Iterator[Mistake]:
    dishes = dishes_of(factors, name)
    for dish in sorted({dish for dish in dishes if dishes.count(dish) > 1}):
        says = f"{name} sums {dish} twice. Name each dish once, directly or inside a total."
        yield RuleSetFault(says, field=f"/factors/{name}/sum_of")


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
        yield from _order_faults(table, factor, f"{pointer}/grades")


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
        if limit is not None and not _is_limit(limit):
            says = f'{grade["grade"]} limits {factor} to {limit!r}. Write the limit as text, from "0" to "100".'
            yield RuleSetFault(f"{says} Its decimals set the rounding.", field=f"{pointer}/{factor}")


def _is_limit(limit: object) -> bool:
    return isinstance(limit, str) and bool(_LIMIT.fullmatch(limit)) and Decimal(limit) <= 100


def _order_faults(table: Mapping[str, Any], factor: str, pointer: str) -> Iterator[Mistake]:
    """Later grades may not ask more, because a table lists the best first (other orders: set any_order)."""
    rows = [(grade["grade"], grade["limits"].get(factor)) for grade in table["grades"]]
    known = [(name, Decimal(limit)) for name, limit in rows if _is_limit(limit)]
    for (better, higher), (worse, lower) in pairwise(known):
        if lower < higher and not table.get("any_order", False):
            says = f"{factor}: {worse} allows {lower} %, less than the {higher} % of {better} above it."
            yield RuleSetFault(f'{says} Correct one, or set "any_order": true.', field=pointer)


def _written_faults(document: Mapping[str, Any]) -> Iterator[Mistake]:
    """Check every other written figure, and the factors that names stand on."""
    figures = {
        "/parts_read_to": document["parts_read_to"],
        "/dockage/read_to": document["dockage"]["read_to"],
        **{f"/additions/{place}/over": entry["over"] for place, entry in enumerate(document["additions"])},
        **{f"/instead/{place}/over": entry["over"] for place, entry in enumerate(document["instead"])},
    }
    retests = ((place, entry.get("retest_within", "0")) for place, entry in enumerate(document["additions"]))
    figures |= {f"/additions/{place}/retest_within": within for place, within in retests}
    for pointer, figure in figures.items():
        if not _is_limit(figure):
            yield RuleSetFault(f'{pointer} is {figure!r}. Write it as text such as "0.1".', field=pointer)
    least = document["dockage"].get("least_g", "0")
    if not re.fullmatch("[0-9]{1,6}", least):
        yield RuleSetFault(
            f'/dockage/least_g is {least!r}. Write whole grams as text such as "1000".', field="/dockage"
        )
    for place, entry in enumerate(document["instead"]):
        if entry["factor"] not in document["factors"]:
            yield UnknownWord("factor", entry["factor"], document["factors"], f"/instead/{place}/factor")


def _name_order_faults(document: Mapping[str, Any]) -> Iterator[Mistake]:
    order = document["name_order"]
    if order == "as_listed":
        return
    names = {grade["grade"] for table in document["tables"] for grade in table["grades"]}
    if not isinstance(order, list) or set(map(str, order)) != names:
        says = 'name_order is "as_listed", or a list of every grade name with the name that wins first.'
        yield RuleSetFault(f"{says} Names here: {', '.join(sorted(names))}.", field="/name_order")


def _date_faults(in_force: Mapping[str, Any]) -> Iterator[Mistake]:
    dates = {}
    for end in ("from", "until"):
        try:
            dates[end] = day_of(in_force.get(end))
        except ValueError:
            says = f"in_force {end} is {in_force[end]!r}. Write a date such as 2024-01-31, or null."
            yield RuleSetFault(says, field=f"/in_force/{end}")
    begins, ends = dates.get("from"), dates.get("until")
    if begins and ends and ends < begins:
        says = f"It ends on {ends}, before it begins on {begins}. Correct one of the dates."
        yield RuleSetFault(says, field="/in_force/until")
