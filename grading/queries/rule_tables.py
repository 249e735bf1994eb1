"""Rule sets as named values, for a list and for one set with its tables."""

from typing import Any

from grading.rules.rule_set import Factor, RuleSet, Table


def rule_set_head(rule_set: RuleSet) -> dict[str, Any]:
    """Give what a list of rule sets shows: id, edition, dates, source, classes."""
    begins, ends = rule_set.in_force_from, rule_set.in_force_until
    return {
        "id": rule_set.id,
        "title": rule_set.title,
        "edition": rule_set.edition,
        "in_force_from": begins and begins.isoformat(),
        "in_force_until": ends and ends.isoformat(),
        "source": rule_set.source,
        "official": False,
        "standing": rule_set.standing,
        "purpose": rule_set.purpose,
        "notes": list(rule_set.notes),
        "classes": list(rule_set.classes),
    }


def rule_set_whole(rule_set: RuleSet) -> dict[str, Any]:
    """Give a rule set with its tables."""
    return {**rule_set_head(rule_set), "tables": [_table(table) for table in rule_set.tables]}


def rule_set_lines(rule_set: RuleSet) -> list[str]:
    """Write a rule set with its tables as lines of text; limits in % as printed."""
    lines = [head_line(rule_set), f"  {rule_set.source}", *(f"  Note: {note}" for note in rule_set.notes)]
    for table in rule_set.tables:
        lines += ["", *_table_lines(rule_set, table)]
    return [*lines, *dish_lines(rule_set)]


def head_line(rule_set: RuleSet) -> str:
    """Write id, title, edition and dates in one line."""
    begins, ends = rule_set.in_force_from, rule_set.in_force_until
    since = f"in force from {begins}" if begins else "in force; its source does not print from which day"
    dates = since + (f" until {ends}" if ends else "")
    mark = "" if rule_set.is_verified else "; UNVERIFIED, used only where it is named"
    mark += "; seed grades, used only where they are named" if rule_set.is_for_seed else ""
    return f"{rule_set.id}  {rule_set.title}; edition {rule_set.edition}, {dates}; not official{mark}"


def _table(table: Table) -> dict[str, Any]:
    grades = [{"grade": row.name, "limits": dict(row.limits), "needs": dict(row.needs)} for row in table.grades]
    return {
        "class": table.class_name,
        "applies_to": list(table.applies_to),
        "table": table.table,
        "grades": grades,
    }


def _table_lines(rule_set: RuleSet, table: Table) -> list[str]:
    """Set factors against grades, for there are more words in a factor than in a grade."""
    factors = dict.fromkeys(factor for row in table.grades for factor in row.limits)
    things = dict.fromkeys(thing for row in table.grades for thing in row.needs)
    rows = [["not more than, %", *(row.name for row in table.grades)]]
    rows += [
        [_factor_words(rule_set.factors[name]), *(row.limits.get(name, "-") for row in table.grades)]
        for name in factors
    ]
    rows += [[rule_set.judged[name].words, *(_word(row.needs.get(name)) for row in table.grades)] for name in things]
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    lines = ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows]
    return [f"{table.class_name} ({table.table}): {', '.join(table.applies_to)}", *lines]


def dish_lines(rule_set: RuleSet) -> list[str]:
    """Name the dishes as they are typed into weights_g and counts."""
    dishes = [f"{name} ({factor.words})" for name, factor in rule_set.factors.items() if factor.is_dish]
    return ["", f"Dishes, as typed in weights_g and counts: {', '.join(dishes)}"] if dishes else []


def _factor_words(factor: Factor) -> str:
    """The factor, with what the head of the table does not say of it."""
    said = [*(["not less than"] if factor.is_least else []), *([factor.unit] if factor.unit != "%" else [])]
    return f"{factor.words} ({', '.join(said)})" if said else factor.words


def _word(word: str | None) -> str:
    return "-" if word is None else word.replace("_", " ")
