"""Is what was found within the tolerance of what was labelled, per kind of test."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from grading.rules.tolerances import (
    EDITIONS,
    FULL_TEST,
    Tolerance,
    germination_tolerance,
    most_other_seeds,
    purity_tolerance,
    short,
    variety_tolerance,
)
from inventory.rules.working import Step

GERMINATION, PURE_SEED, PART, OTHER_SEEDS, VARIETY = KINDS = (
    "germination", "pure_seed", "part", "other_seeds", "variety"
)  # fmt: skip
MEAN = "7 CFR 201.59 (35 FR 6108, 1970)"


@dataclass(frozen=True, slots=True)
class Claim:
    """What a label says and what was found.

    Attributes:
        kind: one of `KINDS`; a part is other crop, weed or inert matter of a purity analysis.
        labelled, found: per cent, of other seeds their number.
        number: seeds tested or plants looked at, where the table asks for it.
        chaffy: by the wider purity column.
        pure_seed: labelled and found pure seed [%], for a test of variety; None for hybrids or where not known.
        edition: of the table of other seeds.
    """

    kind: str
    labelled: Decimal
    found: Decimal
    number: int = FULL_TEST
    chaffy: bool = False
    pure_seed: tuple[Decimal, Decimal] | None = None
    edition: str = EDITIONS[0]


@dataclass(frozen=True, slots=True)
class Within:
    """Whether a claim holds within its tolerance.

    Attributes:
        tolerance: exact [points]; of other seeds the most that may be found.
        difference: found less labelled [points or seeds].
        within: it does not differ by more than the tolerance, or differs to the better.
        says: one sentence.
    """

    claim: Claim
    tolerance: Fraction
    difference: Decimal
    within: bool
    says: str
    working: tuple[Step, ...]


def within_tolerance(claim: Claim) -> Within:
    """Hold what was found against what was labelled.

    Raises:
        OutOfRange: a number of seeds that the table does not cover.

    A result on the better side of its label (more germination, fewer weeds) is within, however far: a tolerance excuses
    what falls short. Source: 7 CFR 201.59 to 201.65, each named in the working.
    """
    tolerance = _OF_KIND[claim.kind](claim)
    if claim.kind == OTHER_SEEDS:
        return _counted(claim, tolerance)
    difference = claim.found - claim.labelled
    worse = -difference if claim.kind in (GERMINATION, PURE_SEED, VARIETY) else difference
    within = worse <= tolerance.points
    points = short(tolerance.points)
    step = Step("difference", f"{claim.found} - {claim.labelled} = {difference:f} points", source=MEAN)
    verdict = f"within the tolerance of {points} points" if within else f"outside the tolerance of {points} points"
    if worse <= 0:
        verdict = "as good as the label or better"
    says = f"{claim.found} % found, {claim.labelled} % labelled: {verdict}."
    return Within(claim, tolerance.points, difference, within, says, (*_mean(claim), *tolerance.working, step))


def _counted(claim: Claim, tolerance: Tolerance) -> Within:
    within = claim.found <= tolerance.points
    verdict = "within" if within else "outside"
    says = f"{claim.found} seeds found, {claim.labelled} labelled, up to {tolerance.points} are within tolerance"
    return Within(
        claim, tolerance.points, claim.found - claim.labelled, within, f"{says}: {verdict}.", tolerance.working
    )


def _average(claim: Claim) -> Fraction:
    return (Fraction(claim.labelled) + Fraction(claim.found)) / 2


def _mean(claim: Claim) -> tuple[Step, ...]:
    if claim.kind == VARIETY:
        return ()
    formula = f"({claim.labelled} + {claim.found}) / 2 = {short(_average(claim))} %"
    return (Step("mean of label and test", formula, source=MEAN),)


def _variety(claim: Claim) -> Tolerance:
    pure = None
    if claim.pure_seed is not None:
        labelled, found = claim.pure_seed
        pure = purity_tolerance((Fraction(labelled) + Fraction(found)) / 2, chaffy=claim.chaffy)
    return variety_tolerance(Fraction(claim.found), claim.number, pure)


def _purity(claim: Claim) -> Tolerance:
    return purity_tolerance(_average(claim), chaffy=claim.chaffy)


_OF_KIND: Mapping[str, Callable[[Claim], Tolerance]] = {
    GERMINATION: lambda claim: germination_tolerance(_average(claim), claim.number),
    PURE_SEED: _purity,
    PART: _purity,
    OTHER_SEEDS: lambda claim: most_other_seeds(int(claim.labelled), claim.edition),
    VARIETY: _variety,
}
