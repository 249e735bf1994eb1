"""The answer of a grading: the exact outcome with its likely ranges beside it, as named values for JSON or a page."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from grading.queries.grade_chances import GRADE_ADVICE, grade_chances, with_a_chance
from grading.queries.piece_weights import BY_WEIGHT, as_named, count_limits, limit_says, ranges_by_weight
from grading.queries.sampled import NOT_SAID
from grading.queries.shipped import shipped_rule_set
from grading.queries.sure_steps import sure_steps
from grading.rules.fit import basis_g, name_mistakes
from grading.rules.mistakes import Missing
from grading.rules.outcome import Limiting, Outcome, Reading, outcome
from grading.rules.portion import Portion
from grading.rules.portion_form import read_portion
from grading.rules.rule_set import COUNT, LEAST, MOISTURE, MOST, PER_MASS, READING, Factor, RuleSet
from grading.rules.sampling import Sampling
from grading.rules.sampling_form import read_sampling
from grading.stats.by_weight import CountLimit
from grading.stats.many import Asked
from grading.stats.portion_chance import Likely, likely
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.rounding import half_up

ADVICE = (
    "Likely ranges and chances are advice: 95 in 100, for picking alone and pieces of one weight, if the sample was "
    "fairly drawn. The rule reads the number; a chance never overrules it."
)
LikelyOf = Callable[[Fraction, Fraction, Mapping[str, str]], Likely]
BASIS = {COUNT: "count", READING: "wet", PER_MASS: "mass"}
NO_CHANCE = "No likely range or chance: neither a 100-seed weight nor a count of the portion was given."
NO_CHANCE_OF_TESTS = (
    "No chance is said of tests and counts here: ask the figures germination, other seeds tolerance and variety purity "
    "tolerance."
)


@dataclass(frozen=True, slots=True)
class Given:
    """A portion that was read from named values and graded, before the statistics are asked."""

    result: Outcome
    portion: Portion
    sampling: Sampling | None


def graded(document: Mapping[str, Any], find: Callable[[str], RuleSet] = shipped_rule_set) -> dict[str, Any]:
    """Grade a portion given as named values; stores nothing.

    Args:
        document: rule_set, class, portion_g, weights_g and the optional names of `portion_form.KNOWN`.
        find: finds the rule set by its id.

    Raises:
        Refused: everything that can't be read or can't be true.
    """
    return answer_given(given(document, find))


def given(document: Mapping[str, Any], find: Callable[[str], RuleSet] = shipped_rule_set) -> Given:
    """Read and grade a portion given as named values.

    Args:
        document: as `graded` takes it.
        find: finds the rule set by its id.

    Raises:
        Refused: everything that can't be read or can't be true.
    """
    portion, wrong = read_portion(document)
    sampling = read_sampling(document.get("sampling"), portion.portion_g, wrong)
    try:
        rule_set = find(_id(document))
    except Refused as refused:
        raise Refused([*refused.mistakes, *wrong]) from None
    if wrong:
        raise Refused([*wrong, *name_mistakes(rule_set, portion)])
    return Given(outcome(rule_set, portion), portion, sampling)


def answer_given(one: Given, likely_of: LikelyOf = likely, *, with_working: bool = True) -> dict[str, Any]:
    """Write what was given and graded as named values, with a note on how it was sampled."""
    written = answer(
        one.result, one.portion, sampling=one.sampling, likely_of=likely_of, with_working=with_working
    )  # fmt: skip
    drawn = one.sampling
    written["notes"] += [NOT_SAID] if drawn is None else [" ".join((drawn.says, *drawn.cautions))]
    return written


def answer(
    result: Outcome, portion: Portion, *, sampling: Sampling | None = None, likely_of: LikelyOf = likely,
    with_working: bool = True,
) -> dict[str, Any]:  # fmt: skip
    """Write an outcome as named values.

    Args:
        result: of this portion.
        portion: gives the number of beans that chances stand on.
        sampling: how it was drawn; None where that was not said.
        likely_of: gives how sure a share is, where many were worked out at once.
        with_working: give the steps too.

    Returns:
        Exact figures as text; intervals in %; chances as fractions from 0 to 1, None where there are none.
    """
    beans = beans_of(result, portion)
    sure = {name: likely_of(*asked) for name, asked in asked_of(result, beans).items()}
    limits, weighed = count_limits(result, portion), ranges_by_weight(result, portion)
    return {
        "grade": result.grade,
        "printed": result.printed,
        "qualifies_for": list(result.qualifies_for),
        "limiting": [_limiting(entry) for entry in result.limiting],
        "factors": [
            *_dockage(result),
            *(
                {**_factor(reading, sure, limits), "by_weight": as_named(weighed, reading.factor.name)}
                for reading in result.readings
            ),
        ],
        "grade_chances": grade_chances(result, sure, beans),
        "sampling": None if sampling is None else sampling.as_json,
        "rule_set": result.rule_set.id,
        "edition": result.rule_set.edition,
        "source": result.rule_set.source,
        "class": result.class_name,
        "table": result.table.table,
        "official": False,
        "notes": [*result.notes, *_chance_notes(result, portion, limits), *([BY_WEIGHT] if weighed else [])],
        **({"working": _working(result, portion, sure, beans)} if with_working else {}),
    }


def beans_in(result: Outcome, portion: Portion, factor: str) -> Fraction | None:
    """Give the number of beans a factor's basis stands for, not rounded; None if nothing says it."""
    if "portion" in portion.counts and portion.counts["portion"] > 0:
        return Fraction(portion.counts["portion"])
    if portion.seed_weight_g_per_100 is None:
        return None
    return Fraction(basis_g(result.rule_set, portion, factor)) * 100 / Fraction(portion.seed_weight_g_per_100)


def beans_of(result: Outcome, portion: Portion) -> dict[str, Fraction]:
    """Give the beans that each factor's basis stands for; empty if nothing says it, and without what is read off."""
    factors = [reading.factor for reading in result.readings if not reading.factor.is_read_off]
    by_basis = {factor.basis: factor.name for factor in factors}
    beans = {basis: beans_in(result, portion, name) for basis, name in by_basis.items()}
    return {factor.name: n for factor in factors if (n := beans[factor.basis]) is not None}


def asked_of(result: Outcome, beans: Mapping[str, Fraction]) -> dict[str, Asked]:
    """Give what is asked of the statistics: factor -> share, pieces and limits of each that has a chance."""
    return {
        name: (reading.share, beans[name], with_a_chance(reading))
        for reading in result.readings
        if reading.factor.has_chance and (name := reading.factor.name) in beans
    }


def _id(document: Mapping[str, Any]) -> str:
    wanted = document.get("rule_set")
    if isinstance(wanted, str) and wanted.strip():
        return wanted
    mistake: Mistake = Missing("rule_set", "Give the id of a rule set; `manage.py rules` lists them.")
    raise Refused([mistake])


def _limiting(entry: Limiting) -> dict[str, Any]:
    return {
        "factor": entry.factor,
        "words": entry.words,
        "grade": entry.grade,
        "kept_from": entry.kept_from,
        "raw_pct": _text(entry.raw_pct),
        "read_pct": _text(entry.read_pct),
        "limit": entry.limit,
    }


def _factor(reading: Reading, by_name: Mapping[str, Likely], limits: Mapping[str, CountLimit]) -> dict[str, Any]:
    sure, limit = by_name.get(reading.factor.name), limits.get(reading.factor.name)
    return {
        "factor": reading.factor.name,
        "words": reading.factor.words,
        "basis": _basis(reading.factor),
        "unit": reading.factor.unit,
        "limit_is": LEAST if reading.factor.is_least else MOST,
        "raw_pct": _text(reading.raw_pct),
        "read_pct": _text(reading.read_pct),
        "limits": dict(reading.limits),
        "interval": sure and [_percent(sure.interval.low), _percent(sure.interval.high)],
        "within": sure and {grade: round(chance, 6) for grade, chance in sure.within.items()},
        "pieces": reading.pieces,
        "upper_pieces": limit and round(limit.upper_pieces, 4),
        "next_pieces": limit and limit.next_pieces,
        "upper_pct": _percent(limit.upper_share) if limit and limit.upper_share is not None else None,
    }


def _working(
    result: Outcome, portion: Portion, sure: Mapping[str, Likely], beans: Mapping[str, Fraction]
) -> list[dict[str, str]]:  # fmt: skip
    """Show the steps of the grade, and before its last one those of the likely ranges."""
    steps = [step.as_json for step in result.working]
    return [*steps[:-1], *(step.as_json for step in sure_steps(result, portion, sure, beans)), *steps[-1:]]


def _basis(factor: Factor) -> str:
    if factor.taken_by == READING and factor.reads != MOISTURE:
        return "test"
    return BASIS.get(factor.taken_by, factor.basis)


def _dockage(result: Outcome) -> list[dict[str, Any]]:
    off = result.dockage
    if off is None:
        return []
    figures = {"raw_pct": _text(half_up(off.share * 100, 6)), "read_pct": _text(off.read_pct)}
    none: dict[str, Any] = {"limits": {}, "interval": None, "within": None, "pieces": None}
    none |= {"unit": "%", "limit_is": MOST, "upper_pieces": None, "next_pieces": None, "upper_pct": None}
    none["by_weight"] = None
    return [{"factor": "dockage", "words": "dockage", "basis": "gross", **figures, **none}]


def _chance_notes(result: Outcome, portion: Portion, limits: Mapping[str, CountLimit]) -> list[str]:
    if all(reading.factor.is_read_off for reading in result.readings):
        return [NO_CHANCE_OF_TESTS]
    if beans_in(result, portion, result.readings[0].factor.name) is None:
        return [NO_CHANCE]
    no_chance = [
        reading.factor
        for reading in result.readings
        if not reading.factor.has_chance and not reading.factor.is_read_off
    ]
    heavy = [
        f"{factor.words.capitalize()}: no chance, because single heavy pieces decide."
        f"{limit_says(limits.get(factor.name))}"
        for factor in no_chance
    ]
    return [ADVICE, GRADE_ADVICE, *heavy]


def _percent(share: float) -> str:
    return f"{share * 100:.4f}"


def _text(figure: Decimal | None) -> str | None:
    return None if figure is None else f"{figure:f}"
