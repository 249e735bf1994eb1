"""Backcross plans."""

import math
import random
from fractions import Fraction
from statistics import fmean

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.backcross import donor_piece, plants_to_grow, recurrent_share
from inventory.rules.pedigree import contributions, parse_pedigree

P95, P99 = Fraction(95, 100), Fraction(99, 100)


@pytest.mark.outside(
    "1 - (1/2)^(t+1): Allard, Principles of Plant Breeding (1960), chapter on backcross breeding (from memory)"
)
@pytest.mark.parametrize(
    ("backcrosses", "percent"), [(0, 50), (1, 75), (2, 87.5), (3, 93.75), (4, 96.875), (5, 98.4375), (6, 99.21875)]
)
def test_the_recurrent_parent_comes_back_by_halves(backcrosses, percent):
    assert recurrent_share(backcrosses) * 100 == Fraction(percent)


@given(st.integers(1, 11))
def test_the_share_is_that_of_the_written_pedigree(backcrosses):
    assert contributions(parse_pedigree(f"A*{backcrosses + 1}/B"))["A"] == recurrent_share(backcrosses)


@pytest.mark.outside(
    "Sedcole (1977) Crop Sci. 17:667-668 is the usual table (from memory); NDSU's genetics course gives 16.01 "
    "before rounding up for 1/4 at 99 %, a teaching page 190.2 for three recessive loci at 95 %"
)
@pytest.mark.parametrize(
    ("frequency", "chance", "plants"),
    [
        (Fraction(1, 2), P95, 5),
        (Fraction(1, 2), P99, 7),
        (Fraction(1, 4), P95, 11),
        (Fraction(1, 4), P99, 17),
        (Fraction(1, 64), P95, 191),
        (Fraction(1, 64), P99, 293),
    ],
)
def test_plants_to_grow_are_those_of_the_handbooks(frequency, chance, plants):
    assert plants_to_grow(frequency, chance) == plants


@given(st.fractions(Fraction(1, 200), 1), st.fractions(0, Fraction(999, 1000)))
def test_the_number_is_the_smallest_that_does(frequency, chance):
    plants = plants_to_grow(frequency, chance)
    assert 1 - (1 - frequency) ** plants >= chance
    assert plants == 0 or 1 - (1 - frequency) ** (plants - 1) < chance


@pytest.mark.parametrize(
    ("arm", "backcrosses", "both_sides_cm"),
    [(0.5, 1, 78.694), (1, 1, 126.424), (0.5, 3, 51.791), (1, 3, 63.348), (0.5, 6, 31.674), (1, 6, 33.251)],
)
def test_the_donor_piece_shrinks_with_each_backcross(arm, backcrosses, both_sides_cm):
    assert 200 * donor_piece(backcrosses, arm) == pytest.approx(both_sides_cm, abs=5e-4)


def test_the_donor_piece_is_that_of_a_simulation():
    # 20,000 draws of a length below 0.5 with a standard deviation below 0.2: the mean is known to about 0.0014 (1 SD).
    chance = random.Random(8)  # noqa: S311 - a simulation, no secret
    pieces = [min(0.5, *(chance.expovariate(1) for _ in range(3))) for _ in range(20_000)]
    assert fmean(pieces) == pytest.approx(donor_piece(3, 0.5), abs=4 * 0.2 / math.sqrt(20_000))


@pytest.mark.parametrize(
    ("frequency", "chance"),
    [(Fraction(0), P95), (Fraction(1, 10**6), P95), (Fraction(2), P95), (Fraction(1, 2), Fraction(1))],
)
def test_a_plan_without_sense_is_refused(frequency, chance):
    with pytest.raises(ValueError, match="planned"):
        plants_to_grow(frequency, chance)


def test_fewer_than_no_backcrosses_are_refused():
    with pytest.raises(ValueError, match="backcrosses"):
        recurrent_share(-1)
    with pytest.raises(ValueError, match="backcross"):
        donor_piece(0, 0.5)
