"""Two or three germination tests of one lot: the mean of those that agree, or the sentence that one more is needed."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from itertools import combinations

from grading.rules.germination import GerminationTest, Verdict
from grading.rules.mistakes import ReplicatesWrong
from grading.rules.tolerances import germination_tolerance, short
from inventory.rules.mistakes import Refused
from inventory.rules.rounding import half_up
from inventory.rules.working import Step

SOURCE = "7 CFR 201.55 (e): retest when no two satisfactory tests are within tolerance; tolerance 201.63, mean 201.59"


@dataclass(frozen=True, slots=True)
class MeanOfTests:
    """What tests of one lot say together.

    Attributes:
        used: places of the tests that agree, from 1; empty where another test is needed.
        mean_pct: of those, whole per cent half up; None where none agree.
        verdict: one sentence.
    """

    used: tuple[int, ...]
    mean_pct: Decimal | None
    verdict: str
    working: tuple[Step, ...]


def mean_of_tests(tests: Sequence[GerminationTest]) -> MeanOfTests:
    """Lay together what tests of one lot found.

    Args:
        tests: two or three, the oldest first; one whose replicates spread over the table is left out.

    Returns:
        The mean of the largest set of tests of which each two agree by the table; of two sets the one that lies nearer
        together, then the newer one (that choice is ours, no source).

    Raises:
        Refused: another number of tests.

    Source: 7 CFR 201.55 (e), 201.59 and 201.63.
    """
    if not 2 <= len(tests) <= 3:
        says = f"There are {len(tests)} tests. Give two, or three where two did not agree."
        raise Refused([ReplicatesWrong(says)])
    sound = [place for place, test in enumerate(tests, 1) if test.verdict is not Verdict.RETEST]
    left_out = tuple(_left_out(place, test) for place, test in enumerate(tests, 1) if place not in sound)
    pairs = {pair: _agree(tests, *pair) for pair in combinations(sound, 2)}
    working = (*left_out, *(step for _agrees, steps in pairs.values() for step in steps))
    used = _chosen(tests, sound, [pair for pair, (agrees, _steps) in pairs.items() if agrees])
    if not used:
        next_one = "a third" if len(tests) == 2 else "a further"
        return MeanOfTests((), None, f"No two sound tests are within tolerance: make {next_one} test.", working)
    means = [_pct(tests[place - 1]) for place in used]
    exact = sum(means, Fraction(0)) / len(means)
    mean = half_up(exact, 0)
    formula = f"({' + '.join(short(mean) for mean in means)}) / {len(means)} = {short(exact)} %"
    step = Step("germination", formula, basis="tests that agree", rounding=f"{mean} %, half up", source=SOURCE)
    together = " and ".join(map(str, used)) if len(used) == 2 else "1, 2 and 3"
    return MeanOfTests(used, mean, f"{mean} %, the mean of tests {together}, which agree.", (*working, step))


def _pct(test: GerminationTest) -> Fraction:
    return Fraction(test.found * 100, test.seeds)


def _left_out(place: int, test: GerminationTest) -> Step:
    formula = f"spread {test.spread} over the allowed {test.allowed} at a mean of {test.mean_pct} %: left out"
    return Step(f"test {place}", formula, source=test.source)


def _agree(tests: Sequence[GerminationTest], first: int, second: int) -> tuple[bool, tuple[Step, ...]]:
    one, other = tests[first - 1], tests[second - 1]
    mean, apart = (_pct(one) + _pct(other)) / 2, abs(_pct(one) - _pct(other))
    tolerance = germination_tolerance(mean, min(one.seeds, other.seeds))
    agrees = apart <= tolerance.points
    verdict = "they agree" if agrees else "they do not agree"
    formula = f"|{short(_pct(one))} - {short(_pct(other))}| = {short(apart)}, tolerance {tolerance.points}: {verdict}"
    return agrees, (*tolerance.working, Step(f"tests {first} and {second}", formula, source=SOURCE))


def _chosen(
    tests: Sequence[GerminationTest], sound: Sequence[int], agreeing: Sequence[tuple[int, ...]]
) -> tuple[int, ...]:
    if len(sound) == 3 and len(agreeing) == 3:
        return tuple(sound)
    return min(agreeing, key=lambda pair: (_apart(tests, pair), -pair[1], -pair[0]), default=())


def _apart(tests: Sequence[GerminationTest], pair: tuple[int, ...]) -> Fraction:
    first, second = (_pct(tests[place - 1]) for place in pair)
    return abs(first - second)
