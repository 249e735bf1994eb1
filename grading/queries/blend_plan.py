"""A plan of what to blend: the masses, what the mix would read as, and how sure that is; or why there is none."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from grading.queries.blend_limits import (
    GERMINATION,
    LotReads,
    Margin,
    bounds,
    germination_floor,
    limits_of,
    parts_of,
)
from grading.queries.mix_plan import Hindrance, Wanted, plan_mix
from grading.rules.mixing import Limit, MixLot, poorest
from grading.rules.predicted import Predicted, predict
from grading.rules.rounding import decimals_of
from grading.rules.rule_set import NIL, Grade, RuleSet
from grading.stats.mix_chance import Part, chance_mix_at_least, chance_mix_within
from inventory.rules.mass import kg_words
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.reading import listed
from inventory.rules.rounding import half_up


class NoMix(Mistake):
    """No mix of these lots holds the wanted grade."""

    code = "no_mix"


@dataclass(frozen=True)
class BlendPlan:
    """A mix that holds the wanted grade.

    Attributes:
        masses: of each lot, in the order asked [mg].
        predicted: how the mix would read, from its exact shares.
        germination: exact mean of its lots' newest valid tests by mass [1]; None where a part was not tested.
        chances: factor -> chance that the mix's own share is within the grade's limit; germination at the floor [1].
    """

    masses: tuple[int, ...]
    predicted: Predicted
    germination: Fraction | None
    chances: Mapping[str, float]

    @property
    def total(self) -> int:
        """Its mass [mg]."""
        return sum(self.masses)


def plan_blend(
    rule_set: RuleSet, class_name: str, grade: Grade, lots: Sequence[LotReads], mix_lots: Sequence[MixLot], *,
    margin: Margin, total: int | None, step: int, floor: Fraction | None, is_poorest_first: bool,
) -> BlendPlan:  # fmt: skip
    """Plan a blend.

    Args:
        rule_set, class_name, grade: the row that the mix is to hold.
        lots, mix_lots: in one order; what each reads as, and what may go in of it.
        margin: how far it stays within each limit.
        total: wanted mass [mg]; None where any will do.
        step: a gram or a bag [mg].
        floor: least germination [1].
        is_poorest_first: use up the poorest lot before anything else.

    Raises:
        Refused: no mix holds the grade; the limit that hinders it is named with what it can be brought to.
    """
    written = limits_of(rule_set, class_name, grade)
    limits = bounds(rule_set, written, lots, margin)
    if floor is not None:
        limits.append(germination_floor(lots, floor, margin))
    wanted = Wanted(total, _wishes(limits, mix_lots, total, is_poorest_first=is_poorest_first), step)
    found = plan_mix(mix_lots, limits, wanted)
    if isinstance(found, Hindrance):
        raise Refused([NoMix(_hindered(found, grade, margin, wanted), field="grade")])
    predicted = predict(rule_set, class_name, mixed_shares(rule_set, lots, found), _judged(lots))
    if not predicted.holds(grade.name):
        raise AssertionError(f"A plan that reads {predicted.grade} was to hold {grade.name}.")
    germination = _germination(lots, found)
    return BlendPlan(found, predicted, germination, _chances(rule_set, written, lots, found, floor))


def mixed_shares(rule_set: RuleSet, lots: Sequence[LotReads], masses: Sequence[int]) -> dict[str, Fraction]:
    """Give what a mix holds of every factor that all lots say: the mass-weighted mean of its lots, exact [1].

    What a class may hold beside a total is left out lot by lot, which never promises too much.
    """
    total = sum(masses)
    return {
        name: sum((mass * lot.share(name) for lot, mass in zip(lots, masses, strict=True)), Fraction(0)) / total
        for name in rule_set.factors
        if all(name in lot.outcome.shares for lot in lots)
    }


def _wishes(
    limits: Sequence[Limit], lots: Sequence[MixLot], total: int | None, *, is_poorest_first: bool
) -> tuple[tuple[float, ...], ...]:
    """Most seed first, and of it most poor seed, so that good seed is saved; or the poorest lot before all."""
    poor = poorest(limits, lots)
    worst = max(range(len(lots)), key=lambda place: poor[place])
    of_worst = tuple(float(place == worst) for place in range(len(lots)))
    seed = [(1.0,) * len(lots)] if total is None else []
    return (*([of_worst] if is_poorest_first else []), *seed, tuple(map(float, poor)))


def _judged(lots: Sequence[LotReads]) -> dict[str, str]:
    """Words that all lots were judged with alike."""
    words = [lot.lot.graded.portion.judged for lot in lots]
    return {thing: word for thing, word in words[0].items() if all(each.get(thing) == word for each in words)}


def _germination(lots: Sequence[LotReads], masses: Sequence[int]) -> Fraction | None:
    tested = [(lot.germination, mass) for lot, mass in zip(lots, masses, strict=True) if mass]
    if any(test is None for test, _mass in tested):
        return None
    return sum((Fraction(test[0] * mass, test[1]) for test, mass in tested if test), Fraction(0)) / sum(masses)


def _chances(
    rule_set: RuleSet,
    limits: Mapping[str, str],
    lots: Sequence[LotReads],
    masses: Sequence[int],
    floor: Fraction | None,
) -> dict[str, float]:  # fmt: skip
    chances = {}
    for name, written in limits.items():
        factor = rule_set.factors[name]
        parts = parts_of(factor, lots, masses) if factor.has_chance and written != NIL else None
        if parts:
            chances[name] = chance_mix_within(parts, float(Fraction(written) / 100))
    if floor is not None:
        tested = [(lot.germination or (0, 1), mass) for lot, mass in zip(lots, masses, strict=True) if mass]
        parts = [Part(mass / sum(masses), float(found), float(seeds)) for (found, seeds), mass in tested]
        chances[GERMINATION] = chance_mix_at_least(parts, float(floor))
    return chances


def _hindered(why: Hindrance, grade: Grade, margin: Margin, wanted: Wanted) -> str:
    mass = f" of {kg_words(wanted.total)} kg" if wanted.total is not None else ""
    start = "No mix" if margin.is_none else f"Margin: {margin.says}. So no mix"
    if not why.limits:
        step = f"whole bags of {kg_words(wanted.step)} kg" if wanted.is_in_bags else "whole grams"
        return (
            f"{start}{mass} in {step} holds {grade.name}, though one holds it weighed out finer. Give another total, a "
            "smaller bag, or leave the bags out."
        )
    reached = listed([_reached(limit, best) for limit, best in zip(why.limits, why.best, strict=True)], "and")
    if why.is_alone:
        return f"{start}{mass} of these lots holds {grade.name}: {reached}. Add a better lot."
    names = listed([limit.words for limit in why.limits], "and")
    return (
        f"{start}{mass} of these lots holds {grade.name}: {names} cannot be held together. While the others are held, "
        f"{reached}. Add a better lot."
    )


def _reached(limit: Limit, best: Fraction) -> str:
    places = max(decimals_of(limit.written) + 1, 2)
    end = "at least" if limit.is_floor else "limit"
    return f"{limit.words} comes to {half_up(best * 100, places)} % at best, {end} {limit.written}"
