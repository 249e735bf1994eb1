"""A moisture as it was taken: meter or oven, wet or dry basis, by a reading or by the weights of the oven."""

from decimal import Decimal
from fractions import Fraction

from inventory.rules.mistakes import Mistake, Note
from inventory.rules.moisture import dry_to_wet
from inventory.rules.rounding import half_up

METHODS, BASES = ("meter", "oven"), ("wet", "dry")
# Between these no thermometer is doubted: seed in a store or truck, and drying ovens. Common practice, no source.
TEMPERATURES = {
    "": (Decimal(-40), Decimal(250)),
    "meter": (Decimal(-40), Decimal(70)),
    "oven": (Decimal(40), Decimal(250)),
}
PLACES = 2  # of a moisture that is worked out; a meter's own decimals are kept


class OvenDoesNotFit(Mistake):
    """Weights of an oven that cannot be of one dish."""

    code = "oven_does_not_fit"


class WorkedOut(Note):
    """A moisture that was worked out from what was typed."""

    code = "worked_out"

    def __init__(self, says: str, percent: Decimal) -> None:
        super().__init__(f"{says}: {percent} % on wet basis.", field="moisture", proposal=str(percent))


def by_oven(wet_g: Decimal, dry_g: Decimal, dish_g: Decimal) -> tuple[Decimal | None, list[Mistake]]:
    """Work out a moisture from the weights before and after the oven.

    Args:
        wet_g, dry_g: seed with its dish, before and after [g].
        dish_g: the dish alone, 0 where it was taken off [g].

    Returns:
        Water in per cent of the seed before, half up to 0.01 [% wet basis], or what cannot be.

    Source: loss in mass over mass before; common practice of oven methods.
    """
    if not dish_g < dry_g <= wet_g:
        says = (
            f"Before the oven {wet_g} g, after it {dry_g} g, the dish {dish_g} g: after lies between dish and before."
        )
        return None, [OvenDoesNotFit(f"{says} Check the three weights.", field="dry_g")]
    return half_up(Fraction(wet_g - dry_g) * 100 / Fraction(wet_g - dish_g), PLACES), []


def to_wet_basis(percent: Decimal) -> Decimal:
    """Turn a reading on dry basis into one on wet basis, half up to 0.01 [%]."""
    return half_up(dry_to_wet(percent), PLACES)
