"""Coefficients of parentage."""

import random
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.parentage import PedigreeLoops, coefficient_of_parentage, parentage_table, sister_lines
from inventory.rules.pedigree import Cross, parse_pedigree

LINES = {
    name: parse_pedigree(text)
    for name, text in {
        "L1": "A/B",
        "L2": "A/B",
        "L3": "A/C",
        "L4": "C/D",
        "P": "L1/L3",
        "Q": "L1/L4",
        "R": "P/Q",
        "BC1": "A*2/B",
    }.items()
}


@pytest.mark.parametrize(
    ("pair", "f"),
    [
        (("L1", "A"), 0.5),
        (("L1", "L2"), 0.5),
        (("L1", "L3"), 0.25),
        (("L1", "L4"), 0),
        (("P", "A"), 0.5),
        (("P", "L1"), 0.625),
        (("P", "Q"), 0.375),
        (("Q", "A"), 0.25),
        (("R", "A"), 0.375),
        (("R", "L1"), 0.5625),
        (("R", "P"), 0.6875),
        (("BC1", "L1"), 0.5),
        (("A", "A"), 1),
        (("R", "R"), 1),
    ],
)
def test_inbred_lines_share_as_worked_by_hand(pair, f):
    # The same numbers came out of a gene-drop simulation with 400,000 loci, to within 0.002.
    assert coefficient_of_parentage(*pair, LINES) == Fraction(f)
    assert coefficient_of_parentage(*reversed(pair), LINES) == Fraction(f)


@pytest.mark.outside(
    "Mrode, Linear Models for the Prediction of Animal Breeding Values, 3rd ed., table 2.1 and pp. 24-25: the "
    "relationship matrix A = 2 f of a pedigree of six, parent 2 of animal 4 unknown; inbreeding of animal 5 is "
    "0.125"
)
def test_single_plants_reproduce_the_textbook_table():
    book = {"3": Cross("1", "2"), "4": Cross("1", "?"), "5": Cross("4", "3"), "6": Cross("5", "2")}
    table = parentage_table("123456", book, fixed=False)
    rows = {row: [float(2 * table[row, column]) for column in "123456"] for row in "56"}
    assert rows["5"] == [0.5, 0.25, 0.625, 0.625, 1.125, 0.6875]
    assert rows["6"] == [0.25, 0.625, 0.5625, 0.3125, 0.6875, 1.125]


@st.composite
def stud_books(draw):
    """Draw lines 0..n, each a founder or a cross of two earlier ones."""
    size = draw(st.integers(1, 9))
    book = {}
    for line in range(2, size):
        if draw(st.booleans()):
            earlier = st.integers(0, line - 1).map(str)
            book[str(line)] = Cross(draw(earlier), draw(earlier))
    return book, [str(line) for line in range(size)]


@given(stud_books())
def test_f_lies_between_nothing_and_one_and_reads_both_ways(drawn):
    book, lines = drawn
    table = parentage_table(lines, book)
    for one in lines:
        assert table[one, one] == 1
        assert all(0 <= table[one, other] == table[other, one] <= 1 for other in lines)


def test_a_long_line_of_descent_is_worked_out_exactly():
    book = {str(line): Cross(str(line - 1), "A") for line in range(1, 301)}
    assert coefficient_of_parentage("0", "300", book) == Fraction(1, 2**300)


def test_a_line_that_is_its_own_ancestor_is_refused():
    with pytest.raises(PedigreeLoops):
        coefficient_of_parentage("X", "A", {"X": Cross("Y", "A"), "Y": Cross("X", "B")})


@pytest.mark.outside("Cox et al. (1985): f of lines from different F2 plants, from one F2, from one F3 (from memory)")
@pytest.mark.parametrize(("generation", "f"), [(1, 0.5), (2, 0.75), (3, 0.875)])
def test_lines_from_one_plant_are_as_alike_as_its_generation_is_fixed(generation, f):
    assert sister_lines(generation) == Fraction(f)


def test_lines_from_one_plant_are_that_alike_when_genes_are_dropped():
    # A plant of the F3: each gene is fixed with 3/4; two lines drawn from it agree where it is, else by half.
    chance = random.Random(3)  # noqa: S311 - a simulation, no secret
    alike = 0
    for _gene in range(40_000):
        plant = (0, 1)
        for _selfing in range(2):
            plant = (chance.choice(plant), chance.choice(plant))
        alike += chance.choice(plant) == chance.choice(plant)
    assert alike / 40_000 == pytest.approx(float(sister_lines(3)), abs=4 * 0.0017)


def test_there_is_no_plant_before_the_f1():
    with pytest.raises(ValueError, match="F0"):
        sister_lines(0)
