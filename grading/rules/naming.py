"""The name a portion is given: which grade wins, what stands instead of one, which words are added."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from grading.rules.portion import Portion
from grading.rules.rounding import read_as, reads_over
from grading.rules.rows import Shortfall, nearest_shortfalls
from grading.rules.rule_set import Addition, RuleSet, Table


@dataclass(frozen=True, slots=True)
class Named:
    """The name, and how it came about.

    Attributes:
        row: the grade of the table that won; None below the last or where something stands instead.
        bare: the name without added words.
        grade: the name with added words.
        printed: the name with class and added words.
        qualifies_for: every row that is met, as listed.
        better: rows that would win over this one, the best first.
        stops: findings that ended grading.
        notes: what must be said with it.
    """

    row: str | None
    bare: str
    grade: str
    printed: str
    qualifies_for: tuple[str, ...]
    better: tuple[str, ...]
    stops: tuple[str, ...]
    notes: tuple[str, ...]


def name_of(
    rule_set: RuleSet,
    table: Table,
    class_name: str,
    *,
    short: Mapping[str, tuple[Shortfall, ...]],
    shares: Mapping[str, Fraction],
    portion: Portion,
) -> Named:
    """Name a portion.

    Args:
        rule_set, table: what it is graded under.
        class_name: as the rule set writes it.
        short: row -> what keeps the portion out of it.
        shares: factor -> exact share [1].
        portion: its stops and its moisture.
    """
    if portion.stops:
        return _stopped(rule_set, class_name, portion)
    met = tuple(grade.name for grade in table.grades if not short[grade.name])
    order = [name for name in rule_set.name_order or tuple(short) if name in short]
    row = next((name for name in order if name in met), None)
    better = tuple(order[: order.index(row)] if row else order)
    instead = _instead(rule_set, shares)
    bare = instead or row or _below_last(rule_set, class_name, better, short)
    added, notes = _additions(rule_set, portion)
    with_class = f"{bare} {class_name}" if table.class_in_name and row and not instead else bare
    grade, printed = (" ".join((name, *added)) for name in (bare, with_class))
    return Named(None if instead else row, bare, grade, printed, met, better, (), notes)


def _stopped(rule_set: RuleSet, class_name: str, portion: Portion) -> Named:
    stops = [rule_set.stops[finding] for finding in portion.stops]
    words = ", ".join(stop.finding.replace("_", " ") for stop in stops)
    unnamed = [stop for stop in stops if stop.name is None]
    name = f"not graded: {words}" if unnamed else (stops[0].name or "").replace("{class}", class_name)
    notes = [f"{stop.finding.replace('_', ' ').capitalize()}: {stop.source}." for stop in stops]
    notes.append(f"Hold the lot: {words}. Only a named person lifts a hold, with a reason.")
    return Named(None, name, name, name, (), (), portion.stops, tuple(note.replace("..", ".") for note in notes))


def _instead(rule_set: RuleSet, shares: Mapping[str, Fraction]) -> str | None:
    for rule in rule_set.instead:
        if reads_over(shares[rule.factor], rule.over):
            return rule.name
    return None


def _below_last(
    rule_set: RuleSet, class_name: str, better: tuple[str, ...], short: Mapping[str, tuple[Shortfall, ...]]
) -> str:
    words = ", ".join(shortfall.words for shortfall, _ in nearest_shortfalls(better, short).values())
    return rule_set.below_last.replace("{class}", class_name).replace("{factors}", words)


def _additions(rule_set: RuleSet, portion: Portion) -> tuple[tuple[str, ...], tuple[str, ...]]:
    readings = {"moisture_pct": portion.moisture_pct}
    added, notes = [], []
    for rule in rule_set.additions:
        reading = readings.get(rule.reading)
        if reading is None:
            continue
        if read_as(reading, rule.over) > Decimal(rule.over):
            added.append(rule.word)
            notes.append(f"{rule.word}: {read_as(reading, rule.over)} %, over {rule.over} ({rule.source}).")
        notes += _retest(rule, reading)
    return tuple(added), tuple(notes)


def _retest(rule: Addition, reading: Decimal) -> list[str]:
    within = rule.retest_within
    if within is None or abs(reading - Decimal(rule.over)) > Decimal(within):
        return []
    return [f"{reading} % is within {within} of {rule.over}: test three times and report the average."]
