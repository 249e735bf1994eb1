"""Reads a rule set from its written form (grading/rule_sets/README.md) and says everything that is wrong with it."""

from collections.abc import Mapping
from typing import Any

from grading.rules.mistakes import NotAnObject
from grading.rules.rule_form_factors import dishes_of, parts_of
from grading.rules.rule_form_meaning import meaning_faults
from grading.rules.rule_form_naming import AS_WRITTEN, day_of
from grading.rules.rule_form_shape import shape_faults
from grading.rules.rule_set import (
    CLEANED,
    LEAST,
    MARKET,
    MOISTURE,
    PER_MASS,
    READ,
    READING,
    WEIGHT,
    Addition,
    Allowance,
    ClassChange,
    DockageRule,
    Factor,
    Grade,
    Instead,
    Judged,
    RuleSet,
    Stop,
    Table,
    folded_class,
)
from inventory.rules.mistakes import Mistake, Refused


def read_rule_set(document: object) -> RuleSet:
    """Read a parsed rule set.

    Args:
        document: the JSON object, as parsed.

    Raises:
        Refused: with every fault found, each at its JSON pointer. Faults of shape come first, since meaning can only be
            checked in a well-shaped form.
    """
    if not isinstance(document, dict):
        raise Refused([NotAnObject("The rule set", document)])
    if "form" not in document and "in_force_from" in document:
        says = (
            "This is what `rules --json` shows of a set, not its written form. `rules ID --copy FILE` writes the form."
        )
        raise Refused([Mistake(says, field="/form")])
    faults = list(shape_faults(document)) or list(meaning_faults(document))
    if faults:
        raise Refused(faults)
    return _built(document)


def _built(document: Mapping[str, Any]) -> RuleSet:
    order = document["name_order"]
    return RuleSet(
        id=document["id"],
        title=document["title"],
        edition=document["edition"],
        in_force_from=day_of(document["in_force"].get("from")),
        in_force_until=day_of(document["in_force"].get("until")),
        source=document["source"],
        notes=tuple(document["notes"]),
        name_order=None if order == "as_listed" else tuple(order),
        parts_read_to=document["parts_read_to"],
        factors={name: _factor(document["factors"], name) for name in document["factors"]},
        judged={
            name: Judged(name, entry["words"], tuple(entry["best_first"]), entry["source"])
            for name, entry in document["judged"].items()
        },
        dockage=DockageRule(
            document["dockage"]["read_to"], document["dockage"].get("least_g"), document["dockage"]["source"]
        ),
        additions=tuple(
            Addition(entry["word"], entry["reading"], entry["over"], entry.get("retest_within"), entry["source"])
            for entry in document["additions"]
        ),
        instead=tuple(map(_over, document["instead"])),
        below_last=document["below_last"]["name"],
        further_below=tuple(map(_over, document["below_last"].get("further", ()))),
        standing=document.get("standing", READ),
        purpose=document.get("purpose", MARKET),
        rounds=document.get("rounding", AS_WRITTEN) == AS_WRITTEN,
        class_changes=tuple(map(_change, document.get("class_changes", ()))),
        stops={name: Stop(name, entry["name"], entry["source"]) for name, entry in document["stops"].items()},
        tables=tuple(map(_table, document["tables"])),
    )


def _over(entry: Mapping[str, Any]) -> Instead:
    return Instead(entry["factor"], entry["over"], entry["name"], entry["source"])


def _change(entry: Mapping[str, Any]) -> ClassChange:
    classes = tuple(map(folded_class, entry.get("classes", ())))
    return ClassChange(entry["factor"], entry["over"], entry["makes"], classes, entry["source"])


def _allowance(entry: Mapping[str, Any]) -> Allowance:
    classes = tuple(map(folded_class, entry["classes"]))
    return Allowance(classes, entry["dish"], entry["up_to"], tuple(entry["not_counted_in"]), entry["source"])


def _factor(factors: Mapping[str, Any], name: str) -> Factor:
    entry = factors[name]
    return Factor(
        name,
        entry["words"],
        entry.get("basis", CLEANED),
        tuple(dishes_of(factors, name)),
        entry.get("has_chance", True) and entry.get("taken_by") not in (READING, PER_MASS),
        entry.get("weighs_like_a_seed", False),
        tuple(entry.get("also_called", ())),
        entry.get("taken_by", WEIGHT),
        parts_of(factors, name),
        entry.get("least_portion_g"),
        entry.get("limit_is") == LEAST,
        entry.get("reads", MOISTURE),
        entry.get("per_g"),
    )


def _table(entry: Mapping[str, Any]) -> Table:
    grades = tuple(
        Grade(
            row["grade"],
            {factor: limit for factor, limit in row["limits"].items() if limit is not None},
            dict(row["needs"]),
        )
        for row in entry["grades"]
    )
    return Table(
        entry["class"],
        tuple(entry["applies_to"]),
        entry["table"],
        entry["class_in_name"],
        grades,
        entry.get("least_portion_g"),
        tuple(map(_allowance, entry.get("allowances", ()))),
    )
