"""The limits of a wanted grade as bounds on a mix, with a margin in points or as a chance."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from grading.queries.answers import beans_in
from grading.queries.blend_lots import BlendLot
from grading.rules.mixing import Limit
from grading.rules.outcome import Outcome
from grading.rules.rounding import decimals_of, limit_number
from grading.rules.rule_set import NIL, ClassChange, Factor, Grade, Instead, RuleSet, folded_class
from grading.stats.mix_chance import Part, share_below

GERMINATION = "germination"


@dataclass(frozen=True)
class Margin:
    """How far the mix stays within each limit.

    Attributes:
        points: per cent points off each limit; 0 holds the limit as the rule reads it [%].
        points_of: factor -> points off its limit, instead of those off each [%].
        level: chance with which each lot lies under the share it is counted with; None counts what was found [1].
    """

    points: Fraction = Fraction(0)
    level: float | None = None
    points_of: Mapping[str, Fraction] = field(default_factory=dict)

    def of(self, factor: str) -> Fraction:
        """Points off one factor's limit [%]."""
        return self.points_of.get(factor, self.points)

    @property
    def is_none(self) -> bool:
        """Limits are held as the rule reads them, and no closer."""
        return self.level is None and not self.points and not any(self.points_of.values())

    @property
    def says(self) -> str:
        """The margin in words."""
        if self.level is not None:
            return f"each lot counts with the share that it lies under with {self.level * 100:g} in 100"
        if self.is_none:
            return "none: as the rule reads it"
        each = [f"{float(points):g} points within {name.replace('_', ' ')}" for name, points in self.points_of.items()]
        return ", ".join([*([f"{float(self.points):g} points within each limit"] if self.points else []), *each])


@dataclass(frozen=True)
class LotReads:
    """A lot under the rule set of the plan."""

    lot: BlendLot
    outcome: Outcome

    def share(self, factor: str) -> Fraction:
        """Exact share of a factor [1]."""
        return self.outcome.shares[factor]

    def beans(self, factor: Factor) -> Fraction | None:
        """Pieces that a factor's share stands on; None where nothing says it."""
        return beans_in(self.outcome, self.lot.graded.portion, factor.dishes[0])

    @property
    def germination(self) -> tuple[int, int] | None:
        """Normal seedlings and seeds of the newest valid test."""
        test = self.lot.tested
        return None if test is None else (test.result.found, test.result.seeds)


def limits_of(rule_set: RuleSet, class_name: str, grade: Grade) -> dict[str, str]:
    """Give each factor's limit for a row, and those over which another name or class would stand instead of it."""
    limits = dict(grade.limits)
    folded = folded_class(class_name)
    others: list[Instead | ClassChange] = [*rule_set.instead]
    others += [each for each in rule_set.class_changes if not each.classes or folded in each.classes]
    for rule in others:
        if rule.factor not in limits or limit_number(rule.over) < limit_number(limits[rule.factor]):
            limits[rule.factor] = rule.over
    return limits


def bounds(
    rule_set: RuleSet, limits: Mapping[str, str], lots: Sequence[LotReads], margin: Margin
) -> list[Limit]:  # fmt: skip
    """Bound a mix of lots by limits.

    Without a margin the bound is where the rule starts to read over: half a step of the limit's last decimal above it.

    Args:
        limits: factor -> limit as written.
        lots: in the order of the mix; with a margin as a chance each must say how many beans were picked.
    """
    return [_bound(rule_set, name, written, lots, margin) for name, written in limits.items()]


def germination_floor(lots: Sequence[LotReads], floor: Fraction, margin: Margin) -> Limit:
    """Bound a mix from below by what its lots germinate; each must have been tested.

    Args:
        floor: the least [1].
    """
    tested = [lot.germination or (0, 1) for lot in lots]
    if margin.level is None:
        shares = tuple(Fraction(found, seeds) for found, seeds in tested)
    else:
        shares = tuple(1 - Fraction(share_below(seeds - found, seeds, margin.level)) for found, seeds in tested)
    written = f"{float(floor * 100):g}"
    return Limit(GERMINATION, GERMINATION, shares, floor, is_floor=True, written=written)


def parts_of(factor: Factor, lots: Sequence[LotReads], masses: Sequence[int]) -> list[Part] | None:
    """Give the parts of a mix with what was looked at in each; None where a part does not say how many beans."""
    parts, total = [], sum(masses)
    for lot, mass in zip(lots, masses, strict=True):
        beans = lot.beans(factor)
        if mass and beans is None:
            return None
        if mass and beans is not None:
            parts.append(Part(mass / total, float(beans * lot.share(factor.name)), float(beans)))
    return parts


def _bound(rule_set: RuleSet, name: str, written: str, lots: Sequence[LotReads], margin: Margin) -> Limit:
    factor = rule_set.factors[name]
    limit = Fraction(limit_number(written)) / 100
    found = tuple(lot.share(factor.name) for lot in lots)
    if margin.level is not None and factor.has_chance and limit:
        shares = tuple(_upper(lot, factor, share, margin.level) for lot, share in zip(lots, found, strict=True))
        return Limit(factor.name, factor.words, shares, limit, written=written)
    if limit and (points := margin.of(factor.name)):
        return Limit(factor.name, factor.words, found, limit - points / 100, written=written)
    if written == NIL or not rule_set.rounds:
        return Limit(factor.name, factor.words, found, limit, written=written)
    half_step = Fraction(1, 200 * 10 ** decimals_of(written))
    return Limit(factor.name, factor.words, found, limit + half_step, is_open=True, written=written)


def _upper(lot: LotReads, factor: Factor, share: Fraction, level: float) -> Fraction:
    beans = lot.beans(factor)
    if beans is None:
        raise AssertionError("A lot without a count of beans has no chance: it is refused where it is read.")
    return max(share, Fraction(share_below(float(beans * share), float(beans), level)))
