"""Fleiss' kappa against published tables."""

import pytest

from grading.stats.kappa import cohen
from grading.stats.many_graders import fleiss

FOURTEEN = """
0 0 0 0 14
0 2 6 4 2
0 0 3 5 6
0 3 9 2 0
2 2 8 1 1
7 7 0 0 0
3 2 6 3 0
2 5 3 2 2
6 5 2 1 0
0 2 2 3 7
"""
# Thirty patients, six psychiatrists, five diagnoses.
DIAGNOSES = """
0 0 0 6 0
0 3 0 0 3
0 1 4 0 1
0 0 0 0 6
0 3 0 3 0
2 0 4 0 0
0 0 4 0 2
2 0 3 1 0
2 0 0 4 0
0 0 0 0 6
1 0 0 5 0
1 1 0 4 0
0 3 3 0 0
1 0 0 5 0
0 2 0 3 1
0 0 5 0 1
3 0 0 1 2
5 1 0 0 0
0 2 0 4 0
1 0 2 0 3
0 0 0 0 6
0 1 0 5 0
0 2 0 1 3
2 0 0 4 0
1 0 0 4 1
0 5 0 1 0
4 0 0 0 2
0 2 0 4 0
1 0 5 0 0
0 0 0 0 6
"""


def counts(text):
    return [[int(word) for word in line.split()] for line in text.strip().splitlines()]


@pytest.mark.outside("Fleiss' kappa, 14 raters, 10 subjects, 5 words: published .210 (data from memory)")
@pytest.mark.parametrize(("name", "wanted"), [("observed", 0.37802), ("expected", 0.21276), ("estimate", 0.20993)])
def test_it_gives_the_published_example_of_fourteen(name, wanted):
    assert round(getattr(fleiss(counts(FOURTEEN)), name), 5) == wanted


@pytest.mark.outside("Fleiss (1971) Psychol. Bull. 76:378-382, 30 patients, 6 raters (from memory)")
@pytest.mark.parametrize(("name", "wanted"), [("observed", 0.556), ("expected", 0.220), ("estimate", 0.430)])
def test_it_gives_the_example_of_the_paper(name, wanted):
    assert round(getattr(fleiss(counts(DIAGNOSES)), name), 3) == wanted


@pytest.mark.outside("Fleiss (1971) Psychol. Bull. 76:378-382, kappa of each word (from memory)")
@pytest.mark.parametrize(("place", "wanted"), list(enumerate((0.245, 0.245, 0.520, 0.471, 0.566))))
def test_it_gives_the_kappa_of_each_word(place, wanted):
    assert round(fleiss(counts(DIAGNOSES)).of_word[place], 3) == wanted


@pytest.mark.outside("Fleiss (1971) Psychol. Bull. 76:378-382, share of each word (from memory)")
@pytest.mark.parametrize(("place", "wanted"), list(enumerate((0.144, 0.144, 0.167, 0.306, 0.239))))
def test_it_gives_how_often_each_word_was_said(place, wanted):
    assert round(fleiss(counts(DIAGNOSES)).shares[place], 3) == wanted


@pytest.mark.outside(
    "Fleiss, Nee, Landis (1979): z of the 30 patients 17.65, as reference software prints it (from memory)"
)
def test_it_gives_the_standard_error_under_chance():
    found = fleiss(counts(DIAGNOSES))
    assert round(found.estimate / found.se_if_chance, 2) == 17.65


def test_it_is_not_defined_where_all_say_one_word():
    found = fleiss([[3, 0], [3, 0]])
    assert (found.estimate, found.se_if_chance, found.of_word, found.observed) == (None, None, (None, None), 1)
    assert "not defined" in found.working[-1].formula


def test_full_agreement_on_two_words_is_1():
    assert fleiss([[4, 0], [0, 4]]).estimate == 1


def test_two_graders_with_the_same_shares_get_cohens_kappa():
    pairs = [[2, 0]] * 20 + [[1, 1]] * 10 + [[0, 2]] * 20
    assert fleiss(pairs).estimate == pytest.approx(cohen([[20, 5], [5, 20]]).estimate)


@pytest.mark.parametrize("table", [[[3, 0]], [[3, 0], [2, 0]], [[3], [3]], [[1, 0], [0, 1]], [[3, -1], [1, 1]]])
def test_it_refuses_a_table_that_does_not_fit(table):
    with pytest.raises(ValueError, match="two"):
        fleiss(table)
