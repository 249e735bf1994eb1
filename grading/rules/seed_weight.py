"""The weight of a hundred seeds by replicates: mean, spread, and whether the rule asks to weigh more.

All sums are exact. The variance is taken in two passes, the differences from the mean first: sum(x^2) - (sum x)^2 / n
loses its last digits in floating point, here nothing is lost.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal, localcontext
from enum import StrEnum
from fractions import Fraction

from grading.rules.mistakes import OutOfRange
from inventory.rules.mass import MG_PER_LB
from inventory.rules.mistakes import Mistake, Question
from inventory.rules.rounding import half_up

READINGS = 4  # that the bench weighs
ALLOWED_SPREAD = Decimal("0.04")  # of the mean, highest less lowest; our own bench rule, no source
EIGHT, SIXTEEN = 8, 16
SEEDS_EACH = 100
MOST_CV = {"other seeds": Decimal("4.0"), "chaffy grasses": Decimal("6.0")}  # [%]
RULE_SOURCE = (
    "8 x 100 seeds: AOSA Rules Appendix 4 tutorial, FRSA workshop, 13 July 2001; limits of CV 4.0 and 6.0 % and the "
    "rule of 2 s: ISTA Rules chapter 10 (from memory)"
)
BENCH_SOURCE = "4 x 100 seeds, highest less lowest at most 4 % of the mean: ours, no source"
G_PER_LB = Fraction(MG_PER_LB) / 1000
DIGITS = 30  # of roots; far beyond any balance


class Verdict(StrEnum):
    """What the replicates allow."""

    ACCEPTED = "accepted"
    WEIGH_MORE = "weigh 8 more"
    WEIGH_AGAIN = "weigh again"


class TooFewReplicates(Mistake):
    """Fewer replicates than any rule asks, or a number between two rules."""

    code = "too_few_replicates"

    def __init__(self, given: int, asked: int) -> None:
        says = f"There are {given} replicates; the rule asks {asked}."
        super().__init__(
            f"{says} Weigh {asked} and give them all: it judges 4, 8 or 16.",
            field="readings",
        )


class NoWeight(Mistake):
    """Replicates that weigh nothing."""

    code = "no_weight"

    def __init__(self, place: int) -> None:
        super().__init__("A replicate weighs 0 g. Weigh it again.", field=f"readings.{place}")


class WeighAgain(Question):
    """The four readings differ too much."""

    code = "weigh_again"

    def __init__(self, readings: Sequence[Decimal], spread_pct: Decimal) -> None:
        given = ", ".join(map(str, readings))
        says = f"The readings {given} g spread over {spread_pct} % of their mean; 4 % is allowed."
        super().__init__(f"{says} Weigh 4 × 100 seeds again.", field="readings")


class WeighMore(Question):
    """The eight replicates differ too much."""

    code = "weigh_more"

    def __init__(self, cv_pct: Decimal, most: Decimal) -> None:
        says = f"The eight replicates have a CV of {cv_pct} %; {most} % is allowed."
        super().__init__(f"{says} Weigh 8 more and give all 16.", field="readings")


@dataclass(frozen=True, slots=True)
class SeedWeight:
    """The weight of seeds by replicates.

    Attributes:
        readings: all that were weighed [g].
        kept: those that count: without the ones that the rule of 2 s dropped [g].
        seeds_each: seeds in a replicate.
        most_cv: the rule's limit [%]; None where the bench's spread decides.
        verdict: what the rule says.
    """

    readings: tuple[Fraction, ...]
    kept: tuple[Fraction, ...]
    seeds_each: int
    most_cv: Decimal | None
    verdict: Verdict

    @property
    def n(self) -> int:
        """Replicates that count."""
        return len(self.kept)

    @property
    def mean_g(self) -> Fraction:
        """Mean of the replicates that count [g]."""
        return mean(self.kept)

    @property
    def variance(self) -> Fraction:
        """Variance of the replicates that count, with n - 1 [g²]."""
        return variance(self.kept)

    @property
    def sd_g(self) -> Decimal:
        """Standard deviation of the replicates that count [g]."""
        return root(self.variance)

    @property
    def cv_pct(self) -> Decimal:
        """Coefficient of variation, 100 s / mean [%]."""
        return root(self.variance / self.mean_g**2 * 10_000)

    @property
    def spread_pct(self) -> Fraction:
        """Highest less lowest, of the mean [%]."""
        return (max(self.kept) - min(self.kept)) / self.mean_g * 100

    @property
    def shown_mean(self) -> Decimal:
        """The mean as a balance shows it [g]."""
        return half_up(self.mean_g, 2)

    @property
    def shown_spread(self) -> Decimal:
        """The spread to one decimal [% of the mean]."""
        return half_up(self.spread_pct, 1)

    @property
    def one_seed_g(self) -> Fraction:
        """The mean weight of one seed [g]."""
        return self.mean_g / self.seeds_each

    @property
    def dropped(self) -> tuple[Fraction, ...]:
        """The replicates that the rule of 2 s dropped [g]."""
        left = list(self.readings)
        for reading in self.kept:
            left.remove(reading)
        return tuple(left)


def seed_weight(
    readings: Sequence[Decimal], *, seeds_each: int = SEEDS_EACH, kind: str = "other seeds"
) -> SeedWeight:  # fmt: skip
    """Work out the weight of seeds by 4, 8 or 16 replicates.

    Args:
        readings: weights of the replicates, over 0 [g]: 4 as the bench weighs, 8 as the rule asks, 16 where 8 spread.
        seeds_each: seeds in a replicate.
        kind: "other seeds" (beans too) or "chaffy grasses", which may spread wider.

    Returns:
        Of 8: accepted where CV is at most the limit, else 8 more are asked. Of 16: each that differs from their mean by
        more than 2 s is dropped, and the rest count. Of 4: accepted where highest less lowest is at most 4 % of the
        mean.

    Raises:
        Mistake: another number of replicates, or one of them weighs nothing.

    Source: AOSA Rules Appendix 4 tutorial, FRSA workshop, 13 July 2001; the limits and the rule of 2 s from memory.
    """
    for place, reading in enumerate(readings, 1):
        if reading <= 0:
            raise NoWeight(place)
    given = tuple(Fraction(reading) for reading in readings)
    if len(given) not in (READINGS, EIGHT, SIXTEEN):
        raise TooFewReplicates(len(given), next((n for n in (READINGS, EIGHT) if len(given) < n), SIXTEEN))
    if len(given) == SIXTEEN:
        return SeedWeight(given, within_two_s(given), seeds_each, MOST_CV[kind], Verdict.ACCEPTED)
    found = SeedWeight(given, given, seeds_each, MOST_CV[kind] if len(given) == EIGHT else None, Verdict.ACCEPTED)
    return found if _is_close(found) else SeedWeight(given, given, seeds_each, found.most_cv, _ask_for(len(given)))


def replicate_mistakes(readings: Sequence[Decimal]) -> list[Mistake]:
    """Check weights of 4, 8 or 16 times 100 seeds that are to be kept [g]; a spread that is too wide is asked about."""
    if len(readings) not in (READINGS, EIGHT, SIXTEEN):
        says = f"There are {len(readings)} readings. Weigh {READINGS} times 100 seeds and give each weight"
        return [OutOfRange(f"{says}, or 8 by the rule, or 16 where 8 spread.", field="readings")]
    if min(readings) <= 0:
        return []  # said already, of the reading itself
    found = seed_weight(readings)
    if found.verdict is Verdict.WEIGH_AGAIN:
        return [WeighAgain(readings, half_up(found.spread_pct, 1))]
    if found.verdict is Verdict.WEIGH_MORE and found.most_cv is not None:
        return [WeighMore(half_up(found.cv_pct, 2), found.most_cv)]
    return []


def mean_weight(readings: Sequence[Fraction]) -> Fraction:
    """Give the mean of what counts of readings in the books: of 16, those within two standard deviations [g]."""
    return mean(within_two_s(readings) if len(readings) == SIXTEEN else readings)


def within_two_s(readings: Sequence[Fraction]) -> tuple[Fraction, ...]:
    """Keep what differs from the mean by at most two standard deviations, both taken over all."""
    middle, allowed = mean(readings), 4 * variance(readings)
    return tuple(reading for reading in readings if (reading - middle) ** 2 <= allowed)


def mean(readings: Sequence[Fraction]) -> Fraction:
    """Give the mean, exact."""
    return sum(readings, Fraction(0)) / len(readings)


def variance(readings: Sequence[Fraction]) -> Fraction:
    """Give the variance with n - 1, exact, in two passes."""
    middle = mean(readings)
    return sum(((reading - middle) ** 2 for reading in readings), Fraction(0)) / (len(readings) - 1)


def root(square: Fraction) -> Decimal:
    """Take a square root to thirty digits."""
    with localcontext() as exact:
        exact.prec = DIGITS
        return (Decimal(square.numerator) / Decimal(square.denominator)).sqrt()


def seeds_per_kg(seed_weight_g_per_100: Fraction) -> Fraction:
    """Turn the weight of 100 seeds [g] into seeds in a kilogram."""
    return Fraction(100_000) / seed_weight_g_per_100


def seeds_per_lb(seed_weight_g_per_100: Fraction) -> Fraction:
    """Turn the weight of 100 seeds [g] into seeds in a pound: 45,359.237 / weight."""
    return 100 * G_PER_LB / seed_weight_g_per_100


def _is_close(found: SeedWeight) -> bool:
    if found.most_cv is None:
        return found.spread_pct <= Fraction(ALLOWED_SPREAD) * 100
    # Squared, so that it is decided exactly: a CV of 4 % and not a hair more is accepted.
    return found.variance * 10_000 <= Fraction(found.most_cv) ** 2 * found.mean_g**2


def _ask_for(given: int) -> Verdict:
    return Verdict.WEIGH_MORE if given == EIGHT else Verdict.WEIGH_AGAIN
