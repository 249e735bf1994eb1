"""How likely ranges and chances of a grading were worked out, with their numbers, to be done again by hand."""

from collections.abc import Mapping
from fractions import Fraction

from grading.rules.fit import basis_g
from grading.rules.outcome import Outcome
from grading.rules.portion import Portion
from grading.stats.grade_chance import METHOD
from grading.stats.portion_chance import Likely
from inventory.rules.working import Step

BETA = "Brown, Cai, DasGupta, Statist. Sci. 16 (2001) 101-133, equal-tailed Jeffreys interval"
FRECHET = "bounds of Fréchet (from memory); draws ours, no source"


def sure_steps(
    result: Outcome, portion: Portion, sure: Mapping[str, Likely], beans: Mapping[str, Fraction]
) -> list[Step]:
    """Show the number of seeds, and the Beta law of each factor that has a chance.

    Args:
        result: of this portion.
        sure: factor -> how sure it is.
        beans: factor -> the pieces that its basis stands for.
    """
    steps: list[Step] = []
    for reading in result.readings:
        name = reading.factor.name
        if name not in sure or name not in beans:
            continue
        n, interval = float(beans[name]), sure[name].interval
        k = float(beans[name] * reading.share)
        within = ", ".join(f"{grade} {chance:.4f}" for grade, chance in sure[name].within.items())
        formula = (
            f"2.5 and 97.5 % points of Beta({k:.3f} + 1/2, {n:.2f} - {k:.3f} + 1/2) = {interval.low * 100:.4f} and "
            f"{interval.high * 100:.4f} %" + (f"; its chance within: {within}" if within else "")
        )
        steps.append(
            Step(f"{reading.factor.words}, likely range", formula, f"{_seeds(result, portion, name, n)}, k = n × share",
                 source=BETA)
        )  # fmt: skip
    return [*steps, Step("chances of the grades", METHOD, source=FRECHET)] if steps else []


def _seeds(result: Outcome, portion: Portion, factor: str, n: float) -> str:
    if portion.counts.get("portion", 0) > 0:
        return f"n = {n:.0f} pieces counted"
    grams, each = basis_g(result.rule_set, portion, factor), portion.seed_weight_g_per_100
    return f"n = {grams:f} g × 100 / {each:f} g = {n:.2f} seeds"
