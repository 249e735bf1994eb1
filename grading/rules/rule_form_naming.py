"""What the names, dates and further figures of a written rule set mean."""

import re
from collections.abc import Iterator, Mapping
from datetime import date
from decimal import Decimal
from itertools import pairwise
from typing import Any

from grading.rules.mistakes import RuleSetFault, UnknownWord, shown
from grading.rules.rule_form_factors import grams_fault
from grading.rules.rule_form_shape import the_place
from grading.rules.rule_set import MOISTURE
from inventory.rules.mistakes import Mistake

LONGEST_EDITION = 40
AS_WRITTEN, UNROUNDED = "as_written", "none"
_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9-]{0,39}")
_FIGURE = re.compile(r"[0-9]{1,3}(\.[0-9]{1,6})?")


def is_figure(written: object, most: int = 100) -> bool:
    """Say whether something is a per cent, or a count, written as text: "0" to the most, at most six decimals."""
    return isinstance(written, str) and bool(_FIGURE.fullmatch(written)) and Decimal(written) <= most


def day_of(written: str | None) -> date | None:
    """Read a date of the form, where there is one."""
    return None if written is None else date.fromisoformat(written)


def naming_faults(document: Mapping[str, Any]) -> Iterator[Mistake]:
    """Yield every fault of what names a portion beside its table, and of the figures that go with it."""
    yield from _label_faults(document)
    yield from _figure_faults(document)
    yield from grams_fault(document["dockage"].get("least_g"), "/dockage/least_g")
    for pointer, entry in _on_factors(document):
        if entry["factor"] not in document["factors"]:
            yield UnknownWord("factor", entry["factor"], document["factors"], f"{pointer}/factor")
    readings = (MOISTURE, *document["factors"])
    for place, entry in enumerate(document["additions"]):
        if entry["reading"] not in readings:
            yield UnknownWord("reading", entry["reading"], readings, f"/additions/{place}/reading")
    yield from _further_faults(document["below_last"].get("further", []))
    yield from _name_order_faults(document)


def date_faults(in_force: Mapping[str, Any]) -> Iterator[Mistake]:
    """Yield dates that cannot be read or do not follow each other."""
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


def _label_faults(document: Mapping[str, Any]) -> Iterator[Mistake]:
    if not _ID.fullmatch(document["id"]):
        says = f"The id is {shown(document['id'])}. Write up to 40 letters, digits and hyphens, such as QM-DEMO."
        yield RuleSetFault(says, field="/id")
    if document.get("rounding", AS_WRITTEN) not in (AS_WRITTEN, UNROUNDED):
        yield UnknownWord("way of rounding", document["rounding"], (AS_WRITTEN, UNROUNDED), "/rounding")
    if len(document["edition"]) > LONGEST_EDITION:
        says = f"The edition has {len(document['edition'])} signs; {LONGEST_EDITION} fit. Write it shorter."
        yield RuleSetFault(says, field="/edition")


def _on_factors(document: Mapping[str, Any]) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Give each entry that names a factor and a figure it lies over, at its pointer."""
    lists = {
        "/instead": document["instead"],
        "/class_changes": document.get("class_changes", []),
        "/below_last/further": document["below_last"].get("further", []),
    }
    for pointer, entries in lists.items():
        yield from ((f"{pointer}/{place}", entry) for place, entry in enumerate(entries))


def _figure_faults(document: Mapping[str, Any]) -> Iterator[Mistake]:
    figures = {"/parts_read_to": document["parts_read_to"], "/dockage/read_to": document["dockage"]["read_to"]}
    figures |= {f"{pointer}/over": entry["over"] for pointer, entry in _on_factors(document)}
    for place, entry in enumerate(document["additions"]):
        figures[f"/additions/{place}/over"] = entry["over"]
        figures[f"/additions/{place}/retest_within"] = entry.get("retest_within", "0")
    for pointer, figure in figures.items():
        if not is_figure(figure):
            yield RuleSetFault(f'{the_place(pointer)} is {figure!r}. Write it as text such as "0.1".', field=pointer)


def _further_faults(further: list[Any]) -> Iterator[Mistake]:
    """Names below the last stand the nearest first, so that limits of one factor rise."""
    for place, (nearer, farther) in enumerate(pairwise(further), start=1):
        known = is_figure(nearer["over"]) and is_figure(farther["over"])
        if known and nearer["factor"] == farther["factor"] and Decimal(farther["over"]) <= Decimal(nearer["over"]):
            says = f"{farther['name']} begins over {farther['over']} %, {nearer['name']} over {nearer['over']} %."
            says += " List the nearest first, with limits that rise."
            yield RuleSetFault(says, field=f"/below_last/further/{place}/over")


def _name_order_faults(document: Mapping[str, Any]) -> Iterator[Mistake]:
    order = document["name_order"]
    if order == "as_listed":
        return
    names = dict.fromkeys(grade["grade"] for table in document["tables"] for grade in table["grades"])
    listed = [str(name) for name in order] if isinstance(order, list) else []
    wrong = [f"{name} is missing." for name in names if name not in listed]
    wrong += [f"{name} is no grade of its tables." for name in dict.fromkeys(listed) if name not in names]
    wrong += [f"{name} stands twice." for name in dict.fromkeys(listed) if listed.count(name) > 1]
    if not isinstance(order, list) or wrong:
        says = 'The name_order is "as_listed", or a list of every grade name with the name that wins first.'
        yield RuleSetFault(" ".join((says, *wrong[:6])), field="/name_order")
