"""The numbers of one size curve, ready to be answered, each with its step of the working."""

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from typing import Any

from grading.rules.sieving import LOSS_SOURCE, Sieved
from grading.rules.size_curve import (
    SizeStack,
    bracket_of,
    class_edges,
    size_passing,
    span,
    uniformity,
    uniformity_coefficient,
)
from grading.stats.size_shape import ArithmeticSize, GeometricSize, arithmetic_size, geometric_size, log_between
from inventory.rules.rounding import half_up
from inventory.rules.working import Step

PERCENTS = (10, 50, 60, 90)
CURVE = "common practice, no source: retained and passing by weight"
SIZES = "D10, D50, D90: common practice, no source; linear in size is our default"
ENDS = "the classes' ends are ours, no source: one step of the screens beyond the widest and the narrowest"


def shown(exact: Fraction | Decimal, places: int) -> str:
    """Write an exact number with so many decimals, half up."""
    return f"{half_up(exact, places):f}"


def shown_mm(mm: Fraction) -> str:
    """Write a size to a ten-thousandth of a millimetre, as screens' tables do, without needless zeros."""
    text = shown(mm, 4).rstrip("0")
    return f"{text}0" if text.endswith(".") else text


def shown_plain(exact: Fraction) -> str:
    """Write an amount as it was typed where it has an end, else to four decimals."""
    return shown(exact, 4).rstrip("0").rstrip(".")


def class_sizes(stack: SizeStack) -> tuple[ArithmeticSize, GeometricSize]:
    """Work out means and spreads over the classes of a stack."""
    edges, weights = [float(edge) for edge in class_edges(stack.screens)], [float(each) for each in stack.amounts]
    middles = [(wide + narrow) / 2 for wide, narrow in pairwise(edges)]
    return arithmetic_size(middles, weights), geometric_size(edges, weights)


def log_sizes(stack: SizeStack) -> dict[str, float | None]:
    """Read off the sizes again with the logarithm of the size between two screens."""
    sizes: dict[str, float | None] = {}
    for percent in PERCENTS:
        found = bracket_of(stack, Fraction(percent))
        if found is None:
            sizes[f"d{percent}_log_mm"] = None
            continue
        rise = found.passing_above - found.passing_below
        share = (percent - found.passing_below) / rise if rise else Fraction(0)
        sizes[f"d{percent}_log_mm"] = log_between(float(found.below), float(found.above), float(share))
    return sizes


def curve_values(sieved: Sieved) -> dict[str, Any]:
    """Give all numbers of a curve: exact ones as text, statistics as numbers, None where the stack does not reach."""
    stack = sieved.stack
    mean, geometric = class_sizes(stack)
    sizes = {f"d{percent}_mm": _or_none(size_passing(stack, Fraction(percent)), 5) for percent in PERCENTS}
    return {
        "screens": _screens(stack), "sieved_g": None if sieved.grams is None else shown(sieved.grams, 2),
        "shape": stack.shape or None, "interpolation": "linear", **sizes, **log_sizes(stack),
        "span": _or_none(span(stack), 4), "uniformity_coefficient": _or_none(uniformity_coefficient(stack), 4),
        "uniformity_pct": _or_none(uniformity(stack), 2),
        "geometric_mean_mm": geometric.mean_mm, "s_log": geometric.s_log, "s_ln": geometric.s_ln,
        "s_gw_ratio": geometric.ratio, "s_gw_mm": geometric.s_mm,
        "mean_mm": mean.mean_mm, "sd_mm": mean.sd_mm, "cv_pct": mean.cv_pct,
    }  # fmt: skip


def curve_steps(sieved: Sieved) -> list[Step]:
    """Give the working of a curve."""
    stack = sieved.stack
    return [
        *_retained_steps(sieved), *_size_steps(stack), *_ratio_steps(curve_values(sieved)), *_mean_steps(stack),
    ]  # fmt: skip


def _screens(stack: SizeStack) -> list[dict[str, str | None]]:
    passing: list[Fraction | None] = [*stack.passing_pct, None]
    rows = zip(stack.screens, stack.retained_pct, passing, strict=True)
    return [
        {"screen": screen.name, "mm": None if screen.is_pan else shown_mm(screen.mm), "retained_pct": shown(stays, 2),
         "passing_pct": _or_none(passes, 2)} for screen, stays, passes in rows
    ]  # fmt: skip


def _retained_steps(sieved: Sieved) -> list[Step]:
    stack, unit = sieved.stack, sieved.unit
    steps, left = [], Fraction(100)
    for screen, amount, stays in zip(stack.screens, stack.amounts, stack.retained_pct, strict=True):
        before, left = left, left - stays
        passes = "" if screen.is_pan else f"; passes {shown(before, 2)} - {shown(stays, 2)} = {shown(left, 2)} %"
        formula = (
            f"{shown_plain(amount)} {unit} / {shown_plain(stack.total)} {unit} × 100 = {shown(stays, 4)} %{passes}"
        )
        steps.append(Step(screen.name, formula, rounding=f"{shown(stays, 2)}, half up to 0.01", source=CURVE))
    if unit == "g":
        formula = f"{shown_plain(stack.total)} g on screens and pan"
        steps.append(Step("balance", formula, source=LOSS_SOURCE))
    return steps


def _size_steps(stack: SizeStack) -> list[Step]:
    steps = []
    for percent in PERCENTS:
        found, size = bracket_of(stack, Fraction(percent)), size_passing(stack, Fraction(percent))
        if found is None or size is None:
            formula = f"{percent} % passing is not reached within the stack; nothing is extrapolated"
        else:
            low, high = shown(found.passing_below, 2), shown(found.passing_above, 2)
            below, above = shown_mm(found.below), shown_mm(found.above)
            formula = (
                f"{below} + ({percent} - {low}) / ({high} - {low}) × ({above} - {below}) = {shown(size, 5)} mm"
                if low != high else f"the curve is flat from {below} mm; its lower end = {shown(size, 5)} mm"
            )  # fmt: skip
        steps.append(Step(f"D{percent}", formula, source=SIZES))
    return steps


def _ratio_steps(values: Mapping[str, Any]) -> list[Step]:
    tenth, middle, sixtieth, ninetieth = (values[f"d{percent}_mm"] for percent in PERCENTS)
    steps = []
    if values["span"]:
        formula = f"({ninetieth} - {tenth}) / {middle} = {values['span']}"
        steps.append(Step("span", formula, source="common practice, no source: (D90 - D10) / D50"))
    if values["uniformity_coefficient"]:
        formula = f"{sixtieth} / {tenth} = {values['uniformity_coefficient']}"
        steps.append(Step("uniformity coefficient", formula, source="common practice, no source: D60 / D10"))
    if values["uniformity_pct"]:
        formula = (
            f"what passes 1.05 × {middle} mm less what passes 0.95 × {middle} mm = {values['uniformity_pct']} %"
        )  # fmt: skip
        steps.append(Step("uniformity", formula, "share within 5 % of the middle size D50", source="ours, no source"))
    return steps


def _mean_steps(stack: SizeStack) -> list[Step]:
    mean, geometric = class_sizes(stack)
    ends = f"class edges {', '.join(shown_mm(edge) for edge in class_edges(stack.screens))} mm"
    arithmetic = (
        f"sum(w × middle) / sum(w) = {mean.mean_mm:.5f} mm; SD {mean.sd_mm:.6f} mm; "
        f"CV 100 × {mean.sd_mm:.6f} / {mean.mean_mm:.5f} = {mean.cv_pct:.5f} %"
    )
    by_log = (
        f"10^(sum(w × log10 sqrt(D_i × D_(i+1))) / sum(w)) = {geometric.mean_mm:.5f} mm; "
        f"S_log {geometric.s_log:.7f} (S_ln {geometric.s_ln:.7f}); S_gw as a ratio 10^S_log = {geometric.ratio:.6f}, "
        f"in mm 0.5 × d_gw × (10^S_log - 10^-S_log) = {geometric.s_mm:.6f}"
    )
    return [
        Step("mean", arithmetic, ends, source=f"{mean.method}; {ENDS}"),
        Step("geometric mean", by_log, ends, source=f"{geometric.method}; {ENDS}"),
    ]


def _or_none(exact: Fraction | None, places: int) -> str | None:
    return None if exact is None else shown(exact, places)
