"""The grade a portion reads as under one rule set, and what holds it back: exact, and silent about chance."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from grading.rules.dockage import Dockage, dockage
from grading.rules.fit import basis_g, dish_weights, estimated, name_mistakes, once_g, weight_mistakes
from grading.rules.naming import Named, name_of
from grading.rules.portion import Portion
from grading.rules.rounding import read_as
from grading.rules.rows import Shortfall, nearest_shortfalls, shortfalls
from grading.rules.rule_set import Factor, Grade, RuleSet, Table, folded_class
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.rounding import half_up

RAW_DECIMALS = 6
NOT_OFFICIAL = "In-house reading, not an official certificate: official grading is for licensed inspectors."


@dataclass(frozen=True, slots=True)
class Reading:
    """One factor of a portion.

    Attributes:
        factor: from the rule set.
        share: exact share of its basis [1].
        read_pct: rounded once, to the decimals of its limit [%].
        limits: grade -> limit as written [%].
        pieces: how many were counted, if they were.
    """

    factor: Factor
    share: Fraction
    read_pct: Decimal
    limits: Mapping[str, str]
    pieces: int | None

    @property
    def raw_pct(self) -> Decimal:
        """The per cent before rounding, shown to six places [%]."""
        return half_up(self.share * 100, RAW_DECIMALS)


@dataclass(frozen=True, slots=True)
class Limiting:
    """What keeps a portion from a better grade; numbers are None where it is judged and not weighed."""

    factor: str
    words: str
    grade: str
    kept_from: str | None
    raw_pct: Decimal | None
    read_pct: Decimal | None
    limit: str | None


@dataclass(frozen=True, slots=True)
class Outcome:
    """How a portion reads under one edition of a rule set.

    Attributes:
        grade: the name that wins, with any word added for moisture.
        printed: the whole name, with the class where the source adds it.
        qualifies_for: every grade whose limits and words are met, as listed.
        limiting: what keeps it from the nearest better grades.
        readings: every factor.
        dockage: None if no uncleaned weight was given.
        notes: what must be said with the grade.
    """

    rule_set: RuleSet
    table: Table
    class_name: str
    grade: str
    printed: str
    qualifies_for: tuple[str, ...]
    limiting: tuple[Limiting, ...]
    readings: tuple[Reading, ...]
    dockage: Dockage | None
    notes: tuple[str, ...]


def outcome(rule_set: RuleSet, portion: Portion) -> Outcome:
    """Grade one portion.

    Args:
        rule_set: one edition.
        portion: weights in grams.

    Returns:
        The outcome. Each per cent is exact until it is rounded once, half up, to the decimals of the limit it is held
        against; a total is rounded from its raw sum. A reading equal to its limit is within it.

    Raises:
        Refused: everything in the portion that the rule set does not know or that can't be true.
    """
    mistakes: list[Mistake] = list(name_mistakes(rule_set, portion)) or list(weight_mistakes(rule_set, portion))
    if mistakes:
        raise Refused(mistakes)
    class_name, table = rule_set.table_by_class[folded_class(portion.class_name)]
    shares = _shares(rule_set, portion)
    short = {grade.name: shortfalls(rule_set, grade, shares, portion.judged) for grade in table.grades}
    named = name_of(rule_set, table, class_name, short=short, shares=shares, portion=portion)
    readings = tuple(
        _reading(rule_set, table, factor, portion=portion, named=named, shares=shares)
        for factor in rule_set.factors.values()
    )
    off = None
    if portion.gross_g is not None and portion.dockage_g is not None:
        off = dockage(portion.gross_g, portion.dockage_g, rule_set.dockage.read_to)
    return Outcome(
        rule_set=rule_set,
        table=table,
        class_name=class_name,
        grade=named.grade,
        printed=named.printed,
        qualifies_for=named.qualifies_for,
        limiting=_limiting(short, named, readings),
        readings=readings,
        dockage=off,
        notes=_notes(rule_set, table, portion, named),
    )


def _shares(rule_set: RuleSet, portion: Portion) -> dict[str, Fraction]:
    weights = dish_weights(rule_set, portion)
    shares = {}
    for name, factor in rule_set.factors.items():
        grams = once_g({dish: weights[dish] for dish in factor.dishes}, rule_set, portion)
        top, bottom = grams.as_integer_ratio()
        of, parts = basis_g(rule_set, portion, factor.dishes[0]).as_integer_ratio()
        shares[name] = Fraction(top * parts, bottom * of)
    return shares


def _reading(
    rule_set: RuleSet,
    table: Table,
    factor: Factor,
    *,
    portion: Portion,
    named: Named,
    shares: Mapping[str, Fraction],
) -> Reading:
    limits = {grade.name: grade.limits[factor.name] for grade in table.grades if factor.name in grade.limits}
    written = limits.get(named.row or "") or next(reversed(limits.values()), rule_set.parts_read_to)
    share = shares[factor.name]
    pieces = [portion.counts[name] for name in (factor.name, *factor.also_called) if name in portion.counts]
    return Reading(factor, share, read_as(share * 100, written), limits, sum(pieces) if pieces else None)


def _limiting(
    short: Mapping[str, tuple[Shortfall, ...]], named: Named, readings: tuple[Reading, ...]
) -> tuple[Limiting, ...]:
    if named.stops:
        return tuple(
            Limiting(stop, stop.replace("_", " "), named.grade, None, None, None, None) for stop in named.stops
        )
    by_name = {reading.factor.name: reading for reading in readings}
    found = []
    for shortfall, kept_from in nearest_shortfalls(named.better, short).values():
        reading = by_name.get(shortfall.thing)
        raw = reading.raw_pct if reading else None
        read = read_as(reading.share * 100, shortfall.limit) if reading else None
        words = shortfall.words
        found.append(Limiting(shortfall.thing, words, named.bare, kept_from, raw, read, shortfall.limit))
    return tuple(found)


def _notes(rule_set: RuleSet, table: Table, portion: Portion, named: Named) -> tuple[str, ...]:
    notes = [NOT_OFFICIAL, *rule_set.notes, *named.notes]
    asked = dict.fromkeys(thing for grade in table.grades for thing in grade.needs)
    notes += [_not_judged(rule_set, table, thing) for thing in asked if thing not in portion.judged]
    notes += [
        f"{rule_set.id} does not judge {thing.replace('_', ' ')}: it was left out of the grade."
        for thing in portion.judged
        if thing not in rule_set.judged
    ]
    least = rule_set.dockage.least_g
    if portion.gross_g is not None and least is not None and portion.gross_g < Decimal(least):
        notes.append(f"Dockage was taken from {portion.gross_g} g; {rule_set.id} asks at least {least} g.")
    for name, pieces in estimated(rule_set, portion).items():
        words = rule_set.factors[name].words.capitalize()
        notes.append(f"{words}: weight estimated from {pieces} pieces and the 100-seed weight; not for a report.")
    return tuple(notes)


def _not_judged(rule_set: RuleSet, table: Table, thing: str) -> str:
    words = rule_set.judged[thing].words.capitalize()
    rows: list[Grade] = [grade for grade in table.grades if thing in grade.needs]
    asks = ", ".join(f"{grade.name} {grade.needs[thing].replace('_', ' ')}" for grade in rows)
    return f"{words} was not judged and held nothing back. The table asks: {asks}."
