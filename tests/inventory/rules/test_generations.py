"""Generations in mixtures of seed."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.generations import Source, mixed_heterozygosity, mixture_words, mixtures

F = Fraction


def seed(weight: int) -> Source:
    return Source(F(weight))


SOWN = Source(F(1), is_sowing=True)


def test_a_blend_of_two_seasons_is_an_exact_mixture() -> None:
    # By hand: 434 of 1,034 kg are F8, 600 were sown once more: 217/517 and 300/517.
    sources = {
        "blend": [("old", seed(434)), ("new", seed(600))], "new": [("block", seed(1))], "block": [("small", SOWN)],
        "small": [("old", seed(1))],
    }  # fmt: skip
    found = mixtures("blend", sources, {"old": 8})
    assert found["blend"] == {8: F(217, 517), 9: F(300, 517)}
    assert mixture_words(found["blend"]) == "F8 217/517, F9 300/517"
    assert mixed_heterozygosity(found["blend"]) == F(217, 517) / 128 + F(300, 517) / 256


@pytest.mark.outside(
    "Falconer & Mackay (1996), Introduction to Quantitative Genetics, 4th ed., ch. 5 (from memory): F2 1/2, F3 1/4"
)
def test_each_selfing_halves_the_heterozygosity_of_the_f1() -> None:
    sources = {"F4": [("F3", SOWN)], "F3": [("F2", SOWN)], "F2": [("cross", SOWN)]}
    found = mixtures("F4", sources, {"cross": 1})
    assert [mixed_heterozygosity(found[name]) for name in ("cross", "F2", "F3", "F4")] == [1, F(1, 2), F(1, 4), F(1, 8)]


def test_what_is_not_known_stays_not_known() -> None:
    found = mixtures("blend", {"blend": [("old", seed(1)), ("bought", seed(3))]}, {"old": 8})
    assert found["blend"] == {8: F(1, 4), None: F(3, 4)}
    assert mixed_heterozygosity(found["blend"]) is None
    assert mixture_words(found["blend"]) == "F8 1/4, not known 3/4"
    assert mixture_words(found["bought"]) == ""


def test_a_declared_generation_goes_before_what_was_sown() -> None:
    found = mixtures("block", {"block": [("lot", SOWN)], "lot": [("cross", SOWN)]}, {"block": 6, "cross": 1})
    assert found["block"] == {6: F(1)}


def test_a_long_chain_is_no_matter() -> None:
    sources = {n: [(n + 1, seed(1))] for n in range(20_000)}
    assert mixtures(0, sources, {20_000: 5})[0] == {5: F(1)}


@given(st.lists(st.tuples(st.integers(1, 9), st.integers(1, 12)), min_size=1, max_size=6))
def test_the_fractions_of_a_mixture_sum_to_one(parts) -> None:
    sources = {"blend": [(index, seed(weight)) for index, (weight, _) in enumerate(parts)]}
    found = mixtures("blend", sources, {index: generation for index, (_, generation) in enumerate(parts)})
    assert sum(found["blend"].values()) == 1
