"""The working of a grade, to be done by hand: dockage, each factor, each row of the table, with every number."""

from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import TYPE_CHECKING

from grading.rules.dockage import Dockage
from grading.rules.fit import dish_weights
from grading.rules.gauges import Ready
from grading.rules.naming import Named
from grading.rules.portion import Portion
from grading.rules.readings import Reading
from grading.rules.rounding import shown_against
from grading.rules.rows import Shortfall
from grading.rules.rule_set import COUNT, GROSS, MOISTURE, NIL, PER_MASS, READING, Factor, Grade, RuleSet
from inventory.rules.reading import listed
from inventory.rules.rounding import half_up
from inventory.rules.working import Step

if TYPE_CHECKING:
    from grading.rules.outcome import Outcome


def working_of(graded: "Outcome") -> tuple[Step, ...]:
    """Write every step from the dishes to the grade."""
    ready, portion, named = graded.ready, graded.portion, graded.named
    steps = [_dockage(ready.rule_set, portion, graded.dockage)] if graded.dockage else []
    weights = dish_weights(ready.rule_set, portion)
    steps += [_factor(ready, portion, reading, weights) for reading in graded.readings]
    if named.stops:
        return (*steps, _stopped(named))
    if named.is_ungraded:
        return (*steps, _name(ready, named))
    read = {reading.factor.name: reading for reading in graded.readings}
    steps += [_row(ready, row, graded.short[row.name], read, portion) for row in ready.table.grades]
    return (*steps, _name(ready, named))


def _dockage(rule_set: RuleSet, portion: Portion, off: Dockage) -> Step:
    return Step(
        "dockage",
        f"{portion.dockage_g} g / {portion.gross_g} g × 100 = {half_up(off.share * 100, 6)} %",
        "the uncleaned weight",
        _rounded(off.read_pct, rounds=True),
        rule_set.dockage.source,
    )


def _factor(ready: Ready, portion: Portion, reading: Reading, weights: Mapping[str, Decimal]) -> Step:
    factor = reading.factor
    if factor.taken_by == READING:
        formula = f"{portion.reading(factor.reads)} % as {'measured' if factor.reads == MOISTURE else 'tested'}"
    elif factor.taken_by == PER_MASS:
        formula = f"{reading.pieces} pieces / {portion.portion_g} g × {factor.per_g} g = {_short(reading.raw_pct)}"
    else:
        formula = f"{_over_basis(ready, portion, factor, weights)} × 100 = {reading.raw_pct} %"
    rounded = _rounded(reading.read_pct, rounds=ready.rule_set.rounds)
    return Step(factor.words, formula, _basis(factor), rounded, _source(ready, reading))


def _over_basis(ready: Ready, portion: Portion, factor: Factor, weights: Mapping[str, Decimal]) -> str:
    if factor.taken_by == COUNT:
        pieces = {name: portion.counts.get(name, 0) for name in factor.dishes}
        return f"{_sum(factor, pieces)} pieces / {portion.counts.get('portion', 0)} pieces"
    basis = portion.gross_g if factor.basis == GROSS else portion.portion_g
    less = "".join(_less(ready, portion, factor))
    summed = _sum(factor, weights)
    return f"({summed}{less}) g / {basis} g" if less else f"{summed} g / {basis} g"


def _sum(factor: Factor, dishes: Mapping[str, Decimal] | Mapping[str, int]) -> str:
    """Write the dishes that are not empty: "14.8", or "(14.8 + 1/2 × 11.2)"."""
    terms = [
        f"{factor.parts[dish]} × {dishes[dish]}" if dish in factor.parts else f"{dishes[dish]}"
        for dish in factor.dishes
        if dishes[dish]
    ]
    if not terms:
        return "0"
    return terms[0] if len(terms) == 1 and not factor.parts else f"({' + '.join(terms)})"


def _less(ready: Ready, portion: Portion, factor: Factor) -> Iterator[str]:
    """Write what is taken off a sum: weight in several dishes of it, and what its class may hold beside it."""
    known = ready.rule_set.factor_by_any_name
    for overlap in portion.overlaps:
        parts = [factor.parts.get(name, 1) for each in overlap.factors if (name := known[each].name) in factor.dishes]
        if len(parts) > 1:
            times = sum(parts) - max(parts)
            yield f" − {overlap.grams}" if times == 1 else f" − {times} × {overlap.grams}"
    for each in ready.allowances:
        if factor.name in each.not_counted_in:
            yield f" − {ready.rule_set.factors[each.dish].words} up to {each.up_to} %"


def _basis(factor: Factor) -> str:
    if factor.taken_by == READING:
        return "wet basis" if factor.reads == MOISTURE else "the test"
    if factor.taken_by == PER_MASS:
        return "the portion"
    if factor.taken_by == COUNT:
        return "the count"
    summed = "" if factor.is_dish else ", from the raw sum"
    return f"the {'uncleaned' if factor.basis == GROSS else 'cleaned'} weight{summed}"


def _source(ready: Ready, reading: Reading) -> str:
    if not reading.limits:
        return f"{ready.rule_set.id} limits it only within totals; read to {reading.read_to} for showing"
    limits = ", ".join(f"{grade} {limit}" for grade, limit in reading.limits.items())
    side = "at least " if reading.factor.is_least else ""
    unit = f" {reading.factor.unit}" if reading.factor.taken_by == PER_MASS else ""
    return f"{ready.table.table}: {side}{limits}{unit}"


def _rounded(read: Decimal, *, rounds: bool) -> str:
    if not rounds:
        return f"{read}, not rounded before it is compared"
    step = Decimal(1).scaleb(int(read.as_tuple().exponent))
    return f"{read}, half up to {step}"


def _row(ready: Ready, row: Grade, short: tuple[Shortfall, ...], read: Mapping[str, Reading], portion: Portion) -> Step:
    missed = {shortfall.thing for shortfall in short}
    words = [
        f"{read[name].factor.words} {_against(ready, read[name], limit, is_over=name in missed)}"
        for name, limit in row.limits.items()
        if name in read and (name in missed or not missed)
    ]
    words += [
        f"{ready.rule_set.judged[thing].words} {_plain(portion.judged[thing])}, {_plain(wanted)} is asked"
        for thing, wanted in row.needs.items()
        if thing in portion.judged and (thing in missed or not missed)
    ]
    verdict = "not met" if missed else "met"
    formula = f"{verdict}: {'; '.join(words)}" if words else verdict
    return Step(row.name, formula, source=f"{ready.table.table}, {ready.table.class_name}")


def _against(ready: Ready, reading: Reading, limit: str, *, is_over: bool) -> str:
    if limit == NIL:
        return f"{reading.raw_pct} is more than nil" if is_over else "nil"
    read = shown_against(reading.share, limit, rounds=ready.rule_set.rounds)
    if reading.factor.is_least:
        return f"{read} {'<' if is_over else '≥'} {limit}"
    return f"{read} {'>' if is_over else '≤'} {limit}"


def _short(number: Decimal) -> str:
    """Write a number without the noughts that say nothing: "3.000000" is "3"."""
    return f"{number.normalize():f}"


def _plain(word: str) -> str:
    return word.replace("_", " ")


def _stopped(named: Named) -> Step:
    return Step("grade", f"{named.grade}, because of {listed([_plain(stop) for stop in named.stops], 'and')}")


def _name(ready: Ready, named: Named) -> Step:
    if named.instead:
        rule = named.instead
        words = ready.rule_set.factors[rule.factor].words
        return Step("grade", f"{named.grade}: {words} over {rule.over} stands instead of any grade", source=rule.source)
    if named.row is None:
        says = f"{named.change.makes}" if named.change else "no row is met"
        return Step("grade", f"{named.grade}: {says}")
    order = "the order of the table" if ready.rule_set.name_order is None else "the order of names that was set"
    added = "".join(f", with {rule.word} for {rule.reading} over {rule.over}" for rule in named.added)
    row = "" if named.grade == named.row else f"{named.row} is "
    return Step("grade", f"{named.grade}: {row}the first row that is met in {order}{added}")
