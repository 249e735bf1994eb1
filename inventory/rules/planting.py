"""How much seed a field, a plot or a row takes: exact sums from plants, seed weight, germination and rows."""

from dataclasses import dataclass
from fractions import Fraction

from inventory.rules.rates import M_PER_FOOT, M_PER_INCH

WHOLE = Fraction(1)


@dataclass(frozen=True, slots=True)
class Losses:
    """What is lost between bag and stand, each as the share that is left [1].

    Attributes:
        germination: seeds that germinate, over 0.
        emergence: germinated seeds that become plants, over 0.
        purity: of the mass, what is seed of the kind, over 0.
        overage: what is added for the drill and the ends, 0 or more; 1/10 adds a tenth.
    """

    germination: Fraction = WHOLE
    emergence: Fraction = WHOLE
    purity: Fraction = WHOLE
    overage: Fraction = Fraction(0)


NO_LOSSES = Losses()


def seeds_for(plants: Fraction, losses: Losses = NO_LOSSES) -> Fraction:
    """Work out how many seeds to sow for so many plants: plants / (germination × emergence) × (1 + overage) [1].

    Args:
        plants: that are wanted, 0 or more [1].

    Source: common practice, no source.
    """
    return plants / (losses.germination * losses.emergence) * (1 + losses.overage)


def grams_for(seeds: Fraction, seed_weight_g: Fraction, losses: Losses = NO_LOSSES) -> Fraction:
    """Work out what so many seeds weigh as they come from the bag: seeds × weight of 100 / 100 / purity [g].

    Args:
        seeds: 0 or more [1].
        seed_weight_g: of 100 seeds, over 0 [g].

    Source: common practice, no source.
    """
    return seeds * seed_weight_g / 100 / losses.purity


def in_row_m(row_m: Fraction, per_m2: Fraction) -> Fraction:
    """Work out the distance in the row: one plant has row width × distance of ground [m].

    In inches and acres this is 6,272,640 / (row width × plants per acre); an acre has so many square inches.

    Args:
        row_m: between rows, over 0 [m].
        per_m2: plants or seeds, over 0 [1/m²].
    """
    return 1 / (row_m * per_m2)


def row_length_m(area_m2: Fraction, row_m: Fraction) -> Fraction:
    """Work out how long a single row is that takes up an area [m].

    Args:
        area_m2: 0 or more [m²]; a thousandth of an acre is 43.56 square feet.
        row_m: between rows, over 0 [m].
    """
    return area_m2 / row_m


def feet_and_inches(metres: Fraction) -> tuple[int, int]:
    """Turn metres into whole feet and inches, half up to the inch."""
    inches = (2 * metres / M_PER_INCH + 1) // 2
    return divmod(int(inches), int(M_PER_FOOT / M_PER_INCH))
