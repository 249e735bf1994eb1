"""Does the pan close: sound beans and dishes together must make the portion again."""

from collections.abc import Iterator, Mapping
from decimal import Decimal

from grading.rules.mistakes import PanDoesNotClose

ALLOWED = Decimal("0.001")  # of the portion; our own bench rule, no source
SHIFTS = (Decimal("0.1"), Decimal("0.01"), Decimal(10), Decimal(100))


def pan_gap(portion_g: Decimal, dishes_g: Mapping[str, Decimal], sound_g: Decimal) -> Decimal:
    """Give what the pan holds beyond the portion; negative where something is missing [g]."""
    return sum(dishes_g.values(), sound_g) - portion_g


def pan_mistake(portion_g: Decimal, dishes_g: Mapping[str, Decimal], sound_g: Decimal) -> PanDoesNotClose | None:
    """Ask about a pan that misses its portion by more than 0.1 %.

    Args:
        portion_g: weighed before picking, over 0 [g].
        dishes_g: each dish by its factor [g].
        sound_g: what was left sound [g].

    Returns:
        The question, with the one dish whose shifted decimal point would close the pan, or None if it closes.
    """
    gap = pan_gap(portion_g, dishes_g, sound_g)
    if abs(gap) <= portion_g * ALLOWED:
        return None
    slips = list(_slips({**dishes_g, "sound": sound_g}, gap, portion_g * ALLOWED))
    return PanDoesNotClose(portion_g + gap, portion_g, slips[0] if len(slips) == 1 else None)


def _slips(weights: Mapping[str, Decimal], gap: Decimal, allowed: Decimal) -> Iterator[tuple[str, Decimal, Decimal]]:
    """Yield each weight that would close the pan if its decimal point stood elsewhere."""
    for name, typed in weights.items():
        for shift in SHIFTS:
            meant = (typed * shift).normalize()
            if abs(gap - typed + meant) <= allowed:
                yield name, typed, Decimal(f"{meant:f}")
