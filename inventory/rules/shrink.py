"""Shrink: what a lot loses in mass between two moistures, with what handling takes beside it."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from inventory.rules.moisture import shrink_percent
from inventory.rules.rounding import half_up
from inventory.rules.working import Step

DRY_MATTER = "dry matter stays: mass × (100 - before) / (100 - after); common practice, no source"
# Pioneer agronomy, moisture shrink: total shrink is water and handling, each a part of the first mass.
HANDLING = "handling loss as a part of the first mass: common practice, as in Pioneer agronomy, moisture shrink"


@dataclass(frozen=True, slots=True)
class Shrink:
    """What drying and handling take off.

    Attributes:
        water_pct: water taken off, of the first mass; negative where seed took up water; exact [%].
        total_pct: water and handling, of the first mass; exact [%].
        factor: water for each point of moisture between; exact, None where both are equal [%].
        left: part of the first mass that is left; exact [1].
    """

    water_pct: Fraction
    total_pct: Fraction
    factor: Fraction | None
    left: Fraction
    working: tuple[Step, ...]


def shrink(before: Decimal, after: Decimal, handling_pct: Decimal = Decimal(0)) -> Shrink:
    """Work out the shrink between two moistures.

    Args:
        before, after: moisture, 0 to below 100 [% wet basis].
        handling_pct: lost by handling, 0 or more [% of the first mass].

    Raises:
        ValueError: a moisture outside its range.
    """
    water = shrink_percent(before, after)
    total = water + Fraction(handling_pct)
    factor = None if before == after else water / Fraction(before - after)
    formula = f"100 × (1 - (100 - {before}) / (100 - {after})) = {half_up(water, 4)} %"
    steps = [Step("water shrink", formula, basis="first mass", source=DRY_MATTER)]
    if factor is not None:
        per_point = f"100 / (100 - {after}) = {half_up(factor, 4)} % a point"
        steps.append(Step("shrink factor", per_point, source=DRY_MATTER))
    if handling_pct:
        both = f"{half_up(water, 4)} + {handling_pct} = {half_up(total, 4)} %"
        steps.append(Step("total shrink", both, basis="first mass", source=HANDLING))
    return Shrink(water, total, factor, 1 - total / 100, tuple(steps))
