"""What each cut with screens would keep: exact sums of the fractions of a sieved and picked sample."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from grading.rules.mistakes import OutOfRange
from grading.rules.predicted import Predicted, predict, shares_of
from grading.rules.rule_set import Grade, RuleSet
from grading.rules.screens import Screen
from grading.rules.sieving import loss_mistakes
from inventory.rules.mistakes import Mistake
from inventory.rules.rounding import half_up

LEAST_KEPT = Fraction(9, 10)  # a cut that keeps less is no cleaning any more; ours, no source
HARDLY, MOSTLY = Fraction(1, 4), Fraction(3, 4)  # of a defect, for words; ours, no source


@dataclass(frozen=True, slots=True)
class OnScreen:
    """What stayed on one screen, and what was found in it.

    Attributes:
        screen: that it stayed on; the pan holds the rest.
        grams: all that stayed [g].
        picked_g: how much of it was picked through [g].
        weights_g: dish -> what was found in the picked part [g].
    """

    screen: Screen
    grams: Decimal
    picked_g: Decimal
    weights_g: Mapping[str, Decimal]

    def found_g(self, dish: str) -> Fraction:
        """What the whole fraction holds of a dish, as its picked part does [g]."""
        found = self.weights_g.get(dish, Decimal(0))
        return Fraction(self.grams) * Fraction(found) / Fraction(self.picked_g) if found else Fraction(0)


@dataclass(frozen=True, slots=True)
class Cut:
    """What passes a top screen and stays on a bottom one.

    Attributes:
        under: the top screen; None where nothing is taken off above.
        over: the bottom screen; None where nothing falls through.
        kept_g: what is kept [g].
        kept: part of all that was sieved [1].
        picked_g: how much of the kept was picked through [g].
        stays: dish -> part of it that is kept with the seed [1]; only dishes that were found.
        predicted: how the kept would read.
    """

    under: str | None
    over: str | None
    kept_g: Fraction
    kept: Fraction
    picked_g: Fraction
    stays: Mapping[str, Fraction]
    predicted: Predicted

    @property
    def words(self) -> str:
        """The cut in words: "under 18/64 round and over 11/64 x 3/4"."""
        ends = [f"under {self.under}" if self.under else "", f"over {self.over}" if self.over else ""]
        return " and ".join(end for end in ends if end) or "no cut"


@dataclass(frozen=True, slots=True)
class Spread:
    """How much of a defect screens can take while most of the seed is kept.

    Attributes:
        dish, words: the defect.
        taken: the most that a cut takes of it [1].
        cut: that cut; None where none takes any.
        kept: part of the seed that it keeps [1].
    """

    dish: str
    words: str
    taken: Fraction
    cut: Cut | None
    kept: Fraction

    @property
    def says(self) -> str:
        """The plain sentence."""
        taken, words = half_up(self.taken * 100, 0), self.words.capitalize()
        if self.cut is None:
            return f"{words}: no cut that keeps enough of the seed takes any."
        cut = f"{taken} of 100 ({self.cut.words}, {half_up(self.kept * 100, 1)} of 100 kept)"
        if self.taken < HARDLY:
            return f"{words}: spread over all fractions, screens take {cut}."
        return f"{words}: screens can take {'a part' if self.taken < MOSTLY else 'most'}, {cut}."


def sum_mistakes(fractions: Sequence[OnScreen], sieved_g: Decimal | None) -> list[Mistake]:
    """Want fractions that add up to what was sieved, within half of one per cent."""
    total = sum((each.grams for each in fractions), Decimal(0))
    if not total:
        return [OutOfRange("All fractions together weigh 0 g. Weigh what stayed on each screen.", field="fractions")]
    return loss_mistakes(Fraction(total), sieved_g)


def all_cuts(rule_set: RuleSet, class_name: str, fractions: Sequence[OnScreen]) -> list[Cut]:
    """Try every screen alone, and every top screen with every bottom one.

    Args:
        rule_set, class_name: what the kept is read under.
        fractions: from the top of the stack to the pan.

    Returns:
        Cuts that keep anything; the first is no cut at all.
    """
    dishes = [name for name, factor in rule_set.factors.items() if factor.is_dish]
    all_found = {dish: _found(fractions, dish) for dish in dishes}
    sieved = _grams(fractions)
    return [
        _cut(rule_set, class_name, fractions, window, all_found=all_found, sieved=sieved)
        for window in _windows(len(fractions))
        if _grams(fractions[window])
    ]


def best_cut(cuts: Sequence[Cut], grade: str) -> Cut | None:
    """Choose the cut that keeps most seed among those that would read as wanted; None where none does."""
    return max((cut for cut in cuts if cut.predicted.holds(grade)), key=lambda cut: cut.kept, default=None)


def nearest_cut(cuts: Sequence[Cut], grade: Grade, least_kept: Fraction = LEAST_KEPT) -> Cut:
    """Choose the cut that misses a grade by least, as a part of the limit it misses most.

    Args:
        cuts: of `all_cuts`, no cut at all first.
        grade: the wanted one.
        least_kept: cuts that keep less do not count [1].
    """
    limits = {name: Fraction(limit) / 100 for name, limit in grade.figures.items() if Fraction(limit)}
    mild = [cut for cut in cuts if cut.kept >= least_kept] or [cuts[0]]
    return min(mild, key=lambda cut: _miss(cut, limits))


def _miss(cut: Cut, limits: Mapping[str, Fraction]) -> Fraction:
    parts = [cut.predicted.shares.get(name, Fraction(0)) / most for name, most in limits.items()]
    return max(parts, default=Fraction(0))


def spreads(rule_set: RuleSet, cuts: Sequence[Cut], least_kept: Fraction = LEAST_KEPT) -> list[Spread]:
    """Say of each defect that was found how much of it screens can take.

    Args:
        rule_set: for the words.
        cuts: of `all_cuts`, no cut at all first.
        least_kept: cuts that keep less do not count [1].
    """
    mild = [cut for cut in cuts if cut.kept >= least_kept]
    found = []
    for dish in cuts[0].stays:
        most = min(mild, key=lambda cut: (cut.stays[dish], -cut.kept), default=cuts[0])
        taken = 1 - most.stays[dish]
        cut = most if taken else None
        found.append(Spread(dish, rule_set.factors[dish].words, taken, cut, most.kept))
    return found


def _windows(count: int) -> Iterator[slice]:
    """Every run of neighbouring fractions, the whole stack first."""
    for length in range(count, 0, -1):
        yield from (slice(start, start + length) for start in range(count - length + 1))


def _cut(
    rule_set: RuleSet, class_name: str, fractions: Sequence[OnScreen], window: slice, *,
    all_found: Mapping[str, Fraction], sieved: Fraction,
) -> Cut:  # fmt: skip
    kept = fractions[window]
    grams = _grams(kept)
    found = {dish: _found(kept, dish) for dish in all_found}
    shares = shares_of(rule_set, class_name, grams, found)
    last = kept[-1].screen
    return Cut(
        under=fractions[window.start - 1].screen.words if window.start else None,
        over=None if window.stop == len(fractions) else last.words,
        kept_g=grams,
        kept=grams / sieved,
        picked_g=sum((Fraction(each.picked_g) for each in kept), Fraction(0)),
        stays={dish: found[dish] / whole for dish, whole in all_found.items() if whole},
        predicted=predict(rule_set, class_name, shares),
    )


def _grams(fractions: Sequence[OnScreen]) -> Fraction:
    return sum((Fraction(each.grams) for each in fractions), Fraction(0))


def _found(fractions: Sequence[OnScreen], dish: str) -> Fraction:
    return sum((each.found_g(dish) for each in fractions), Fraction(0))
