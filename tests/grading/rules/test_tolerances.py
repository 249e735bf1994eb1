"""The federal tolerance tables, row by row in the layout of the regulation's own page."""

from fractions import Fraction

import pytest

from grading.rules.mistakes import OutOfRange
from grading.rules.tolerances import (
    germination_tolerance,
    most_other_seeds,
    purity_tolerance,
    variety_tolerance,
)

# 7 CFR 201.60, table 3, 2015 annual edition: columns A, B, C nonchaffy, D chaffy.
PURITY = """
99.95-100.00  0.00-0.04  0.13 0.16
99.90-99.94  .05-.09  .20 .23
99.85-99.89  .10-.14  .24 .29
99.80-99.84  .15-.19  .28 .34
99.75-99.79  .20-.24  .32 .37
99.70-99.74  .25-.29  .35 .41
99.65-99.69  .30-.34  .37 .45
99.60-99.64  .35-.39  .40 .48
99.55-99.59  .40-.44  .42 .50
99.50-99.54  .45-.49  .44 .53
99.40-99.49  .50-.59  .47 .57
99.30-99.39  .60-.69  .51 .60
99.20-99.29  .70-.79  .54 .64
99.10-99.19  .80-.89  .57 .66
99.00-99.09  .90-.99  .59 .70
98.75-98.99  1.00-1.24  .64 .75
98.50-98.74  1.25-1.49  .71 .82
98.25-98.49  1.50-1.74  .76 .89
98.00-98.24  1.75-1.99  .82 .95
97.75-97.99  2.00-2.24  .87 1.01
97.50-97.74  2.25-2.49  .92 1.07
97.25-97.49  2.50-2.74  .96 1.12
97.00-97.24  2.75-2.99  1.00 1.17
96.50-96.99  3.00-3.49  1.06 1.24
96.00-96.49  3.50-3.99  1.14 1.34
95.50-95.99  4.00-4.49  1.21 1.41
95.00-95.49  4.50-4.99  1.27 1.49
94.00-94.99  5.00-5.99  1.36 1.60
93.00-93.99  6.00-6.99  1.47 1.73
92.00-92.99  7.00-7.99  1.58 1.85
91.00-91.99  8.00-8.99  1.67 1.96
90.00-90.99  9.00-9.99  1.75 2.06
88.00-89.99  10.00-11.99  1.87 2.19
86.00-87.99  12.00-13.99  2.01 2.36
84.00-85.99  14.00-15.99  2.14 2.51
82.00-83.99  16.00-17.99  2.24 2.64
80.00-81.99  18.00-19.99  2.35 2.76
78.00-79.99  20.00-21.99  2.44 2.86
76.00-77.99  22.00-23.99  2.52 2.96
74.00-75.99  24.00-25.99  2.59 3.04
72.00-73.99  26.00-27.99  2.65 3.12
70.00-71.99  28.00-29.99  2.71 3.19
65.00-69.99  30.00-34.99  2.80 3.29
60.00-64.99  35.00-39.99  2.89 3.40
50.00-59.99  40.00-49.99  2.96 3.48
"""
# 7 CFR 201.62, table 4: per cent, then 10, 20, 30, 50, 75, 100, 150, 200, 400, 800, 1,000 seeds, seedlings or plants.
VARIETY = """
100 or 0: 0 0 0 0 0 0 0 0 0 0 0
98 or 2: 10.3 7.3 6.0 4.6 3.8 3.3 2.7 2.3 1.6 1.2 1.0
96 or 4: 14.4 10.2 8.3 6.4 5.3 4.6 3.7 3.2 2.3 1.7 1.5
94 or 6: 17.5 12.4 10.1 7.8 6.4 5.5 4.5 3.9 2.9 2.1 1.9
92 or 8: 20.0 14.1 11.5 8.9 7.3 6.3 5.2 4.5 3.4 2.4 2.2
90 or 10: 22.1 15.7 12.8 9.9 8.1 7.0 5.7 4.9 3.8 2.8 2.4
88 or 12: 24.0 17.0 13.8 10.7 8.7 7.6 6.2 5.4 4.1 3.0 2.7
86 or 14: 25.7 18.1 14.7 11.4 9.3 8.1 6.6 5.7 4.5 3.2 2.9
84 or 16: 26.9 19.0 15.5 12.1 9.8 8.5 7.0 6.0 4.8 3.4 3.0
82 or 18: 28.2 20.0 16.4 12.6 10.3 8.9 7.3 6.3 5.0 3.6 3.2
80 or 20: 29.5 20.9 16.9 13.2 10.7 9.3 7.6 6.6 5.3 3.8 3.3
78 or 22: 30.5 21.6 17.6 13.6 11.0 9.6 7.9 6.8 5.5 3.9 3.5
76 or 24: 31.4 22.3 18.2 14.1 11.5 9.9 8.1 7.0 5.7 4.1 3.6
74 or 26: 32.3 22.8 18.6 14.4 11.8 10.2 8.3 7.2 5.8 4.2 3.7
72 or 28: 33.0 23.4 19.0 14.8 12.1 10.5 8.5 7.4 6.0 4.3 3.8
70 or 30: 33.7 23.8 19.5 15.1 12.3 10.7 8.7 7.5 6.2 4.4 3.9
68 or 32: 34.3 24.3 19.9 15.4 12.5 10.8 8.9 7.7 6.3 4.5 4.0
66 or 34: 35.0 24.7 20.2 15.7 12.7 11.0 9.0 7.8 6.4 4.6 4.0
64 or 36: 35.4 25.0 20.5 15.8 12.9 11.2 9.1 7.9 6.5 4.6 4.1
62 or 38: 35.5 25.4 20.6 15.9 13.0 11.3 9.2 8.0 6.6 4.7 4.2
60 or 40: 36.1 25.7 20.9 16.1 13.2 11.4 9.3 8.1 6.7 4.8 4.2
58 or 42: 36.2 25.7 21.0 16.2 13.3 11.5 9.4 8.1 6.8 4.8 4.2
56 or 44: 36.5 25.8 21.0 16.4 13.3 11.5 9.4 8.2 6.8 4.8 4.3
54 or 46: 36.8 25.8 21.2 16.4 13.4 11.6 9.5 8.2 6.9 4.9 4.3
52 or 48: 36.8 25.9 21.2 16.5 13.4 11.6 9.5 8.2 6.9 4.9 4.3
50 or 50: 36.8 25.9 21.3 16.5 13.4 11.6 9.5 8.2 6.9 4.9 4.3
"""
NUMBERS = (10, 20, 30, 50, 75, 100, 150, 200, 400, 800, 1000)
# 7 CFR 201.65 (76 FR 31794, 2011), X and Y in the three double columns of the page.
SINCE_2011 = """
0 2 34 43 68 81, 1 2 35 44 69 82, 2 4 36 45 70 83, 3 5 37 46 71 84, 4 7 38 47 72 85, 5 8 39 49 73 86, 6 9 40 50 74 87,
7 11 41 51 75 89, 8 12 42 52 76 90, 9 13 43 53 77 91, 10 14 44 54 78 92, 11 16 45 55 79 93, 12 17 46 56 80 94,
13 18 47 58 81 95, 14 19 48 59 82 96, 15 21 49 60 83 97, 16 22 50 61 84 98, 17 23 51 62 85 99, 18 24 52 63 86 101,
19 25 53 64 87 102, 20 27 54 65 88 103, 21 28 55 67 89 104, 22 29 56 68 90 105, 23 30 57 69 91 106, 24 31 58 70 92 107,
25 32 59 71 93 108, 26 34 60 72 94 109, 27 35 61 73 95 110, 28 36 62 74 96 111, 29 37 63 75 97 112, 30 38 64 76 98 114,
31 39 65 78 99 115, 32 41 66 79 100 116, 33 42 67 80
"""
# The edition before it (65 FR 1709, 2000), in its two double columns.
UNTIL_2011 = """
0 2 16 24, 1 4 17 25, 2 6 18 27, 3 8 19 28, 4 9 20 29, 5 11 21 30, 6 12 22 32, 7 13 23 33, 8 14 24 34, 9 16 25 35,
10 17 26 37, 11 18 27 38, 12 20 28 39, 13 21 29 41, 14 22 30 42, 15 23
"""


def purity_rows():
    for row in PURITY.strip().splitlines():
        upper, lower, nonchaffy, chaffy = row.split()
        yield upper.split("-"), lower.split("-"), nonchaffy, chaffy


def variety_cells():
    for row in VARIETY.strip().splitlines():
        percent, cells = row.split(":")
        for number, points in zip(NUMBERS, cells.split(), strict=True):
            yield int(percent.split()[0]), number, points


def pairs(text):
    for row in text.split(","):
        words = [int(word) for word in row.split()]
        yield from zip(words[::2], words[1::2], strict=True)


@pytest.mark.outside("7 CFR 201.60, table 3 (65 FR 1709, 2000), purity tolerances")
@pytest.mark.parametrize(("upper", "lower", "nonchaffy", "chaffy"), list(purity_rows()))
def test_a_purity_may_lie_as_far_from_its_claim_as_the_table_says(upper, lower, nonchaffy, chaffy):
    for average in map(Fraction, (*upper, *lower)):
        assert purity_tolerance(average).points == Fraction(nonchaffy)
        assert purity_tolerance(average, chaffy=True).points == Fraction(chaffy)


@pytest.mark.parametrize(
    ("average", "points"),
    [("98.745", "0.675"), ("99.945", "0.165"), ("1.245", "0.675"), ("59.995", "2.925"), ("49.995", "2.96")],
)
def test_between_two_rows_it_is_interpolated(average, points):
    assert purity_tolerance(Fraction(average)).points == Fraction(points)


@pytest.mark.outside("7 CFR 201.62, table 4 (59 FR 64516, 1994), tests on 10 to 1,000 seeds")
@pytest.mark.parametrize(("percent", "number", "points"), list(variety_cells()))
def test_a_purity_of_variety_may_miss_by_its_cell(percent, number, points):
    assert variety_tolerance(Fraction(percent), number).points == Fraction(points)
    assert variety_tolerance(Fraction(100 - percent), number).points == Fraction(points)


def test_half_the_pure_seed_tolerance_is_added_where_the_label_is_no_hybrids():
    pure = purity_tolerance(Fraction("98.65"))
    assert variety_tolerance(Fraction(98), 200, pure).points == Fraction("2.3") + Fraction("0.355")


def test_between_the_printed_numbers_the_next_larger_is_taken_and_between_percentages_the_line():
    assert variety_tolerance(Fraction(98), 120).points == variety_tolerance(Fraction(98), 150).points
    assert variety_tolerance(Fraction(97), 200).points == Fraction("2.75")
    assert variety_tolerance(Fraction(99), 200).points == Fraction("1.15")


@pytest.mark.parametrize("number", [9, 1001, 0])
def test_a_number_the_table_does_not_cover_is_refused(number):
    with pytest.raises(OutOfRange, match=rf"{number} were looked at"):
        variety_tolerance(Fraction(98), number)


@pytest.mark.outside("7 CFR 201.65 (76 FR 31794, 2011), noxious-weed seeds")
@pytest.mark.parametrize(("labelled", "most"), list(pairs(SINCE_2011)))
def test_as_many_other_seeds_may_be_found_as_the_table_since_2011_says(labelled, most):
    assert most_other_seeds(labelled).points == most


@pytest.mark.outside("7 CFR 201.65 until 2011 (65 FR 1709, 2000), noxious-weed seeds")
@pytest.mark.parametrize(("labelled", "most"), list(pairs(UNTIL_2011)))
def test_as_many_other_seeds_might_be_found_as_the_table_until_2011_said(labelled, most):
    assert most_other_seeds(labelled, "2000").points == most


@pytest.mark.outside("7 CFR 201.65 (76 FR 31794, 2011), formula beside its table")
def test_the_printed_formula_lies_within_one_and_a_third_of_every_row_but_the_first():
    for labelled, most in pairs(SINCE_2011):
        formula = labelled + 1.65 * labelled**0.5 + 0.03
        assert labelled == 0 or abs(most - formula) < 4 / 3, labelled


def test_above_the_table_the_formula_goes_on():
    assert most_other_seeds(121).points == 139  # 121 + 18.15 + 0.03
    assert most_other_seeds(36, "2000").points == 48  # 36 + 11.76 + 1


# 7 CFR 201.63: "96 or over 5; 90 or over but less than 96 6; …; less than 60 10".
@pytest.mark.outside("7 CFR 201.63, germination tolerances")
@pytest.mark.parametrize(
    ("mean", "points"),
    [
        ("100", 5), ("96", 5), ("95.5", 6), ("90", 6), ("89.5", 7), ("80", 7), ("79.5", 8), ("70", 8), ("69.5", 9),
        ("60", 9), ("59.5", 10), ("0", 10),
    ],
)  # fmt: skip
def test_a_germination_may_miss_its_label_by_the_row_of_the_mean(mean, points):
    assert germination_tolerance(Fraction(mean)).points == points
    assert germination_tolerance(Fraction(mean), 200).points == points + 2


@pytest.mark.parametrize("seeds", [0, 100, 399, 201])
def test_it_invents_no_tolerance_for_other_numbers_of_seeds(seeds):
    with pytest.raises(OutOfRange, match="400 seeds or more"):
        germination_tolerance(Fraction(90), seeds)


def test_every_tolerance_tells_its_working_with_its_source():
    for found in (
        germination_tolerance(Fraction("86.5"), 200), purity_tolerance(Fraction("98.745")),
        variety_tolerance(Fraction(97), 120, purity_tolerance(Fraction(99))), most_other_seeds(200),
    ):  # fmt: skip
        assert found.working
        assert all(step.source and step.formula for step in found.working)
