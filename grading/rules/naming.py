"""The name a portion is given: which grade wins, what stands instead of one, which words are added."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from grading.rules.gauges import Ready, Shares
from grading.rules.losing import Lost, shortfalls_of
from grading.rules.portion import Portion
from grading.rules.rounding import is_over, shown_against
from grading.rules.rows import nearest_shortfalls
from grading.rules.rule_set import MOISTURE, Addition, ClassChange, Instead, Stop, folded_class


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
        instead: what stands instead of a grade.
        added: the words that were added, by their rules.
        change: what made the beans another class.
        is_ungraded: of that class there is no table.
        stops: findings that ended grading.
    """

    row: str | None
    bare: str
    grade: str
    printed: str
    qualifies_for: tuple[str, ...] = ()
    better: tuple[str, ...] = ()
    instead: Instead | None = None
    added: tuple[Addition, ...] = ()
    change: ClassChange | None = None
    is_ungraded: bool = False
    stops: tuple[str, ...] = ()


def name_of(ready: Ready, lost: Lost, pan: Shares, portion: Portion, change: ClassChange | None = None) -> Named:
    """Name a portion.

    Args:
        ready: what it is graded under.
        lost: what bars which rows.
        pan, portion: what lay in it; its moisture.
        change: what made it another class, if anything did.
    """
    rank, rule_set = ready.rank_of(lost), ready.rule_set
    instead = _first_over(ready, pan, rule_set.instead)
    bare = instead.name if instead else rank.row or _below_last(ready, pan, rank.better, lost)
    row = None if instead else rank.row
    added = tuple([rule for rule in rule_set.additions if _is_over(ready, pan, portion, rule)])
    grade = printed = bare
    if ready.table.class_in_name and row:
        printed = f"{bare} {ready.class_name}"
    if added:
        grade, printed = (" ".join((name, *[rule.word for rule in added])) for name in (grade, printed))
    return Named(row, bare, grade, printed, rank.qualifies_for, rank.better, instead, added, change)


def stopped(ready: Ready, portion: Portion) -> Named:
    """Name a portion whose grading was ended by a finding."""
    stops = [ready.rule_set.stops[finding] for finding in portion.stops]
    unnamed = [stop for stop in stops if stop.name is None]
    name = f"not graded: {_listed(stops)}" if unnamed else (stops[0].name or "").replace("{class}", ready.class_name)
    return Named(None, name, name, name, stops=portion.stops)


def made_another(change: ClassChange) -> Named:
    """Name a portion that is of another class, for which the rule set has no table."""
    name = change.makes
    return Named(None, name, name, name, change=change, is_ungraded=True)


def class_change(ready: Ready, pan: Shares) -> ClassChange | None:
    """Find what makes the portion another class."""
    folded = folded_class(ready.class_name)
    for change in ready.rule_set.class_changes:
        is_meant = not change.classes or folded in change.classes
        if is_meant and folded_class(change.makes) != folded and _reads_over(ready, pan, change.factor, change.over):
            return change
    return None


def name_notes(ready: Ready, named: Named, pan: Shares, portion: Portion) -> list[str]:
    """Say what must be said with the name."""
    if named.stops:
        return _stop_notes([ready.rule_set.stops[finding] for finding in named.stops])
    notes = [
        f"{rule.word}: {_shown(ready, pan, portion, rule)} %, over {rule.over} ({rule.source})." for rule in named.added
    ]
    for rule in ready.rule_set.additions:
        notes += _retest(rule, portion.moisture_pct) if rule.reading == MOISTURE else []
    return notes


def _first_over(ready: Ready, pan: Shares, rules: tuple[Instead, ...]) -> Instead | None:
    for rule in rules:
        if _reads_over(ready, pan, rule.factor, rule.over):
            return rule
    return None


def _reads_over(ready: Ready, pan: Shares, factor: str, over: str) -> bool:
    top, bottom = pan.share(ready.gauges[factor])
    return bool(bottom) and is_over(top, bottom, over, rounds=ready.rule_set.rounds)


def _is_over(ready: Ready, pan: Shares, portion: Portion, rule: Addition) -> bool:
    if rule.reading != MOISTURE:
        return _reads_over(ready, pan, rule.reading, rule.over)
    if portion.moisture_pct is None:
        return False
    top, bottom = portion.moisture_pct.as_integer_ratio()
    return is_over(top, 100 * bottom, rule.over, rounds=ready.rule_set.rounds)


def _below_last(ready: Ready, pan: Shares, better: tuple[str, ...], lost: Lost) -> str:
    further = _first_over(ready, pan, ready.rule_set.further_below[::-1])
    name = further.name if further else ready.rule_set.below_last
    if "{factors}" in name:
        nearest = nearest_shortfalls(better, shortfalls_of(ready, lost))
        words = ", ".join([shortfall.words for shortfall, _ in nearest.values()])
        name = name.replace("{factors}", words)
    return name.replace("{class}", ready.class_name)


def _shown(ready: Ready, pan: Shares, portion: Portion, rule: Addition) -> Decimal:
    share = Fraction(portion.moisture_pct or 0) / 100
    if rule.reading != MOISTURE:
        share = Fraction(*pan.share(ready.gauges[rule.reading]))
    return shown_against(share, rule.over, rounds=ready.rule_set.rounds)


def _retest(rule: Addition, reading: Decimal | None) -> list[str]:
    within = rule.retest_within
    if within is None or reading is None or abs(reading - Decimal(rule.over)) > Decimal(within):
        return []
    return [f"{reading} % is within {within} of {rule.over}: test three times and report the average."]


def _stop_notes(stops: list[Stop]) -> list[str]:
    notes = [f"{stop.finding.replace('_', ' ').capitalize()}: {stop.source}." for stop in stops]
    notes.append(f"Hold the lot: {_listed(stops)}. Only a named person lifts a hold, with a reason.")
    return [note.replace("..", ".") for note in notes]


def _listed(stops: list[Stop]) -> str:
    return ", ".join(stop.finding.replace("_", " ") for stop in stops)
