"""Backcrossing: what each backcross is expected to bring back, and how many plants it takes.

Assumes one donor, no selection but for the gene itself, and genes that are inherited independently of each other.
"""

import math
from fractions import Fraction

RAREST = Fraction(1, 10_000)  # what is rarer is not looked for by growing plants
SUREST = 1 - Fraction(1, 1_000_000)


def recurrent_share(backcrosses: int) -> Fraction:
    """Work out the expected share of the recurrent parent after t backcrosses: 1 - (1/2)^(t+1) [1]; 0 is the F1."""
    if backcrosses < 0:
        raise ValueError(f"There are no {backcrosses} backcrosses.")
    return 1 - Fraction(1, 2 ** (backcrosses + 1))


def plants_to_grow(frequency: Fraction, chance: Fraction) -> int:
    """Work out how many plants to grow so that at least one carries what is wanted, with the wanted chance.

    Args:
        frequency: expected part of the plants that carry it, 1/10,000 to 1 [1]: 1/2 for one gene in a backcross,
            1/4 for one recessive gene in an F2.
        chance: wanted chance of at least one, 0 to 0.999999 [1].

    Returns:
        The smallest n with 1 - (1 - p)^n >= P. Germination and survival are not taken in: divide by them.

    Raises:
        ValueError: a number outside its range.
    """
    if not RAREST <= frequency <= 1 or not 0 <= chance <= SUREST:
        raise ValueError(f"A frequency of {frequency} or a chance of {chance} cannot be planned with.")
    missed, allowed = 1 - frequency, 1 - chance
    if missed == 0 or chance == 0:
        return int(chance > 0)
    # The logarithms only bring us near; which whole number it is, is decided exactly.
    plants = max(1, math.floor(_log(allowed) / _log(missed)) - 1)
    while missed**plants > allowed:
        plants += 1
    return plants


def donor_piece(backcrosses: int, arm: float) -> float:
    """Work out the expected length of the donor's piece on one side of a gene that is kept through t backcrosses.

    Args:
        backcrosses: t, 1 or more.
        arm: length of the chromosome on that side of the gene [M].

    Returns:
        Expected length [M], without marker selection and without interference.

    Notes:
        (1 - e^(-tL)) / t: the distance to the nearest of t independent exponential crossovers, cut at the arm's end.
        Hanson (1959) and Stam & Zeven (1981) are the usual citations (from memory; the derivation is checked by
        simulation in the test).
    """
    if backcrosses < 1 or arm < 0:
        raise ValueError("A donor piece needs at least one backcross and an arm of 0 morgans or more.")
    return -math.expm1(-backcrosses * arm) / backcrosses


def _log(part: Fraction) -> float:
    """Take the logarithm of a part without losing it to rounding near 0 or 1."""
    return (
        math.log1p(float(part - 1)) if part > Fraction(1, 2) else math.log(part.numerator) - math.log(part.denominator)
    )
