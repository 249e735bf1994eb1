"""Limits of variation: how far a test may lie from a label or from another test, by the published tables."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import floor, sqrt

from grading.rules import federal_tables as tables
from grading.rules.mistakes import OutOfRange
from inventory.rules.rounding import half_up
from inventory.rules.working import Step

FULL_TEST = 400  # seeds, 7 CFR 201.54
PART_OF_MIXTURE = 200  # seeds, 7 CFR 201.54
EDITIONS = tuple(tables.OTHER_SEEDS)
_ABOVE_TABLE = {"2011": (Decimal("1.65"), Decimal("0.03")), "2000": (Decimal("1.96"), Decimal(1))}


@dataclass(frozen=True, slots=True)
class Tolerance:
    """A tolerance by a published table.

    Attributes:
        points: exact [percentage points].
        working: how it was found.
    """

    points: Fraction
    working: tuple[Step, ...]


def germination_tolerance(mean: Fraction, seeds: int = FULL_TEST) -> Tolerance:
    """Find how far two germination results, or a result and a label, may lie apart.

    Args:
        mean: of the two, not rounded, 0 to 100 [%].
        seeds: tested; 400 or more, or the 200 of a component in a mixture.

    Raises:
        OutOfRange: another number of seeds, which the table does not cover.

    Source: 7 CFR 201.63; the mean by 201.59.
    """
    if seeds < FULL_TEST and seeds != PART_OF_MIXTURE:
        says = f"{seeds} seeds were tested. The table covers 400 seeds or more, or the 200 of one part of a mixture."
        raise OutOfRange(f"{says} Test 400 seeds.", field="seeds")
    points = next(limit for lowest, limit in tables.GERMINATION if mean >= lowest)
    step = Step("tolerance", f"mean {short(mean)} %: {points} points", source=tables.GERMINATION_SOURCE)
    if seeds >= FULL_TEST:
        return Tolerance(Fraction(points), (step,))
    more = Step("tolerance of 200 seeds", f"{points} + 2 = {points + 2} points", source=tables.SEEDS_SOURCE)
    return Tolerance(Fraction(points + 2), (step, more))


def purity_tolerance(average: Fraction, *, chaffy: bool = False) -> Tolerance:
    """Find how far the found part of a component may lie from the one claimed.

    Args:
        average: of found and claimed, not rounded, 0 to 100 [%].
        chaffy: by the wider column, for the chaffy grasses that the rule lists; beans are nonchaffy.

    Between two rows it is interpolated, as the rule asks. Below 50 the second column of averages is read as printed:
    0.05 to 0.09 stands beside 99.90 to 99.94.

    Source: 7 CFR 201.60 (a), (b) and table 3.
    """
    key = average if average >= 50 else max(Fraction(50), Fraction("99.99") - average)
    column = 3 if chaffy else 2
    above = next(row for row in reversed(tables.PURITY) if key <= row[1])
    kind = "chaffy" if chaffy else "nonchaffy"
    if key >= above[0]:
        step = Step(
            "tolerance", f"average {short(average)} %, {kind}: {above[column]} points", source=tables.PURITY_SOURCE
        )
        return Tolerance(Fraction(above[column]), (step,))
    return _between(average, key, column)


def _between(average: Fraction, key: Fraction, column: int) -> Tolerance:
    place = next(place for place, row in enumerate(tables.PURITY) if key >= row[1])
    below, above = tables.PURITY[place], tables.PURITY[place - 1]
    part = (key - Fraction(below[1])) / (Fraction(above[0]) - Fraction(below[1]))
    points = Fraction(below[column]) + part * (Fraction(above[column]) - Fraction(below[column]))
    formula = (
        f"average {short(average)} % between the rows of {below[column]} and {above[column]}: {short(points)} points"
    )
    return Tolerance(points, (Step("tolerance", formula, source=f"{tables.PURITY_SOURCE}, by interpolation"),))


def variety_tolerance(found: Fraction, number: int, pure_seed: Tolerance | None = None) -> Tolerance:
    """Find the tolerance of a test of kind, variety, type or off-types on 10 to 1,000 seeds, seedlings or plants.

    Args:
        found: result of the test, not rounded, 0 to 100 [%].
        number: seeds, seedlings or plants in it, 10 to 1000.
        pure_seed: the pure-seed tolerance, half of which is added; None for hybrids, or where it is not known.

    Raises:
        OutOfRange: fewer than 10 or more than 1,000.

    The table prints every second per cent and eleven numbers. Between two percentages the straight line is taken, and
    between two numbers the next larger one, which is the stricter (both ours, no source).

    Source: 7 CFR 201.62 and table 4; found and not mean by 201.59.
    """
    if not tables.VARIETY_NUMBERS[0] <= number <= tables.VARIETY_NUMBERS[-1]:
        says = f"{number} were looked at. The table covers tests of 10 to 1,000 seeds, seedlings or plants."
        raise OutOfRange(f"{says} Test more, or in parts.", field="number")
    column = next(place for place, most in enumerate(tables.VARIETY_NUMBERS) if number <= most)
    key = max(found, 100 - found)
    low = min(98, int(key // 2) * 2)
    ends = [Fraction(tables.VARIETY[percent][column]) for percent in (low, low + 2)]
    points = ends[0] + (key - low) / 2 * (ends[1] - ends[0])
    step = Step(
        "tolerance", f"{short(found)} % of {number}, column {tables.VARIETY_NUMBERS[column]}: {short(points)} points",
        source=tables.VARIETY_SOURCE,
    )  # fmt: skip
    if pure_seed is None:
        return Tolerance(points, (step,))
    whole = points + pure_seed.points / 2
    formula = f"{short(points)} + {short(pure_seed.points)} / 2 = {short(whole)} points"
    more = Step("with half the pure-seed tolerance", formula, source=tables.VARIETY_SOURCE)
    return Tolerance(whole, (step, *pure_seed.working, more))


def most_other_seeds(labelled: int, edition: str = EDITIONS[0]) -> Tolerance:
    """Find the most noxious or other seeds that may be found where a label or test says a number.

    Args:
        labelled: seeds represented, in the quantity examined, 0 or more.
        edition: "2011", in force since June 2011, or "2000", before it.

    Above the table the printed formula is rounded down to whole seeds (ours; the table itself follows it within 1.3).

    Source: 7 CFR 201.65, table and formula.
    """
    rows, source = tables.OTHER_SEEDS[edition], tables.OTHER_SEEDS_SOURCES[edition]
    if labelled < len(rows):
        step = Step("most within tolerance", f"{labelled} represented: {rows[labelled]} seeds", source=source)
        return Tolerance(Fraction(rows[labelled]), (step,))
    times, plus = _ABOVE_TABLE[edition]
    most = floor(labelled + float(times) * sqrt(labelled) + float(plus))
    formula = f"{labelled} + {times} × √{labelled} + {plus}, whole seeds: {most}"
    return Tolerance(Fraction(most), (Step("most within tolerance", formula, rounding="rounded down", source=source),))


def short(exact: Fraction | Decimal | int) -> str:
    """Write an exact number with up to four decimals for a formula."""
    return f"{half_up(exact, 4).normalize():f}"
