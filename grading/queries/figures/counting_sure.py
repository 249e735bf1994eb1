"""How sure a share is that was counted, what a count says about a limit, and several portions together."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from grading.queries.figures.figure import Answer, Figure
from grading.queries.figures.given import given
from grading.queries.figures.sure_words import (
    JEFFREYS,
    LEAST_G,
    PICKING_ALONE,
    MoreThanLookedAt,
    pct,
    read_counted,
    read_level,
    share_of,
)
from grading.rules.notes import NOT_OFFICIAL
from grading.stats.beta import ShareInterval, chance_text
from grading.stats.intervals import METHODS, WILSON, lower_limit, upper_limit
from grading.stats.together import Together
from grading.stats.together import together as lay_together
from grading.stats.verdict import CANNOT_TELL, against_limit
from inventory.models import Station
from inventory.rules.gathering import Gathering
from inventory.rules.mistakes import Mistake
from inventory.rules.working import Step

MOST_PORTIONS = 1_000
NEVER_WALD = "p ± z √(p(1-p)/n) is not used: it says 0 to 0 where nothing was found."
SOURCES = {
    "wilson": "Wilson (1927) J. Am. Stat. Assoc. 22:209-212",
    "clopper-pearson": "Clopper & Pearson (1934) Biometrika 26:404-413",
    "jeffreys": JEFFREYS,
}
FORMULAS = {
    "wilson": "[2k + z² ∓ z √(z² + 4k(1 - k/n))] / [2(n + z²)]",
    "clopper-pearson": "Beta(k, n-k+1) at (1-level)/2, Beta(k+1, n-k) at (1+level)/2",
    "jeffreys": "Beta(k+1/2, n-k+1/2) at (1-level)/2 and (1+level)/2; 0 at k = 0, 1 at k = n",
}
QUASI = "McCullagh & Nelder (1989) Generalized Linear Models, 2nd ed., 4.5 (from memory)"
MOMENTS = "DerSimonian & Laird (1986) Controlled Clin. Trials 7:177-188 (from memory)"


@dataclass(frozen=True, kw_only=True)
class IntervalAsked:
    """Pieces found among so many."""

    found: Any
    of: Any
    level_pct: Any = "95"
    method: str = field(default=WILSON, metadata={"looks": ", ".join(METHODS)})


@dataclass(frozen=True, kw_only=True)
class LimitAsked:
    """Pieces found among so many, and a limit in per cent."""

    found: Any
    of: Any
    limit_pct: Any


@dataclass(frozen=True, kw_only=True)
class PortionsAsked:
    """Portions in one order: pieces found and looked at, or grams of both with the weight of 100 seeds."""

    found: Sequence[Any]
    of: Sequence[Any]
    seed_weight_g_per_100: Any = ""
    level_pct: Any = "95"


class NotPairs(Mistake):
    """Lists of unequal length, or too many portions."""

    code = "not_pairs"


def interval(asked: IntervalAsked, _station: Station | None = None) -> Answer:
    """Answer how sure a counted share is.

    Raises:
        Refused: a count that is none, more found than looked at, a level outside its range.
    """
    words = Gathering()
    found, of = read_counted(words, asked.found, asked.of)
    level = read_level(words, asked.level_pct)
    method = words.word(asked.method, "method", tuple(METHODS), WILSON)
    words.finish()
    sure = share_of(level)
    ranges = {name: work_out(float(found), float(of), sure) for name, work_out in METHODS.items()}
    one = ranges[method]
    upper, lower = upper_limit(found, of, sure), lower_limit(found, of, sure)
    says = (
        f"{found} of {of} is {pct(one.estimate, 2)} %, likely {pct(one.low, 2)} to {pct(one.high, 2)} % "
        f"({level} in 100, {one.method}).",
        f"At most {pct(upper, 3)} %, and at least {pct(lower, 3)} %, each for itself ({level} in 100, exact).",
    )
    steps = [Step("share", f"{found} / {of} × 100 = {pct(one.estimate)} %", source="count")]
    steps += [_range_step(name, each, found) for name, each in ranges.items()]
    values = {
        "estimate_pct": one.estimate * 100, "low_pct": one.low * 100, "high_pct": one.high * 100, "n": of,
        "method": method, "level_pct": float(given(level)), "upper_pct": upper * 100, "lower_pct": lower * 100,
        "by_method": {name: [each.low * 100, each.high * 100] for name, each in ranges.items()},
    }  # fmt: skip
    return Answer(values, says, tuple(steps), (NEVER_WALD, PICKING_ALONE))


def within_a_limit(asked: LimitAsked, _station: Station | None = None) -> Answer:
    """Answer what a count says about a limit, in one of three words, with the rule's own reading beside it.

    Raises:
        Refused: a count that is none, more found than looked at, a limit outside 0 to 100 %.
    """
    words = Gathering()
    found, of = read_counted(words, asked.found, asked.of)
    limit = words.number(asked.limit_pct, "limit_pct", unit="%", least=0, most=100, example="2.0")
    words.finish()
    said = against_limit(found, of, share_of(limit))
    reads = "within" if said.reads_within else "over"
    formula = f"1 - Beta({found} + 1/2, {of} - {found} + 1/2) at {limit}/100 = {said.chance_beyond:.4f}"
    steps = (
        Step("reading", f"{found} / {of} × 100 = {pct(found / of)} %, {reads} {limit} %", source="count"),
        Step("chance to be beyond", formula, source=JEFFREYS),
        Step(
            "word", "meets under 0.05, fails over 0.95, else the sample cannot tell",
            source="ours, no source",
        ),
    )  # fmt: skip
    says = (
        f"{chance_text(said.chance_within)} chance that the lot is within {limit} %: "
        f"{'the ' if said.word == CANNOT_TELL else 'it '}{said.word}.",
        f"The portion itself reads {reads} the limit; a rule looks at that alone and grants no margin.",
    )
    values = {
        "word": said.word, "chance_within": said.chance_within, "chance_beyond": said.chance_beyond,
        "reads_within": said.reads_within,
    }  # fmt: skip
    return Answer(values, says, steps, (PICKING_ALONE, NOT_OFFICIAL))


def portions_together(asked: PortionsAsked, _station: Station | None = None) -> Answer:
    """Answer whether portions agree, and what they say together.

    Raises:
        Refused: fewer than two portions, lists of unequal length, more found than looked at.
    """
    words = Gathering()
    by_weight = bool(str(asked.seed_weight_g_per_100).strip())
    each = words.number(
        asked.seed_weight_g_per_100, "seed_weight_g_per_100", unit="g", least=LEAST_G, most=1000, needed=False
    )
    level = read_level(words, asked.level_pct)
    pairs = _pairs(words, asked, counted=not by_weight)
    words.finish()
    pieces = [(float(k * 100 / each), float(n * 100 / each)) if each else (float(k), float(n)) for k, n in pairs]
    both = lay_together(pieces, share_of(level))
    return Answer(_values(both), _portion_says(both, given(level)), _portion_steps(both, len(pairs)), (PICKING_ALONE,))


def _pairs(words: Gathering, asked: PortionsAsked, *, counted: bool) -> list[tuple[Decimal, Decimal]]:
    unit = "" if counted else "g"
    found = words.numbers(asked.found, "found", unit=unit, least=0, most=10**9, fewest=2)
    of = words.numbers(asked.of, "of", unit=unit, least=LEAST_G, most=10**9, fewest=2)
    if words.mistakes:
        return []
    if len(found) != len(of) or len(of) > MOST_PORTIONS:
        says = (
            f"Found has {len(found)} numbers, of has {len(of)}. Give both for each of up to {MOST_PORTIONS} portions."
        )
        words.add(NotPairs(says, field="of"))
        return []
    for place, (k, n) in enumerate(zip(found, of, strict=True), 1):
        if counted:
            words.whole(k, f"found.{place}"), words.whole(n, f"of.{place}")
        if k > n:
            words.add(MoreThanLookedAt(f"found.{place}", k, n, unit))
    return list(zip(found, of, strict=True))


def _values(both: Together) -> dict[str, Any]:
    one = both.interval
    return {
        "estimate_pct": one.estimate * 100, "low_pct": one.low * 100, "high_pct": one.high * 100, "n": one.n,
        "method": one.method, "chi_square": both.chi_square, "degrees": both.degrees, "p": both.p,
        "agree": both.agree, "overdispersion": both.overdispersion, "between_sd_points": both.between_sd * 100,
    }  # fmt: skip


def _portion_says(both: Together, level: Decimal) -> tuple[str, ...]:
    one = both.interval
    together = f"Together {pct(one.estimate, 2)} %, likely {pct(one.low, 2)} to {pct(one.high, 2)} % ({level} in 100)."
    odds = f"chi-square {both.chi_square:.2f} on {both.degrees} df, p {both.p:.3f}"
    if both.agree:
        return (together, f"The portions agree: picking chance explains what they differ ({odds}).")
    return (
        together,
        f"The portions do not agree: they differ by more than picking chance ({odds}). The lot is uneven, or was not "
        f"sampled alike; the range is widened for it. Draw another sample.",
    )


def _portion_steps(both: Together, portions: int) -> tuple[Step, ...]:
    one = both.interval
    t = "" if both.agree else f", Student's t on {both.degrees} df"
    return (
        Step("chi-square", f"Σ (k - np)² / (np(1-p)) over {portions} portions = {both.chi_square:.4f}", source=QUASI),
        Step(
            "overdispersion", f"the larger of 1 and {both.chi_square:.4f} / {both.degrees} = {both.overdispersion:.4f}",
            source=QUASI,
        ),
        Step(
            "spread between portions", f"√(max(0, χ² - df) p (1-p) / (N - Σn²/N)) = {pct(both.between_sd)} points",
            source=MOMENTS,
        ),
        Step(
            "range", f"Wilson on {one.n:.1f} pieces{t} = {pct(one.low)} to {pct(one.high)} %",
            source=SOURCES["wilson"],
        ),
    )  # fmt: skip


def _range_step(name: str, range_: ShareInterval, found: int) -> Step:
    formula = f"{FORMULAS[name]}, k = {found}, n = {range_.n:.0f} = {pct(range_.low)} to {pct(range_.high)} %"
    return Step(f"range, {range_.method if name != 'jeffreys' else 'Jeffreys'}", formula, source=SOURCES[name])


FIGURES = (
    Figure(
        "interval", "How sure a share is that was counted: likely ranges, and exact limits to one side.",
        IntervalAsked, interval, {"found": "7", "of": "125"},
    ),
    Figure(
        "within a limit", "What a count says about a limit: meets, fails, or the sample cannot tell.",
        LimitAsked, within_a_limit, {"found": "3", "of": "100", "limit_pct": "5"},
    ),
    Figure(
        "portions together", "Do two or more portions of a lot agree, and what do they say together.",
        PortionsAsked, portions_together,
        {"found": ["9.2", "7.9"], "of": ["500.0", "500.4"], "seed_weight_g_per_100": "19.4"},
    ),
)  # fmt: skip
