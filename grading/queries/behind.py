"""Which lots in store are not of the first grade, what holds each back, and how sure that is."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from functools import cached_property

from grading.queries.answers import beans_in
from grading.queries.grade_chances import with_a_chance
from grading.queries.grades import Graded, first_grade, grades_of, pool
from grading.queries.in_store import InStore, keys_in_store, lots_in_store
from grading.rules.fit import dish_weights
from grading.rules.outcome import Outcome, Reading
from grading.stats.beta import chance_text
from grading.stats.portion_chance import likely
from inventory.models import Station
from inventory.rules.rounding import half_up

MOSTLY = Fraction(1, 2)  # of all that was picked out
# Full-sized beans with a bad coat or colour pass every screen like sound ones; common practice, no source.
NOT_BY_SCREENS = ("damaged",)


@dataclass(frozen=True)
class Sureness:
    """How sure it is that the lot lies within a limit.

    Attributes:
        words: the factor as people read it.
        grade: whose limit.
        limit: as written [%].
        low_pct, high_pct: likely range of the lot [%].
        chance: that the lot's own share is within the limit [1].
        samples: what the chance stands on.
    """

    words: str
    grade: str
    limit: str
    low_pct: Decimal
    high_pct: Decimal
    chance: float
    samples: tuple[str, ...]

    @property
    def says(self) -> str:
        """The plain sentence: "71 in 100 that the lot is within 2.00 (total defects, No. 1)"."""
        return f"{in_100(self.chance)} that the lot is within {self.limit} ({self.words}, {self.grade})"


@dataclass(frozen=True)
class Standing:
    """A lot in store by its newest sample.

    Attributes:
        lot: with what is left of it.
        sample: number of the newest sample.
        grade: as it reads.
        held_back: "total defects 2.34, limit 2.00" for each limiting factor.
        at_limit: "total defects 2.00" for each reading equal to its grade's limit.
        hint: what its defects mostly are, where that says what will not mend it.
        graded: the newest portion of each of its samples, the newest sample first.
    """

    lot: InStore
    sample: str
    grade: str
    is_first: bool
    held_back: tuple[str, ...]
    at_limit: tuple[str, ...]
    hint: str
    graded: tuple[Graded, ...] = field(repr=False)

    @cached_property
    def sure(self) -> Sureness | None:
        """How sure it is, over all portions drawn separately; None where nothing says how many beans were looked at."""
        together = pool(self.graded)
        return how_sure(together) if together else None


def not_first_grade(station: Station) -> list[Standing]:
    """List lots in store whose newest sample is not of the first grade (4 queries)."""
    return [standing for standing in standings(station) if not standing.is_first]


def at_the_limit(station: Station) -> list[Standing]:
    """List lots in store that are of the first grade with a reading equal to its limit."""
    return [standing for standing in standings(station) if standing.is_first and standing.at_limit]


def standings(station: Station, lots: Sequence[InStore] | None = None) -> list[Standing]:
    """Say of every graded lot in store how it stands; `lots` are those in store, where they are known already."""
    lots = lots_in_store(station) if lots is None else lots
    grades = grades_of(station, keys_in_store(station))
    return [_standing(lot, grades[lot.lot_id]) for lot in lots if grades.get(lot.lot_id)]


def how_sure(graded: Graded) -> Sureness | None:
    """Say how sure the factor is that matters most: the one that holds the grade back, else the least sure one."""
    result = graded.outcome
    held = {entry.factor: entry.kept_from for entry in result.limiting}
    grade = next(iter(result.qualifies_for), None) or first_grade(result)
    sure = [
        each
        for reading in result.readings
        if reading.factor.has_chance and (not held or reading.factor.name in held)
        if (each := _sureness(graded, reading, held.get(reading.factor.name) or grade))
    ]
    return min(sure, key=lambda each: each.chance, default=None)


def in_100(chance: float) -> str:
    """Write a chance in plain words: "71 in 100", "less than 1 in 100"."""
    text = chance_text(chance).removesuffix(" %")
    return {"<1": "less than 1 in 100", ">99": "more than 99 in 100"}.get(text, f"{text} in 100")


def held_back(result: Outcome) -> tuple[str, ...]:
    """Word what keeps an outcome from a better grade: "contrasting classes 0.62, limit 0.50"."""
    return tuple(
        entry.words if entry.read_pct is None else f"{entry.words} {entry.read_pct}, limit {entry.limit}"
        for entry in result.limiting
    )


def _standing(lot: InStore, grades: list[Graded]) -> Standing:
    newest = grades[0]
    result = newest.outcome
    return Standing(
        lot=lot,
        sample=newest.sample.number,
        grade=result.grade,
        is_first=first_grade(result) in result.qualifies_for,
        held_back=held_back(result),
        at_limit=_at_limit(result),
        hint=hint_of(newest) if result.limiting else "",
        graded=tuple(grades),
    )


def _sureness(graded: Graded, reading: Reading, grade: str) -> Sureness | None:
    beans = beans_in(graded.outcome, graded.portion, reading.factor.name)
    if beans is None or grade not in with_a_chance(reading):
        return None
    found = likely(reading.share, beans, {grade: reading.limits[grade]})
    low, high = (half_up(Decimal(str(end * 100)), 1) for end in (found.interval.low, found.interval.high))
    return Sureness(
        reading.factor.words, grade, reading.limits[grade], low, high, found.within[grade], graded.samples
    )  # fmt: skip


def _at_limit(result: Outcome) -> tuple[str, ...]:
    """Readings equal to the limit of the grade they have; a limit of nought is met by finding nothing."""
    grade = next(iter(result.qualifies_for), "")
    return tuple(
        f"{reading.factor.words} {reading.read_pct}"
        for reading in result.readings
        if (limit := with_a_chance(reading).get(grade)) and Decimal(limit) > 0 and reading.read_pct == Decimal(limit)
    )


def hint_of(graded: Graded) -> str:
    """Say what a portion's defects mostly are, where that says what will not mend it; else ""."""
    weights = {dish: grams for dish, grams in dish_weights(graded.rule_set, graded.portion).items() if grams}
    total = sum(weights.values(), Decimal(0))
    for dish in NOT_BY_SCREENS:
        if total and Fraction(weights.get(dish, Decimal(0))) / Fraction(total) > MOSTLY:
            words = graded.rule_set.factors[dish].words
            return f"{weights[dish]} of {total} g picked out are {words}: screens will not take this out"
    return ""
