"""What must be said with a grade: that it is in-house, what was not judged, what was estimated, what was too little."""

from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction

from grading.rules.fit import estimated
from grading.rules.gauges import Ready
from grading.rules.naming import Named, name_notes
from grading.rules.pan import Pan
from grading.rules.portion import Portion
from grading.rules.readings import RAW_DECIMALS, read_to
from grading.rules.rounding import shown_against
from grading.rules.rule_set import RuleSet, Table
from inventory.rules.rounding import half_up

NOT_OFFICIAL = "In-house reading, not an official certificate: official grading is for licensed inspectors."


def notes_of(ready: Ready, named: Named, pan: Pan, portion: Portion) -> tuple[str, ...]:
    """Give the notes of an outcome, the weightiest first."""
    rule_set, table = ready.rule_set, ready.table
    notes = [NOT_OFFICIAL, *unverified(rule_set), *rule_set.notes, *_changed(ready, named, pan, portion)]
    notes += name_notes(ready, named, pan, portion)
    notes += [*_not_read(ready, pan), *_vanished(ready, named, pan)]
    asked = dict.fromkeys(thing for grade in table.grades for thing in grade.needs)
    notes += [_not_judged(rule_set, table, thing) for thing in asked if thing not in portion.judged]
    notes += [
        f"{rule_set.id} does not judge {thing.replace('_', ' ')}: it was left out of the grade."
        for thing in portion.judged
        if thing not in rule_set.judged
    ]
    notes += [*_too_little(ready, portion), *_allowed(ready, portion)]
    for name, pieces in estimated(rule_set, portion).items():
        words = rule_set.factors[name].words.capitalize()
        notes.append(f"{words}: weight estimated from {pieces} pieces and the 100-seed weight; not for a report.")
    return tuple(notes)


def unverified(rule_set: RuleSet) -> list[str]:
    """Say of a rule set that it was not checked in its source, where it was not."""
    if rule_set.is_verified:
        return []
    return [f"Unverified limits: {rule_set.id} was not checked against its source. Take no decision on it alone."]


def _changed(ready: Ready, named: Named, pan: Pan, portion: Portion) -> list[str]:
    change = named.change
    if change is None:
        return []
    read = shown_against(Fraction(*pan.share(ready.gauges[change.factor])), change.over, rounds=ready.rule_set.rounds)
    words = ready.rule_set.factors[change.factor].words.capitalize()
    rest = "" if not named.is_ungraded else " No table of that class is here, so it was not graded."
    return [f"{words} {read} %, over {change.over}: {change.makes}, not {portion.class_name} ({change.source}).{rest}"]


def _not_read(ready: Ready, pan: Pan) -> Iterator[str]:
    for gauge in ready.limited:
        factor = ready.rule_set.factors[gauge.factor]
        if factor.is_read_off and factor.name not in pan.read_off:
            yield f"{factor.words.capitalize()} was not given and held nothing back."


def _vanished(ready: Ready, named: Named, pan: Pan) -> Iterator[str]:
    """Say what was found and reads as nothing: where the limit is 0.00, a stone that was seen would go unsaid."""
    for gauge in ready.limited:
        factor = ready.rule_set.factors[gauge.factor]
        top, bottom = pan.share(gauge)
        if not (factor.is_dish and top and bottom):
            continue
        share, written = Fraction(top, bottom), read_to(ready, factor.name, named.row)
        read = shown_against(share, written, rounds=ready.rule_set.rounds)
        if not read:
            raw = f"{half_up(share * 100, RAW_DECIMALS):f}".rstrip("0")
            says = f"{factor.words.capitalize()}: {raw} % was found and reads as {read} %, as the limit is written"
            yield f"{says}. The grade is the rule's own, but they are there."


def _not_judged(rule_set: RuleSet, table: Table, thing: str) -> str:
    words = rule_set.judged[thing].words.capitalize()
    rows = [grade for grade in table.grades if thing in grade.needs]
    asks = ", ".join(f"{grade.name} {grade.needs[thing].replace('_', ' ')}" for grade in rows)
    return f"{words} was not judged and held nothing back. The table asks: {asks}."


def _too_little(ready: Ready, portion: Portion) -> Iterator[str]:
    rule_set, table = ready.rule_set, ready.table
    least = rule_set.dockage.least_g
    if portion.gross_g is not None and least is not None and portion.gross_g < Decimal(least):
        yield f"Dockage was taken from {portion.gross_g} g; {rule_set.id} asks at least {least} g."
    if table.least_portion_g is not None and portion.portion_g < Decimal(table.least_portion_g):
        yield f"The portion is {portion.portion_g} g; {table.table} asks at least {table.least_portion_g} g."
    for factor in rule_set.factors.values():
        asked = factor.least_portion_g
        if asked is not None and portion.portion_g < Decimal(asked):
            words = factor.words.capitalize()
            yield f"{words}: read on {portion.portion_g} g; {rule_set.id} asks at least {asked} g."


def _allowed(ready: Ready, portion: Portion) -> Iterator[str]:
    for each in ready.allowances:
        if any(ready.rule_set.factor_by_any_name[name].name == each.dish for name in portion.weights_g):
            words = ready.rule_set.factors[each.dish].words
            totals = ", ".join(ready.rule_set.factors[total].words for total in each.not_counted_in)
            yield f"{ready.class_name}: {words} up to {each.up_to} % are left out of {totals} ({each.source})."
