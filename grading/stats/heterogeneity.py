"""Is a lot alike from container to container: the heterogeneity value H and the range R of container samples.

The formula is printed in two ways that do not agree, so a result names the one it used and carries the others:

- "W0": H = V / W0 - f, with W0 the variance by chance alone. The critical values of the same book fit this one.
- "as printed": W = f × W0 and H = V / W - f, the factor inside and subtracted again.
- "statute": H = V / W0 - 1, without a factor and without critical values.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor, sqrt

from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.rounding import half_up
from inventory.rules.working import Step

PURITY, GERMINATION, OTHER_SEEDS = KINDS = ("purity", "germination", "other seeds")
FEWEST = 5  # containers; the tables begin there
LOWEST_COUNT = 2  # mean of other seeds, Czech decree 206/2004 Sb., 9.2 (1)
LOWEST_PCT, HIGHEST_PCT = Fraction("0.2"), Fraction("99.8")
SEEDS_EACH = {PURITY: 1000, GERMINATION: 100}
# Nonchaffy, chaffy. 1.2 and 1.4 are read in the worked examples; 1.1 and 2.2 are from memory.
FACTORS = {
    PURITY: (Fraction("1.1"), Fraction("1.2")),
    GERMINATION: (Fraction("1.1"), Fraction("1.2")),
    OTHER_SEEDS: (Fraction("1.4"), Fraction("2.2")),
}
# Studentized range, 99 % point at the fewest containers of each class of the table, to two decimals.
STUDENTIZED = ((20, Fraction("5.65")), (10, Fraction("5.16")), (5, Fraction("4.60")))
BOOK = "Elias and others, Seed Testing: Principles and Practices (2012), chapter 13, quoting ISTA Rules 2010"
STATUTE = "Czech decree 206/2004 Sb., annex, 9.2"
CRITICAL = "recomputed: f (chi-square 0.99 of N - 1 over N - 1, less 1); fits the book's 1.09 at N = 20, f = 1.2"
RANGES = "recomputed: fits 39 of 39 cells read of Czech decree 61/2011 Sb., annex 9.4, table 9; our reconstruction"


class CannotTest(Mistake):
    """Container samples from which no heterogeneity can be worked out."""

    code = "cannot_test"


@dataclass(frozen=True, slots=True)
class Range:
    """The range of the container samples against what may be by chance.

    Attributes:
        found, allowed: in the unit of the results.
        too_wide: found over allowed.
    """

    found: Fraction
    allowed: float
    too_wide: bool


@dataclass(frozen=True, slots=True)
class Heterogeneity:
    """Whether containers differ by more than chance.

    Attributes:
        estimate: H by the formula that was asked for.
        by_formula: formula -> H, all three.
        formula: the one the verdict stands on.
        critical: H at the 1 % level; None for the statute, which has none.
        heterogeneous: H over the critical value, None where there is none.
        range: of the results; None for counts of other seeds, whose table was not read.
        n: containers.
        method: in one sentence.
    """

    estimate: float
    by_formula: Mapping[str, float]
    formula: str
    critical: float | None
    heterogeneous: bool | None
    range: Range | None
    n: int
    method: str
    working: tuple[Step, ...]


def heterogeneity(
    results: Sequence[Fraction], kind: str, *, chaffy: bool = False, formula: str = "W0"
) -> Heterogeneity:  # fmt: skip
    """Test whether containers of one lot are alike.

    Args:
        results: of each container, 5 or more: per cent, of other seeds their count.
        kind: one of `KINDS`.
        chaffy: by the factor for chaffy seeds; beans are nonchaffy.
        formula: "W0", "as printed" or "statute", as above.

    Raises:
        Refused: fewer than 5 containers, or a mean at which the test is not made.

    Source: the book and the decree named in the working; critical values and ranges are recomputed and say so.
    """
    n, total = len(results), sum(results, Fraction(0))
    mean = total / max(1, n)
    _check(n, mean, kind)
    factor = FACTORS[kind][chaffy]
    found = (n * sum((x * x for x in results), Fraction(0)) - total * total) / (n * (n - 1))
    chance = mean if kind == OTHER_SEEDS else mean * (100 - mean) / SEEDS_EACH[kind]
    values = {name: float(work(found, chance, factor)) for name, work in FORMULAS.items()}
    critical = None if formula == "statute" else critical_h(n, float(factor))
    spread = None if kind == OTHER_SEEDS else _range(results, mean, kind, factor)
    steps = (
        Step("mean", f"sum {_short(total)} / {n} = {_short(mean)}", source=STATUTE),
        Step("V", f"variance of the {n} results = {_short(found)}", source=BOOK),
        Step("W0", _chance_formula(mean, chance, kind), source=BOOK),
        _h_step(found, chance, factor, formula),
    )  # fmt: skip
    return Heterogeneity(
        values[formula], values, formula, critical, None if critical is None else values[formula] > critical, spread, n,
        f"H by {formula}, 1 % level, {kind}", (*steps, *_critical_steps(n, factor, critical), *_range_steps(spread, n)),
    )  # fmt: skip


FORMULAS: Mapping[str, Callable[[Fraction, Fraction, Fraction], Fraction]] = {
    "W0": lambda found, chance, factor: found / chance - factor,
    "as printed": lambda found, chance, factor: found / (factor * chance) - factor,
    "statute": lambda found, chance, _factor: found / chance - 1,
}


def critical_h(n: int, factor: float) -> float:
    """Give the H that containers which are alike exceed once in a hundred tests.

    Args:
        n: containers, 2 or more.
        factor: of the kind of test [1].

    Source: recomputed, see `CRITICAL`.
    """
    from scipy.special import chdtri  # noqa: PLC0415 - a web process starts without scipy

    return factor * (float(chdtri(n - 1, 0.01)) / (n - 1) - 1)


def allowed_range(mean: Fraction, n: int, kind: str, factor: Fraction) -> float:
    """Give the range of results that chance may make.

    Args:
        mean: of the results [%].
        n: containers, 5 or more; beyond 20 the class of 20 is used.
        kind: purity (to 0.1, half up) or germination (whole per cent, rounded up: fitted to one printed cell).

    Source: recomputed, see `RANGES`.
    """
    quantile = next(q for fewest, q in STUDENTIZED if n >= fewest)
    exact = float(quantile) * sqrt(mean * (100 - mean) / SEEDS_EACH[kind] * factor)
    return float(ceil(exact)) if kind == GERMINATION else floor(exact * 10 + 0.5) / 10


def _range(results: Sequence[Fraction], mean: Fraction, kind: str, factor: Fraction) -> Range:
    found, allowed = max(results) - min(results), allowed_range(mean, len(results), kind, factor)
    return Range(found, allowed, float(found) > allowed)


def _check(n: int, mean: Fraction, kind: str) -> None:
    if n < FEWEST:
        says = f"There are results of {n} containers. The test needs {FEWEST} or more, each sampled by itself."
        raise Refused([CannotTest(says, field="results")])
    if kind == OTHER_SEEDS and mean < LOWEST_COUNT:
        says = f"The mean is {_short(mean)} seeds. Below {LOWEST_COUNT} no heterogeneity is worked out."
        raise Refused([CannotTest(f"{says} Examine more seed of each container.", field="results")])
    if kind != OTHER_SEEDS and not LOWEST_PCT <= mean <= HIGHEST_PCT:
        says = f"The mean is {_short(mean)} %. Outside {_short(LOWEST_PCT)} to {_short(HIGHEST_PCT)} % no heterogeneity"
        raise Refused([CannotTest(f"{says} is worked out: choose another attribute.", field="results")])


def _chance_formula(mean: Fraction, chance: Fraction, kind: str) -> str:
    if kind == OTHER_SEEDS:
        return f"the mean count, {_short(chance)}"
    return f"{_short(mean)} × (100 - {_short(mean)}) / {SEEDS_EACH[kind]} = {_short(chance)}"


def _h_step(found: Fraction, chance: Fraction, factor: Fraction, formula: str) -> Step:
    v, w, f = _short(found), _short(chance), _short(factor)
    written = {
        "W0": f"{v} / {w} - {f}", "as printed": f"{v} / ({f} × {w}) - {f}", "statute": f"{v} / {w} - 1"
    }[formula]  # fmt: skip
    value = half_up(FORMULAS[formula](found, chance, factor), 2)
    source = STATUTE if formula == "statute" else BOOK
    return Step("H", f"{written} = {value}", basis=f"the formula {formula}", source=source)


def _critical_steps(n: int, factor: Fraction, critical: float | None) -> tuple[Step, ...]:
    if critical is None:
        return ()
    formula = f"{_short(factor)} × (chi-square 0.99 of {n - 1} / {n - 1} - 1) = {critical:.4f}"
    return (Step("critical H", formula, source=CRITICAL),)


def _range_steps(spread: Range | None, n: int) -> tuple[Step, ...]:
    if spread is None:
        return ()
    quantile = next(q for fewest, q in STUDENTIZED if n >= fewest)
    formula = f"{_short(quantile)} × √(mean × (100 - mean) / n × f) = {spread.allowed:g}; found {_short(spread.found)}"
    return (Step("R", formula, source=RANGES),)


def _short(exact: Fraction | int) -> str:
    return f"{half_up(exact, 4).normalize():f}"
