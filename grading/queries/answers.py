"""The answer of a grading: the exact outcome with its likely ranges beside it, as named values for JSON or a page."""

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any

from grading.queries.shipped import shipped_rule_set
from grading.rules.fit import basis_g, name_mistakes
from grading.rules.mistakes import Missing
from grading.rules.outcome import Limiting, Outcome, Reading, outcome
from grading.rules.portion import Portion
from grading.rules.portion_form import read_portion
from grading.stats.portion_chance import likely
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.rounding import half_up

ADVICE = (
    "Likely ranges and chances are advice: 95 in 100, for picking alone and pieces of one weight, if the sample was "
    "fairly drawn. The rule reads the number; a chance never overrules it."
)
NO_CHANCE = "No likely range or chance: neither a 100-seed weight nor a count of the portion was given."


def graded(document: Mapping[str, Any]) -> dict[str, Any]:
    """Grade a portion given as named values; stores nothing.

    Args:
        document: rule_set, class, portion_g, weights_g and the optional names of `portion_form.KNOWN`.

    Raises:
        Refused: everything that can't be read or can't be true.
    """
    portion, wrong = read_portion(document)
    try:
        rule_set = shipped_rule_set(_id(document))
    except Refused as refused:
        raise Refused([*refused.mistakes, *wrong]) from None
    if wrong:
        raise Refused([*wrong, *name_mistakes(rule_set, portion)])
    return answer(outcome(rule_set, portion), portion)


def answer(result: Outcome, portion: Portion) -> dict[str, Any]:
    """Write an outcome as named values.

    Args:
        result: of this portion.
        portion: gives the number of beans that chances stand on.

    Returns:
        Exact figures as text; intervals in %; chances as fractions from 0 to 1, None where there are none.
    """
    return {
        "grade": result.grade,
        "printed": result.printed,
        "qualifies_for": list(result.qualifies_for),
        "limiting": [_limiting(entry) for entry in result.limiting],
        "factors": [*_dockage(result), *(_factor(result, reading, portion) for reading in result.readings)],
        "rule_set": result.rule_set.id,
        "edition": result.rule_set.edition,
        "source": result.rule_set.source,
        "class": result.class_name,
        "table": result.table.table,
        "official": False,
        "notes": [*result.notes, *_chance_notes(result, portion)],
        "working": [step.as_json for step in result.working],
    }


def beans_in(result: Outcome, portion: Portion, factor: str) -> Fraction | None:
    """Give the number of beans a factor's basis stands for, not rounded; None if nothing says it."""
    if "portion" in portion.counts and portion.counts["portion"] > 0:
        return Fraction(portion.counts["portion"])
    if portion.seed_weight_g_per_100 is None:
        return None
    return Fraction(basis_g(result.rule_set, portion, factor)) * 100 / Fraction(portion.seed_weight_g_per_100)


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


def _factor(result: Outcome, reading: Reading, portion: Portion) -> dict[str, Any]:
    beans = beans_in(result, portion, reading.factor.name) if reading.factor.has_chance else None
    sure = None if beans is None else likely(reading.share, beans, reading.limits)
    return {
        "factor": reading.factor.name,
        "words": reading.factor.words,
        "basis": reading.factor.basis,
        "raw_pct": _text(reading.raw_pct),
        "read_pct": _text(reading.read_pct),
        "limits": dict(reading.limits),
        "interval": sure and [_percent(sure.interval.low), _percent(sure.interval.high)],
        "within": sure and {grade: round(chance, 6) for grade, chance in sure.within.items()},
        "pieces": reading.pieces,
    }


def _dockage(result: Outcome) -> list[dict[str, Any]]:
    off = result.dockage
    if off is None:
        return []
    figures = {"raw_pct": _text(half_up(off.share * 100, 6)), "read_pct": _text(off.read_pct)}
    none: dict[str, Any] = {"limits": {}, "interval": None, "within": None, "pieces": None}
    return [{"factor": "dockage", "words": "dockage", "basis": "gross", **figures, **none}]


def _chance_notes(result: Outcome, portion: Portion) -> list[str]:
    if beans_in(result, portion, result.readings[0].factor.name) is None:
        return [NO_CHANCE]
    no_chance = [reading.factor.words for reading in result.readings if not reading.factor.has_chance]
    heavy = [f"{words.capitalize()}: no chance, because single heavy pieces decide." for words in no_chance]
    return [ADVICE, *heavy]


def _percent(share: float) -> str:
    return f"{share * 100:.4f}"


def _text(figure: Decimal | None) -> str | None:
    return None if figure is None else f"{figure:f}"
