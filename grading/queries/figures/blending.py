"""What to blend: which lots, and how much of each, hold a wanted grade at most seed used."""

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from grading.queries.blend_limits import GERMINATION, LotReads, bounds
from grading.queries.blend_lots import promise_note
from grading.queries.blend_plan import BlendPlan, plan_blend
from grading.queries.figures.blending_words import BlendPlanAsked, ReadPlan, read_plan
from grading.queries.figures.figure import Answer, Figure
from grading.queries.figures.given import given
from grading.queries.figures.grading_words import not_judged
from grading.rules.mixing import MG_PER_G
from grading.rules.notes import NOT_OFFICIAL
from grading.rules.predicted import ADVICE
from grading.rules.rounding import shown_against
from grading.rules.rule_set import folded_class
from grading.stats.beta import METHOD, chance_text
from grading.stats.mix_chance import SOURCE
from inventory.models import Station
from inventory.rules.mass import kg_text, kg_words
from inventory.rules.rounding import half_up
from inventory.rules.working import Step

CHANCES = (
    "Chances are advice: for picking alone, if each lot was fairly sampled and well mixed, and its portion picked "
    "without a slip. The rule reads the number; a chance never overrules it."
)
SURE = 0.95  # under it a plan without a margin is told that it has none; ours, no source
PLANNED = "linear program, HiGHS, Math. Prog. Comp. 10 (2018) 119-142; rounded, then held exactly"


def blending(asked: BlendPlanAsked, station: Station | None = None) -> Answer:
    """Answer what to take of each lot.

    Raises:
        Refused: what stands in the way of a plan, or the limit that makes it impossible.
    """
    read = read_plan(asked, given(station))
    plan = plan_blend(
        read.rule_set, read.class_name, read.grade, read.lots, read.mix_lots,
        margin=read.margin, total=read.total, step=read.step, floor=read.floor, is_poorest_first=read.is_poorest_first,
    )  # fmt: skip
    return Answer(
        values=_values(read, plan),
        says=_says(read, plan),
        working=tuple(_working(read, plan)),
        notes=tuple(_notes(read, plan, reason=asked.two_lines_reason)),
        table=_table(read, plan),
    )


def _says(read: ReadPlan, plan: BlendPlan) -> tuple[str, ...]:
    takes = [
        f"{kg_words(mass)} kg of {lot.lot.number}"
        for lot, mass in zip(read.lots, plan.masses, strict=True)
        if mass
    ]  # fmt: skip
    says = [f"Take {', '.join(takes)}: {kg_words(plan.total)} kg that would read {plan.predicted.grade}."]
    if len(takes) == 1:
        says.append("One lot does it alone: nothing needs to be blended.")
    if plan.chances:
        least = min(plan.chances, key=lambda name: plan.chances[name])
        says.append(f"Least sure is {_words(read, least)}: chance {chance_text(plan.chances[least])}.")
        if read.margin.is_none and plan.chances[least] < SURE:
            says.append(
                "That is close to a limit: give chance_pct=95 or margin_points for a plan that stays within it."
            )
    return (*says, f"Margin: {read.margin.says}.")


def _table(read: ReadPlan, plan: BlendPlan) -> tuple[tuple[str, ...], ...]:
    """A row for each lot, one for the mix and one for the limits."""
    names = list(read.limits)
    heads = ("lot", "kg", "in store", "% of mix", "reads as", *(_words(read, name) for name in names), GERMINATION)
    rows = [
        (
            lot.lot.number, kg_words(mass), kg_words(lot.lot.mg), str(_pct(Fraction(mass, plan.total), 1)),
            lot.outcome.grade, *(str(_reads(read, name, lot.share(name))) for name in names), _germinates(lot),
        )
        for lot, mass in zip(read.lots, plan.masses, strict=True)
    ]  # fmt: skip
    mixed = "" if plan.germination is None else str(_pct(plan.germination, 1))
    mix = (
        "mix", kg_words(plan.total), "", "100.0", plan.predicted.grade,
        *(str(_reads(read, name, plan.predicted.shares[name])) for name in names), mixed,
    )  # fmt: skip
    floor = "" if read.floor is None else f"{float(read.floor * 100):g}"
    return (heads, *rows, mix, ("limit", "", "", "", read.grade.name, *(read.limits[name] for name in names), floor))


def _values(read: ReadPlan, plan: BlendPlan) -> dict[str, Any]:
    return {
        "plan": [_lot_values(read, lot, mass, plan) for lot, mass in zip(read.lots, plan.masses, strict=True)],
        "total_kg": kg_text(plan.total),
        "reads_as": plan.predicted.grade,
        "qualifies_for": list(plan.predicted.qualifies_for),
        "reads_pct": {name: str(_reads(read, name, plan.predicted.shares[name])) for name in read.limits},
        "limits_pct": read.limits,
        "germination_pct": None if plan.germination is None else str(_pct(plan.germination, 1)),
        "chances": {name: round(chance, 6) for name, chance in plan.chances.items()},
        "margin": read.margin.says,
        "rule_set": read.rule_set.id,
        "edition": read.rule_set.edition,
        "class": read.class_name,
        "official": False,
    }


def _lot_values(read: ReadPlan, lot: LotReads, mass: int, plan: BlendPlan) -> dict[str, Any]:
    return {
        "lot": lot.lot.number,
        "kg": kg_text(mass),
        "bags": mass // read.step if read.step > MG_PER_G else None,
        "in_store_kg": kg_text(lot.lot.mg),
        "share_pct": str(_pct(Fraction(mass, plan.total), 2)),
        "reads_as": lot.outcome.grade,
        "samples": list(lot.lot.graded.samples),
    }


def _working(read: ReadPlan, plan: BlendPlan) -> Sequence[Step]:
    """Each limit by hand: the mass-weighted mean of the lots, rounded once as the limit is written."""
    taken = [(lot, mass) for lot, mass in zip(read.lots, plan.masses, strict=True) if mass]
    total, steps = kg_text(plan.total), [Step("masses", _program(read), source=PLANNED)]
    steps += _counted_steps(read)
    for name, written in read.limits.items():
        share = plan.predicted.shares[name]
        terms = " + ".join(f"{kg_text(mass)} × {_pct(lot.share(name), 6)}" for lot, mass in taken)
        reads = f"{_reads(read, name, share)}, half up, limit {written}"
        steps.append(
            Step(_words(read, name), f"({terms}) / {total} = {_pct(share, 6)} %", "mass", reads, read.rule_set.source)
        )
    if plan.germination is not None:
        terms = " + ".join(f"{kg_text(mass)} × {_germinates(lot)}" for lot, mass in taken)
        steps.append(
            Step(GERMINATION, f"({terms}) / {total} = {_pct(plan.germination, 4)} %", "mass", source="ours, no source")
        )
    for name, chance in plan.chances.items():
        steps.append(Step(f"chance of {_words(read, name)}", f"{chance:.4f}", "the mix's own share", source=SOURCE))
    return steps


def _counted_steps(read: ReadPlan) -> list[Step]:
    """Show the share that each lot counts with where the margin is a chance: the plan holds these at the limit."""
    steps, level = list[Step](), read.margin.level
    if level is None:
        return steps
    for limit in bounds(read.rule_set, read.limits, read.lots, read.margin):
        factor = read.rule_set.factors[limit.name]
        for lot, share in zip(read.lots, limit.shares, strict=True):
            beans = lot.beans(factor)
            if share == lot.share(limit.name) or beans is None:
                continue  # counted as it was found: the next steps show it
            k, n = float(beans * lot.share(limit.name)), float(beans)
            formula = f"{level * 100:g} in 100 of Beta({k + 0.5:.3f}, {n - k + 0.5:.3f})"
            steps.append(
                Step(
                    f"{limit.words} of {lot.lot.number} with the margin", f"{formula} = {100 * float(share):.6f} %",
                    f"{n:.2f} beans, {k:.3f} of them found", f"counted against {float(limit.bound * 100):g} %", METHOD,
                )
            )  # fmt: skip
    return steps


def _program(read: ReadPlan) -> str:
    total = "as much as holds" if read.total is None else f"{kg_text(read.total)} kg"
    step = f"bags of {kg_text(read.step)} kg" if read.step > MG_PER_G else "grams"
    first = "the poorest lot first, then most seed" if read.is_poorest_first else "most seed, then most poor seed"
    limits = len(read.limits) + (read.floor is not None)
    held = f"sum of mass × (share - limit) ≤ 0 for {limits} limits"
    return f"{total} of {len(read.lots)} lots in whole {step}, {first}, {held}"


def _notes(read: ReadPlan, plan: BlendPlan, *, reason: str) -> Sequence[str]:
    _, table = read.rule_set.table_by_class[folded_class(read.class_name)]
    promised = [
        promise_note(lot.lot, mass) for lot, mass in zip(read.lots, plan.masses, strict=True)
    ]  # fmt: skip
    docked = [lot.lot.number for lot in read.lots if lot.outcome.dockage and lot.outcome.dockage.share]
    off = f"{', '.join(docked)} read after dockage: the plan weighs seed from which it was taken off."
    return [
        *(note for note in promised if note),
        *([off] if docked else []),
        *([f"Several lines, because: {reason.strip()}"] if reason.strip() else []),
        ADVICE, NOT_OFFICIAL, CHANCES, *not_judged(table, read.rule_set),
    ]  # fmt: skip


def _reads(read: ReadPlan, name: str, share: Fraction) -> Any:
    return shown_against(share, read.limits[name], rounds=read.rule_set.rounds)


def _words(read: ReadPlan, name: str) -> str:
    return GERMINATION if name == GERMINATION else read.rule_set.factors[name].words


def _germinates(lot: LotReads) -> str:
    return "" if lot.germination is None else str(_pct(Fraction(*lot.germination), 1))


def _pct(share: Fraction, places: int) -> Any:
    return half_up(share * 100, places)


FIGURES = (
    Figure(
        "blend plan", "What to take of each lot so that the mix holds a grade at most seed used, and how sure that is.",
        BlendPlanAsked, blending,
        {
            "lots": [{"lot": "24-0019-8"}, {"lot": "25-0016-8", "most_kg": "600"}], "grade": "No. 1",
            "chance_pct": "95", "bag_kg": "25",
        },
        reads_books=True,
    ),
)  # fmt: skip
