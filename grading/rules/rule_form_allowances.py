"""What the allowances of a table mean: classes of that table, and totals that count what is allowed."""

from collections.abc import Iterator, Mapping
from typing import Any

from grading.rules.mistakes import RuleSetFault, UnknownWord
from grading.rules.rule_form_factors import dishes_of
from grading.rules.rule_form_naming import is_figure
from grading.rules.rule_set import folded_class
from inventory.rules.mistakes import Mistake


def allowance_faults(factors: Mapping[str, Any], table: Mapping[str, Any], pointer: str) -> Iterator[Mistake]:
    """Yield every fault of what some classes of a table may hold beside their totals.

    Args:
        factors: of the form, whose sums close.
        pointer: of the table's allowances.
    """
    classes = {folded_class(name): name for name in (table["class"], *table["applies_to"])}
    for place, entry in enumerate(table.get("allowances", [])):
        here = f"{pointer}/{place}"
        for name in entry["classes"]:
            if folded_class(name) not in classes:
                yield UnknownWord(f"class of {table['table']}", name, classes.values(), f"{here}/classes")
        if not is_figure(entry["up_to"]):
            yield RuleSetFault(f'up_to is {entry["up_to"]!r}. Write it as text such as "2.0".', field=f"{here}/up_to")
        yield from _total_faults(factors, entry, here)


def _total_faults(factors: Mapping[str, Any], entry: Mapping[str, Any], pointer: str) -> Iterator[Mistake]:
    if entry["dish"] not in factors or "sum_of" in factors[entry["dish"]]:
        dishes = [name for name, factor in factors.items() if "sum_of" not in factor]
        yield UnknownWord("dish", entry["dish"], dishes, f"{pointer}/dish")
        return
    for total in entry["not_counted_in"]:
        if total not in factors:
            yield UnknownWord("factor", total, factors, f"{pointer}/not_counted_in")
        elif entry["dish"] not in dishes_of(factors, total):
            says = f"{total} does not count {entry['dish']}: nothing can be left out of it. Name a total that does."
            yield RuleSetFault(says, field=f"{pointer}/not_counted_in")
