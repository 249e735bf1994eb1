"""What became of the seeds that gave no normal seedling: abnormal, hard, fresh, dead."""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from fractions import Fraction

from grading.rules.mistakes import ReplicatesWrong
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import field_words
from inventory.rules.rounding import half_up
from inventory.rules.working import Step

# Trade terms of a germination test; common practice, no source.
OTHERS = ("abnormal", "hard", "fresh", "dead")


def seedling_mistakes(
    normal: Sequence[int], others: Mapping[str, Sequence[int]], seeds_each: int = 100
) -> list[Mistake]:
    """Check the counts of one test against the seeds that lay in each replicate.

    Args:
        normal: normal seedlings of each replicate.
        others: kind -> count of each replicate; kinds that were not counted are left out.
        seeds_each: seeds in each replicate.

    Returns:
        A sentence for each kind without a count of every replicate, and each replicate that counts over its seeds, or
        under them where all kinds were counted.
    """
    mistakes: list[Mistake] = [
        ReplicatesWrong(
            f"{field_words(kind)} has {len(counts)} counts for {len(normal)} replicates. Give one for each.", field=kind
        )
        for kind, counts in others.items()
        if len(counts) != len(normal)
    ]
    if mistakes:
        return mistakes
    for place, first in enumerate(normal):
        parts = {"normal": first, **{kind: counts[place] for kind, counts in others.items()}}
        total, words = sum(parts.values()), ", ".join(f"{count} {kind}" for kind, count in parts.items())
        if total > seeds_each or (total < seeds_each and set(others) == set(OTHERS)):
            says = f"Replicate {place + 1} counts {words}: {total} of {seeds_each} seeds. Count again."
            mistakes.append(ReplicatesWrong(says))
    return mistakes


def mean_parts(counts: Mapping[str, Sequence[int]], seeds_each: int = 100) -> dict[str, Fraction]:
    """Give the exact mean of each kind [%]."""
    return {kind: Fraction(sum(each) * 100, len(each) * seeds_each) for kind, each in counts.items() if each}


def steps_of(counts: Mapping[str, Sequence[int]], seeds_each: int = 100) -> tuple[Step, ...]:
    """Write how each mean came about."""
    return tuple(
        Step(
            kind, f"({' + '.join(map(str, counts[kind]))}) / {len(counts[kind])} replicates of {seeds_each} = "
            f"{shown(exact)} %", rounding=f"{half_up(exact, 0)} %, half up",
            source="7 CFR 201.55 note (65 FR 1707, 2000): mean to the nearest whole number",
        )
        for kind, exact in mean_parts(counts, seeds_each).items()
    )  # fmt: skip


def shown(exact: Fraction) -> Decimal:
    """Write a mean with two decimals."""
    return half_up(exact, 2)
