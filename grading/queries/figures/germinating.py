"""Germination: one test with its replicates, two or three tests together, a label against what was found."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from grading.queries.figures.figure import Answer, Figure
from grading.queries.figures.given import given
from grading.rules.germination import (
    SEEDS_EACH,
    GerminationTest,
    Verdict,
    germination_test,
    is_too_near_to_call,
    whole_months,
)
from grading.rules.mean_of_tests import mean_of_tests
from grading.rules.mistakes import OutOfRange
from grading.rules.seedlings import OTHERS, mean_parts, seedling_mistakes, steps_of
from grading.rules.tolerances import FULL_TEST, short
from grading.rules.within import GERMINATION, Claim, within_tolerance
from grading.stats.beta import METHOD, chance_at_least, chance_text, share_interval
from inventory.models import Station
from inventory.rules.dates import read_date
from inventory.rules.gathering import Gathering
from inventory.rules.reading import typed_text
from inventory.rules.rounding import half_up
from inventory.rules.working import Step

BETA_SOURCE = "Brown, Cai, DasGupta, Statist. Sci. 16 (2001) 101-133, equal-tailed Jeffreys interval"
MOST_MONTHS = 1200
NOT_TO_BE_USED = (
    "No likely range and no chance are given: replicates that differ so much are not one count. Test again first."
)


@dataclass(frozen=True, kw_only=True)
class GerminationAsked:
    """Normal seedlings of each replicate, and whatever else was counted."""

    replicates: Sequence[Any]
    seeds_each: Any = "100"
    abnormal: Sequence[Any] = ()
    hard: Sequence[Any] = ()
    fresh: Sequence[Any] = ()
    dead: Sequence[Any] = ()
    threshold_pct: Any = "85"
    tested_on: Any = ""
    on: Any = ""
    most_months: Any = "12"


@dataclass(frozen=True, kw_only=True)
class TestsAsked:
    """Normal seedlings of each replicate of two tests; of a third where two did not agree."""

    first: Sequence[Any]
    second: Sequence[Any]
    third: Sequence[Any] = ()


@dataclass(frozen=True, kw_only=True)
class LabelAsked:
    """The germination on a label and the one found by a test."""

    label_pct: Any
    found_pct: Any
    seeds: Any = str(FULL_TEST)


def germination(asked: GerminationAsked, _station: Station | None = None) -> Answer:
    """Answer what one germination test says.

    Raises:
        Refused: counts that cannot be, too few replicates, a day that cannot be read.
    """
    words = Gathering()
    test, others = _read_test(words, asked)
    threshold = words.number(asked.threshold_pct, "threshold_pct", unit="%", least=1, most=99, example="85")
    age = _read_age(words, asked)
    words.finish()
    test, threshold = given(test), given(threshold)
    counts = {"normal": test.normal, **others}
    notes = (
        "The likely range speaks of counting chance alone: of seeds that were fairly drawn.",
        *_sum_note(counts),
        *_fresh_note(counts),
    )
    stands = test.verdict is not Verdict.RETEST
    sure = _sure(test, threshold) if stands else _not_sure(test, threshold)
    values = {**_values(test, counts), **sure, **(age[0] if age else {})}
    says = (_verdict(test), _how_sure(test, threshold) if stands else NOT_TO_BE_USED, *(age[1] if age else ()))
    sure_steps = _sure_steps(test, threshold) if stands else ()
    working = (*steps_of(counts), _spread_step(test), *sure_steps, *(age[2] if age else ()))
    return Answer(values, says, working, notes)


def germination_of_tests(asked: TestsAsked, _station: Station | None = None) -> Answer:
    """Answer what two or three tests of one lot say together.

    Raises:
        Refused: counts that cannot be, or too few replicates.
    """
    words = Gathering()
    given_tests = [("first", asked.first), ("second", asked.second), ("third", asked.third)]
    tests = [read_counts(words, typed, field) for field, typed in given_tests if typed or field != "third"]
    words.finish()
    together = mean_of_tests([given(test) for test in tests])
    values = {"germination_pct": _text(together.mean_pct), "used": list(together.used), "agree": bool(together.used)}
    return Answer(values, (together.verdict,), together.working)


def label_against_test(asked: LabelAsked, _station: Station | None = None) -> Answer:
    """Answer whether a germination found lies within the tolerance of its label.

    Raises:
        Refused: a per cent outside 0 to 100, or a number of seeds that the table does not cover.
    """
    words = Gathering()
    label = words.number(asked.label_pct, "label_pct", unit="%", least=0, most=100, example="90")
    found = words.number(asked.found_pct, "found_pct", unit="%", least=0, most=100, example="83")
    seeds = words.whole(asked.seeds, "seeds", least=1, most=100_000)
    claim = Claim(GERMINATION, label or Decimal(0), found or Decimal(0), seeds or 0)
    held = None if seeds is None else words.attempt(lambda: within_tolerance(claim))
    words.finish()
    held = given(held)
    values = {
        "tolerance_points": short(held.tolerance), "difference": f"{held.difference:f}", "within": held.within,
    }  # fmt: skip
    return Answer(values, (held.says,), held.working)


def read_counts(words: Gathering, typed: Sequence[Any], field: str) -> GerminationTest | None:
    """Read the replicates of one test and judge them; what is wrong is gathered at the field."""
    counts = [
        words.whole(one, f"{field}.{place}", most=SEEDS_EACH, example="94") for place, one in enumerate(typed, 1)
    ]  # fmt: skip
    if None in counts:
        return None
    test = words.attempt(lambda: germination_test([given(count) for count in counts]))
    for mistake in words.mistakes:
        mistake.field = field if mistake.field == "replicates" else mistake.field
    return test


def _read_test(
    words: Gathering, asked: GerminationAsked
) -> tuple[GerminationTest | None, dict[str, tuple[int, ...]]]:  # fmt: skip
    if typed_text(asked.seeds_each).strip() != str(SEEDS_EACH):
        says = f"Replicates of {typed_text(asked.seeds_each)} seeds: the table judges replicates of {SEEDS_EACH}."
        words.add(OutOfRange(f"{says} Count a test of 4 or 2 times {SEEDS_EACH} seeds.", field="seeds_each"))
    test = read_counts(words, asked.replicates, "replicates")
    others = {kind: _whole(words, getattr(asked, kind), kind) for kind in OTHERS if getattr(asked, kind)}
    if test is not None and all(None not in counts for counts in others.values()):
        read = {kind: tuple(given(count) for count in counts) for kind, counts in others.items()}
        words.add(*seedling_mistakes(test.normal, read))
        return test, read
    return test, {}


def _whole(words: Gathering, typed: Sequence[Any], field: str) -> list[int | None]:
    return [words.whole(one, f"{field}.{place}", most=SEEDS_EACH, example="2") for place, one in enumerate(typed, 1)]


def _read_age(
    words: Gathering, asked: GerminationAsked
) -> tuple[dict[str, Any], tuple[str, ...], tuple[Step, ...]] | None:  # fmt: skip
    """Read how old the test is on a day; None where no day was given."""
    if typed_text(asked.tested_on).strip() == "":
        return None
    since = words.attempt(lambda: read_date(asked.tested_on, field="tested_on"))
    until = words.attempt(lambda: read_date(asked.on, field="on"))
    most = words.whole(asked.most_months, "most_months", unit="months", least=1, most=MOST_MONTHS, example="12")
    if since is None or until is None or most is None:
        return None
    if until.value < since.value:
        says = f"The test is of {since.value}, after {until.value}. Check both days."
        words.add(OutOfRange(says, field="on"))
        return None
    return _age(since.value, until.value, most)


def _age(since: date, until: date, most: int) -> tuple[dict[str, Any], tuple[str, ...], tuple[Step, ...]]:
    months = whole_months(since, until)
    # The day of the month of the limit itself is still in time; a day over it is not.
    is_old = months > most or (months == most and until.day > since.day)
    words = f"older than the {most} months allowed: test again" if is_old else f"within the {most} months allowed"
    step = Step("age", f"{since} to {until}: {months} whole months", source=f"limit {most} months, common practice")
    return {"age_months": months, "is_old": is_old}, (f"On {until} it is {months} months old, {words}.",), (step,)


def _values(test: GerminationTest, counts: Mapping[str, Sequence[int]]) -> dict[str, Any]:
    means = mean_parts(counts)
    live = means["normal"] + means.get("hard", Fraction(0))
    return {
        "germination_pct": str(test.mean_pct), "spread": test.spread, "allowed_spread": test.allowed,
        "verdict": str(test.verdict), "seeds": test.seeds,
        **{f"{kind}_pct": str(half_up(mean, 0)) for kind, mean in means.items() if kind != "normal"},
        **({"germination_and_hard_pct": str(half_up(live, 0))} if "hard" in means else {}),
    }  # fmt: skip


def _sum_note(counts: Mapping[str, Sequence[int]]) -> tuple[str, ...]:
    total = sum((half_up(mean, 0) for mean in mean_parts(counts).values()), Decimal(0))
    if set(counts) != {"normal", *OTHERS} or total == 100:
        return ()
    return (f"The rounded parts make {total} %: each is rounded from its own raw sum.",)


def _fresh_note(counts: Mapping[str, Sequence[int]]) -> tuple[str, ...]:
    if not sum(counts.get("fresh", ())):
        return ()
    says = "7 CFR 201.55 (b) asks for a retest where firm ungerminated seeds show that germination is not complete."
    return (f"{sum(counts['fresh'])} seeds are fresh. {says}",)


def _sure(test: GerminationTest, threshold: Decimal) -> dict[str, Any]:
    likely = share_interval(test.found, test.seeds)
    chance = chance_at_least(test.found, test.seeds, float(threshold) / 100)
    return {
        "estimate": likely.estimate, "low": likely.low, "high": likely.high, "n": test.seeds, "level": likely.level,
        "method": METHOD, "threshold_pct": f"{threshold:f}", "chance": chance,
        "too_near_to_call": is_too_near_to_call(chance),
    }  # fmt: skip


def _not_sure(test: GerminationTest, threshold: Decimal) -> dict[str, Any]:
    """Name what a test that has to be repeated cannot say."""
    unknown = dict.fromkeys(("estimate", "low", "high", "level", "method", "chance", "too_near_to_call"))
    return {**unknown, "n": test.seeds, "threshold_pct": f"{threshold:f}"}


def _how_sure(test: GerminationTest, threshold: Decimal) -> str:
    sure = _sure(test, threshold)
    low, high = (half_up(Decimal(str(sure[end] * 100)), 1) for end in ("low", "high"))
    near = ": too near to call" if sure["too_near_to_call"] else ""
    chance = chance_text(sure["chance"])
    return f"Likely {low} to {high} % (95 in 100); {chance} chance of at least {threshold:f} %{near}."


def _sure_steps(test: GerminationTest, threshold: Decimal) -> tuple[Step, ...]:
    a, b = f"{test.found} + 1/2", f"{test.seeds} - {test.found} + 1/2"
    return (
        Step("likely range", f"2.5 % and 97.5 % points of Beta({a}, {b})", source=BETA_SOURCE),
        Step("chance", f"upper tail of Beta({a}, {b}) at {threshold:f} / 100", source=BETA_SOURCE),
    )


def _spread_step(test: GerminationTest) -> Step:
    allowed = "no row in the table" if test.allowed is None else f"allowed {test.allowed}"
    formula = f"{max(test.normal)} - {min(test.normal)} = {test.spread}; at {test.mean_pct} % {allowed}"
    return Step("spread", formula, source=test.source)


def _verdict(test: GerminationTest) -> str:
    spread = f"the replicates spread over {test.spread} points"
    return {
        Verdict.STANDS: f"{test.mean_pct} %: {spread}, {test.allowed} are allowed. The test stands.",
        Verdict.RETEST: f"{test.mean_pct} %: {spread}, only {test.allowed} are allowed. Test again.",
        Verdict.OUTSIDE_TABLE: f"{test.mean_pct} %: {spread}. The table has no row for this mean.",
    }[test.verdict]


def _text(number: Decimal | None) -> str | None:
    return None if number is None else str(number)


FIGURES = (
    Figure(
        "germination", "What one germination test says: mean, spread, likely range, chance, age.", GerminationAsked,
        germination, {"replicates": "88,92,95,90"},
    ),
    Figure(
        "germination of two tests", "The mean of two or three tests that agree, or that one more is needed.",
        TestsAsked, germination_of_tests, {"first": "88,92,95,90", "second": "85,88,86,90"},
    ),
    Figure(
        "label against test", "Whether a germination found is within the tolerance of its label.", LabelAsked,
        label_against_test, {"label_pct": "90", "found_pct": "83"},
    ),
)  # fmt: skip
