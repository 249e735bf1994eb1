"""Purdy's notation."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.pedigree import Cross, PedigreeUnclear, contributions, parse_pedigree, render_pedigree

names = st.sampled_from(["A", "B", "C", "Turkey Red", "QN-2104", "24", "2104"])
pedigrees = st.recursive(names, lambda inner: st.builds(Cross, inner, inner), max_leaves=12)


@pytest.mark.outside(
    "GrainGenes, 'About cultivar pedigrees': Scout = ((Nebred) x (Hope x Turkey Red)) x (Cheyenne x Ponca)"
)
def test_the_pedigree_of_scout_is_read_as_published():
    text = "Nebred/2/Hope/Turkey Red/3/Cheyenne/Ponca"
    scout = parse_pedigree(text)
    assert scout == Cross(Cross("Nebred", Cross("Hope", "Turkey Red")), Cross("Cheyenne", "Ponca"))
    assert contributions(scout) == {
        "Nebred": Fraction(1, 4),
        "Hope": Fraction(1, 8),
        "Turkey Red": Fraction(1, 8),
        "Cheyenne": Fraction(1, 4),
        "Ponca": Fraction(1, 4),
    }


@pytest.mark.outside(
    "The same page: A/B*3 = A/B//B///B; Purdy et al. (1968), from memory: A*2/B = A//A/B, and A*4/B is a third "
    "backcross with 93.75 % of A"
)
def test_doses_stand_for_crosses_as_published():
    assert parse_pedigree("A/B*3") == parse_pedigree("A/B//B///B")
    assert parse_pedigree("A*2/B") == parse_pedigree("A//A/B")
    assert contributions(parse_pedigree("A*4/B"))["A"] == Fraction(9375, 10000)
    assert contributions(parse_pedigree("B/4*A"))["A"] == Fraction(9375, 10000)


@pytest.mark.parametrize("text", ["A/B///C/D//E", "A/B/3/C/D/2/E", "A / B /3/ C / D // E"])
def test_slashes_and_numbers_are_the_same_rank(text):
    assert parse_pedigree(text) == Cross(Cross("A", "B"), Cross(Cross("C", "D"), "E"))


def test_the_female_stands_left_through_all_backcrosses():
    assert parse_pedigree("B/2*A") == Cross(Cross("B", "A"), "A")
    assert parse_pedigree("A*2//B/C") == Cross("A", Cross("A", Cross("B", "C")))


@pytest.mark.parametrize(
    ("pedigree", "text"),
    [
        ("A", "A"),
        (Cross("A", "B"), "A/B"),
        (Cross("A", Cross("A", "B")), "A*2/B"),
        (Cross(Cross("B", "A"), "A"), "B/2*A"),
        (Cross(Cross("A", "B"), Cross("C", "D")), "A/B//C/D"),
        (
            Cross(Cross("Nebred", Cross("Hope", "Turkey Red")), Cross("Cheyenne", "Ponca")),
            "Nebred//Hope/Turkey Red/3/Cheyenne/Ponca",
        ),
    ],
)
def test_a_pedigree_is_written_with_the_fewest_signs(pedigree, text):
    assert render_pedigree(pedigree) == text


@given(pedigrees)
def test_what_is_written_is_read_back(pedigree):
    assert parse_pedigree(render_pedigree(pedigree)) == pedigree


@given(pedigrees)
def test_contributions_sum_to_one(pedigree):
    assert sum(contributions(pedigree).values()) == 1


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "a parent is missing"),
        ("A/", "a parent is missing"),
        ("A//", "a parent is missing"),
        ("A/B/C", "two crosses have the rank 1"),
        ("A*2/B*2", "both parents have doses"),
        ("A*1/B", "2 to 12 doses"),
        ("A*999/B", "2 to 12 doses"),
        ("A*2", "beside the slash"),
        ("*2/B", "beside the slash"),
        ("/".join("A" * 100), "more than 30"),
    ],
)
def test_what_cannot_be_read_in_one_way_says_why(text, why):
    with pytest.raises(PedigreeUnclear) as caught:
        parse_pedigree(text)
    assert why in caught.value.says


@given(st.text("AB/*2 3-", max_size=30))
def test_any_text_is_read_or_refused(text):
    try:
        pedigree = parse_pedigree(text)
    except PedigreeUnclear:
        return
    assert parse_pedigree(render_pedigree(pedigree)) == pedigree


def test_a_long_pedigree_is_written_in_a_moment():
    pedigree = "Z"
    for generation in range(30):
        pedigree = Cross(f"N{generation}", pedigree)
    assert parse_pedigree(render_pedigree(pedigree)) == pedigree
