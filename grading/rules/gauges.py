"""A table of limits made ready for whole numbers: exact, and quick enough for a hundred thousand portions.

A limit written "0.10" holds while the reading is under 0.105 %, which is 21 half steps of 0.01 %. So each limit is a
whole number of half steps, a share is the whole half steps that fit in it, and one look-up in a sorted list judges a
factor for all rows of its table. Nothing is rounded on the way; `rounding.is_over` is the same rule for one limit.
"""

from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from math import lcm
from typing import Protocol

from grading.rules.rounding import decimals_of
from grading.rules.rows import Shortfall
from grading.rules.rule_set import GROSS, NIL, WEIGHT, Allowance, Factor, Grade, RuleSet, Table, folded_class

FINE = 10**8  # an allowance has at most six decimals of a per cent
NEVER = -(10**12)  # below every bound
EDITIONS_READY = 512  # tables of editions kept ready at once; one takes a few kilobytes


@dataclass(frozen=True, slots=True)
class Gauge:
    """One factor against all rows of a table; rows are bits, the first row the lowest.

    Attributes:
        factor: which.
        plain: the dishes it sums, by their place in the pan, where it is weighed off the cleaned portion and each dish
            counts once and whole; else empty.
        places: the same dishes in any case, each with how often it counts.
        times_whole: how often the whole basis counts, so that parts of dishes stay whole numbers.
        taken_by: "weight", "count" or "reading".
        on_gross: it stands on the uncleaned weight.
        half_steps: in a share of 1.
        shave: 1 where nothing is rounded, so that a share equal to its limit stays under its bound; else 0.
        bounds: half steps at which rows are lost, or from which they are met where the limit is the least; ascending.
        rows: the rows lost below the first bound, below the second, …
        rows_at_nought: the rows lost by nothing at all: those that ask for a least.
        rows_if_nil: the rows that allow none of it at all.
        allowances: place of a dish -> the most that is left out of the sum [1 / FINE of the basis].
    """

    factor: str
    plain: tuple[int, ...]
    places: tuple[tuple[int, int], ...]
    times_whole: int
    taken_by: str
    on_gross: bool
    half_steps: int
    shave: int
    bounds: tuple[int, ...]
    rows: tuple[int, ...]
    rows_at_nought: int
    rows_if_nil: int
    allowances: Mapping[int, int]

    def lost(self, top: int, bottom: int) -> int:
        """Give the rows whose limit a share of top / bottom misses; both are over 0."""
        return self.rows_if_nil | self.rows[bisect_right(self.bounds, (top * self.half_steps - self.shave) // bottom)]


class Shares(Protocol):
    """Whatever knows the exact share of each factor: a pan, or shares that were worked out."""

    def share(self, gauge: Gauge) -> tuple[int, int]:
        """Give a factor's exact share as top and bottom; bottom 0 where there is none."""


@dataclass(frozen=True, slots=True)
class GivenShares:
    """Shares that were worked out for seed that lies in no pan: factor -> exact share [1]."""

    by_factor: Mapping[str, Fraction]

    def share(self, gauge: Gauge) -> tuple[int, int]:
        """Give a factor's exact share as top and bottom; bottom 0 where there is none."""
        share = self.by_factor.get(gauge.factor)
        return (0, 0) if share is None else share.as_integer_ratio()


@dataclass(frozen=True, slots=True)
class Rank:
    """What a portion that meets these rows is called, before anything is added or stands instead."""

    row: str | None
    qualifies_for: tuple[str, ...]
    better: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Ready:
    """One class of one edition, ready to grade portions.

    Attributes:
        class_name: as the rule set writes it.
        dishes: names of dishes, in the order of the pan.
        place: every name a dish is read by -> its place in the pan.
        gauges: every factor.
        limited: the factors that some row limits.
        read_off: the factors that are no share of what lay in the pan.
        words: judged thing -> word -> the rows that ask a better one.
        shortfalls: factor or judged thing -> what each row says of it, in the order of rows.
        limits: factor -> grade -> limit, as written.
        allowances: what this class may hold beside its totals.
        every_row: all rows, as bits.
        is_plain: every dish is weighed off the cleaned portion.
    """

    rule_set: RuleSet
    table: Table
    class_name: str
    dishes: tuple[str, ...]
    place: Mapping[str, int]
    gauges: Mapping[str, Gauge]
    limited: tuple[Gauge, ...]
    read_off: tuple[Factor, ...]
    words: Mapping[str, Mapping[str, int]]
    shortfalls: Mapping[str, tuple[Shortfall, ...]]
    limits: Mapping[str, Mapping[str, str]]
    allowances: tuple[Allowance, ...]
    every_row: int
    is_plain: bool
    _ranks: dict[int, Rank] = field(default_factory=dict)

    def rank_of(self, lost: Mapping[str, int]) -> Rank:
        """Say which row wins among those that nothing bars, and which would have been better."""
        met = self.every_row
        for rows in lost.values():
            met &= ~rows
        if met not in self._ranks:
            self._ranks[met] = _rank(self.rule_set, self.table, met)
        return self._ranks[met]


@lru_cache(maxsize=EDITIONS_READY)
def ready_for(rule_set: RuleSet, class_name: str) -> Ready | None:
    """Make the table of a class ready; None if the rule set does not grade it."""
    found = rule_set.table_by_class.get(folded_class(class_name))
    return _ready(rule_set, *found) if found else None


def _ready(rule_set: RuleSet, class_name: str, table: Table) -> Ready:
    dishes = tuple(name for name, factor in rule_set.factors.items() if factor.is_dish)
    place = {name: index for index, dish in enumerate(dishes) for name in _names(rule_set.factors[dish])}
    allowed = [each for each in table.allowances if folded_class(class_name) in each.classes]
    gauges = {name: _gauge(rule_set, name, table, place, allowed) for name in rule_set.factors}
    return Ready(
        rule_set=rule_set,
        table=table,
        class_name=class_name,
        dishes=dishes,
        place=place,
        gauges=gauges,
        limited=tuple(gauges[name] for name in dict.fromkeys(name for row in table.grades for name in row.limits)),
        read_off=tuple(factor for factor in rule_set.factors.values() if factor.is_read_off),
        words={thing: _rows_by_word(rule_set, table, thing) for thing in rule_set.judged},
        shortfalls={
            thing: tuple(Shortfall(thing, words, _asked(row, thing)) for row in table.grades)
            for thing, words in _words_of(rule_set)
        },
        limits={
            name: {row.name: row.limits[name] for row in table.grades if name in row.limits}
            for name in rule_set.factors
        },
        allowances=tuple(allowed),
        every_row=(1 << len(table.grades)) - 1,
        is_plain=all(_is_plain(rule_set.factors[dish]) for dish in dishes),
    )


def _is_plain(factor: Factor) -> bool:
    return factor.basis != GROSS and factor.taken_by == WEIGHT


def _names(factor: Factor) -> tuple[str, ...]:
    return factor.name, *factor.also_called


def _gauge(rule_set: RuleSet, name: str, table: Table, place: Mapping[str, int], allowed: list[Allowance]) -> Gauge:
    factor = rule_set.factors[name]
    whole = lcm(*(part.denominator for part in factor.parts.values()))
    dishes = () if factor.is_read_off else factor.dishes
    half_steps, bounds, rows = _bounds(factor, table.grades, rounds=rule_set.rounds)
    has_allowance = any(factor.name in each.not_counted_in for each in allowed)
    is_plain = _is_plain(factor) and not factor.parts and not has_allowance
    return Gauge(
        factor=factor.name,
        plain=tuple(place[dish] for dish in dishes) if is_plain else (),
        places=tuple((place[dish], int(factor.parts.get(dish, 1) * whole)) for dish in dishes),
        times_whole=whole,
        taken_by=factor.taken_by,
        on_gross=factor.basis == GROSS,
        half_steps=half_steps,
        shave=0 if rule_set.rounds or factor.is_least else 1,
        bounds=bounds,
        rows=rows,
        rows_at_nought=rows[bisect_right(bounds, 0)] if factor.is_least else 0,
        rows_if_nil=sum(1 << at for at, row in enumerate(table.grades) if row.limits.get(factor.name) == NIL),
        allowances={
            place[each.dish]: int(Decimal(each.up_to) * (FINE // 100))
            for each in allowed
            if factor.name in each.not_counted_in
        },
    )


def _bounds(factor: Factor, grades: tuple[Grade, ...], *, rounds: bool) -> tuple[int, tuple[int, ...], tuple[int, ...]]:
    """Give half steps in a share of 1, the bounds at which rows are lost or met, and the rows lost from each on."""
    limits = {at: row.limits.get(factor.name, NIL) for at, row in enumerate(grades)}
    written = {at: limit for at, limit in limits.items() if limit != NIL}
    decimals = max(map(decimals_of, written.values()), default=0)
    half = -int(rounds) if factor.is_least else int(rounds)
    bound_of = {at: _bound(limit, decimals, half) for at, limit in written.items()}
    bounds = tuple(sorted(set(bound_of.values())))
    rows = [
        sum(1 << at for at, bound in bound_of.items() if (bound > passed if factor.is_least else bound <= passed))
        for passed in (NEVER, *bounds)
    ]
    return 200 * 10**decimals, bounds, tuple(rows)


def _bound(limit: str, decimals: int, half: int) -> int:
    """Give the half steps of the finest decimal from which a reading is over a limit: "0.1", 2 decimals -> 30.

    Args:
        half: 1 where a reading is rounded first, -1 where it is and the limit is the least, 0 where it is not rounded.
    """
    own = decimals_of(limit)
    steps = int(Decimal(limit) * 10**own)
    finer: int = 10 ** (decimals - own)
    return (2 * steps + half) * finer


def _rows_by_word(rule_set: RuleSet, table: Table, thing: str) -> dict[str, int]:
    judged = rule_set.judged[thing]
    return {
        word: sum(
            1 << at
            for at, row in enumerate(table.grades)
            if thing in row.needs and not judged.meets(word, row.needs[thing])
        )
        for word in judged.best_first
    }


def _words_of(rule_set: RuleSet) -> list[tuple[str, str]]:
    factors = [(name, factor.words) for name, factor in rule_set.factors.items()]
    return [*factors, *((name, judged.words) for name, judged in rule_set.judged.items())]


def _asked(row: Grade, thing: str) -> str:
    return row.limits.get(thing) or row.needs.get(thing, "")


def _rank(rule_set: RuleSet, table: Table, met: int) -> Rank:
    names = [row.name for row in table.grades]
    qualifies_for = tuple(name for at, name in enumerate(names) if met >> at & 1)
    order = [name for name in rule_set.name_order or names if name in names]
    row = next((name for name in order if name in qualifies_for), None)
    return Rank(row, qualifies_for, tuple(order[: order.index(row)] if row else order))
