"""Will screens help? From the fractions of one sieved sample, each picked through: what every cut would keep."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from grading.queries.figures.cleaning_words import CleaningAsked, ReadCleaning, read_cleaning
from grading.queries.figures.figure import Answer, Figure
from grading.queries.figures.grading_words import not_judged
from grading.queries.least_sure import Chance, least_sure
from grading.rules.cleaning import (
    Cut,
    Spread,
    all_cuts,
    best_cut,
    nearest_cut,
    spreads,
)
from grading.rules.predicted import ADVICE, over
from grading.rules.rule_set import Grade
from grading.stats.beta import chance_text
from inventory.models import Station
from inventory.rules.rounding import half_up
from inventory.rules.working import Step

NOT_AS_SHARP = (
    "Screens of a line part less sharply than a sieve in the hand: try the cut on a small run first. "
    "Common practice, no source."
)


@dataclass(frozen=True)
class _Choice:
    """The best cut for one grade, with its chance; the cut is None where none reads so, and then one is nearest."""

    grade: Grade
    cut: Cut | None
    chance: Chance | None
    nearest: Cut


def cleaning(asked: CleaningAsked, station: Station | None = None) -> Answer:
    """Answer which cut would read as wanted at most seed kept, and what no cut takes out.

    Raises:
        Refused: what cannot be read, what the rule set does not know, fractions that do not add up or out of order.
    """
    read = read_cleaning(asked, station)
    cuts = all_cuts(read.rule_set, read.class_name, read.fractions)
    wanted = [read.grade] if read.grade else list(read.table.grades)
    choices = [_choice(read, cuts, grade) for grade in wanted]
    spread = spreads(read.rule_set, cuts, read.least_kept)
    return Answer(
        values=_values(read, cuts, choices, spread),
        says=(_as_it_is(cuts[0]), *(_says(read, each) for each in choices), *(each.says for each in spread)),
        working=tuple(step for each in choices[:1] for step in _working(read, each.cut or cuts[0])),
        notes=(ADVICE, NOT_AS_SHARP, *not_judged(read.table, read.rule_set)),
    )


def _choice(read: ReadCleaning, cuts: Sequence[Cut], grade: Grade) -> _Choice:
    sure = {id(cut): _chance(read, cut, grade) for cut in cuts if cut.predicted.holds(grade.name)}
    enough = [
        cut for cut in cuts if id(cut) in sure and ((chance := sure[id(cut)]) is None or chance.p >= read.least_chance)
    ]
    best = best_cut(enough, grade.name)
    return _Choice(grade, best, sure[id(best)] if best else None, nearest_cut(cuts, grade, read.least_kept))


def _chance(read: ReadCleaning, cut: Cut, grade: Grade) -> Chance | None:
    if read.seed_weight_g is None:
        return None
    beans = cut.picked_g * 100 / Fraction(read.seed_weight_g)
    return least_sure(read.rule_set, grade, cut.predicted.shares, dict.fromkeys(read.rule_set.factors, beans))


def _as_it_is(cut: Cut) -> str:
    held = f": {'; '.join(cut.predicted.held_back)}" if cut.predicted.held_back else ""
    return f"As it is it reads {cut.predicted.grade}{held}."


def _says(read: ReadCleaning, choice: _Choice) -> str:
    grade, cut = choice.grade.name, choice.cut
    if cut is None:
        near = choice.nearest
        held = "; ".join(over(read.rule_set, choice.grade, near.predicted.shares))
        missed = f" ({near.words}, {half_up(near.kept * 100, 1)} of 100 kept): {held}" if held else ""
        return f"{grade}: no cut with these screens {f'reads so; the nearest{missed}' if held else 'is sure enough'}."
    chance = f"; chance {chance_text(choice.chance.p)} ({choice.chance.words})" if choice.chance else ""
    kept = f"{half_up(cut.kept * 100, 1)} of 100 kept"
    how = "no cut is needed" if cut.under is None and cut.over is None else f"keep what is {cut.words}"
    if cut.kept >= read.least_kept:
        return f"{grade}: {how}, {kept}{chance}."
    least = f"{float(read.least_kept * 100):g}"
    return (
        f"{grade}: no cut that keeps {least} of 100 or more reads so. To {how} would, but only {kept}{chance}: that is "
        f"no cleaning any more. Blend or re-sort, or say least_kept_pct={int(cut.kept * 100)} if it is worth it."
    )


def _values(
    read: ReadCleaning, cuts: Sequence[Cut], choices: Sequence[_Choice], spread: Sequence[Spread]
) -> dict[str, Any]:  # fmt: skip
    return {
        "cuts": [_cut_values(cut) for cut in cuts],
        "best": {
            each.grade.name: each.cut
            and {
                **_cut_values(each.cut),
                **_chance_values(each.chance),
                "keeps_enough": each.cut.kept >= read.least_kept,
            }
            for each in choices
        },
        "screens_take": {
            each.dish: {
                "most_pct": str(half_up(each.taken * 100, 2)),
                "cut": each.cut.words if each.cut else None,
                "kept_pct": str(half_up(each.kept * 100, 2)),
            }
            for each in spread
        },
        "rule_set": read.rule_set.id,
        "edition": read.rule_set.edition,
        "class": read.class_name,
        "official": False,
    }


def _cut_values(cut: Cut) -> dict[str, Any]:
    return {
        "under": cut.under,
        "over": cut.over,
        "kept_pct": str(half_up(cut.kept * 100, 2)),
        "reads_as": cut.predicted.grade,
        "reads_pct": {name: str(read) for name, read in cut.predicted.reads_pct.items()},
        "stays_pct": {dish: str(half_up(part * 100, 2)) for dish, part in cut.stays.items()},
    }


def _chance_values(chance: Chance | None) -> dict[str, Any]:
    return {"chance": chance and round(chance.p, 6), "least_sure": chance and chance.factor}


def _working(read: ReadCleaning, cut: Cut) -> list[Step]:
    limited = dict.fromkeys(name for grade in read.table.grades for name in grade.limits)
    names = [name for name in limited if name in cut.predicted.shares]
    kept = f"{half_up(cut.kept_g, 2)} g"
    steps = [Step("kept", f"{kept} of all fractions = {half_up(cut.kept * 100, 4)} %", source="ours, no source")]
    for name in names:
        factor, share = read.rule_set.factors[name], cut.predicted.shares[name]
        found = half_up(share * cut.kept_g, 4)
        reads = cut.predicted.reads_pct[name]
        steps.append(
            Step(
                factor.words, f"{found} g / {kept} × 100 = {half_up(share * 100, 6)} %", f"what is kept ({cut.words})",
                f"{reads}, half up as the limit is written", read.rule_set.source,
            )
        )  # fmt: skip
    return steps


FIGURES = (
    Figure(
        "cleaning", "Will screens help? From a sieved and picked sample: the best cut for a grade, and what stays.",
        CleaningAsked, cleaning,
        {
            "market_class": "navy", "rule_set": "QM-DEMO", "grade": "No. 1", "seed_weight_g_per_100": "18.2",
            "sieved_g": "500.2",
            "fractions": [
                {"screen": "12/64 x 3/4", "grams": "210.4", "weights_g": {"damaged": "2.2", "splits": "0.3"}},
                {"screen": "11/64 x 3/4", "grams": "214.1", "weights_g": {"damaged": "1.6", "splits": "1.2"}},
                {"screen": "10/64 x 3/4", "grams": "61.7", "weights_g": {"damaged": "0.6", "splits": "2.8"}},
                {"screen": "pan", "grams": "13.9", "weights_g": {"damaged": "0.2", "splits": "4.6", "stones": "0.4"}},
            ],
        },
        knows_own_rules=True,
    ),
)  # fmt: skip
