"""Generations and heterozygosity."""

from fractions import Fraction

import pytest

from inventory.rules.heterozygosity import (
    NotAGeneration,
    generation_label,
    heterozygosity,
    homozygous_at_all,
    inbreeding,
    read_generation,
    selfings,
)


@pytest.mark.outside(
    "Wright (1921), Systems of mating, Genetics 6:111-178 (from memory): self-fertilisation halves it each generation"
)
@pytest.mark.parametrize(
    ("generation", "left"),
    [(1, 1), (2, 0.5), (3, 0.25), (4, 0.125), (5, 0.0625), (6, 0.03125), (7, 0.015625), (8, 0.0078125)],
)
def test_each_selfing_halves_the_heterozygosity(generation, left):
    assert heterozygosity(generation) == Fraction(left)
    assert inbreeding(generation) == 1 - Fraction(left)


@pytest.mark.outside(
    "((2^n - 1)/2^n)^k, Allard, Principles of Plant Breeding (1960), chapter on self-pollination (from memory)"
)
@pytest.mark.parametrize(("n", "loci", "chance"), [(5, 5, 0.8532), (5, 10, 0.7280), (6, 10, 0.8543)])
def test_the_chance_to_be_fixed_at_all_loci(n, loci, chance):
    assert float(homozygous_at_all(n + 1, loci)) == pytest.approx(chance, abs=5e-5)


@pytest.mark.parametrize(
    ("typed", "generation", "notes"),
    [("F8", 8, 0), ("f 8", 8, 1), ("8", 8, 0), (8, 8, 0), (8.0, 8, 0), ("f8", 8, 1), ("F-10", 10, 1)],
)
def test_a_generation_is_read(typed, generation, notes):
    read = read_generation(typed)
    assert (read.value, len(read.notes)) == (generation, notes)


@pytest.mark.parametrize("typed", ["", None, "F", "F0", "G8", "F41", "F8.5", "BC1", -1])
def test_what_is_no_generation_is_refused(typed):
    with pytest.raises(NotAGeneration):
        read_generation(typed)


def test_label_and_selfings_go_with_the_number():
    assert (generation_label(8), selfings(8)) == ("F8", 7)
    with pytest.raises(ValueError, match="F0"):
        selfings(0)
