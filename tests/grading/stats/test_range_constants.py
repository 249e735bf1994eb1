"""Factors of ranges against a printed table, and against the law of the range."""

from math import pi, sqrt

import numpy as np
import pytest

from grading.stats.range_constants import a2, d2, d2_of_one_range, d3, lower_range, upper_range

TABLE = "Factors for constructing control charts, table of a statistics text (table A.22), read"
# n, A2, d2, d3, D3, D4 as printed.
PRINTED = """
2 1.880 1.128 0.853 0 3.267
3 1.023 1.693 0.888 0 2.574
4 0.729 2.059 0.880 0 2.282
5 0.577 2.326 0.864 0 2.114
6 0.483 2.534 0.848 0 2.004
7 0.419 2.704 0.833 0.076 1.924
8 0.373 2.847 0.820 0.136 1.864
9 0.337 2.970 0.808 0.184 1.816
10 0.308 3.078 0.797 0.223 1.777
11 0.285 3.173 0.787 0.256 1.744
12 0.266 3.258 0.778 0.283 1.717
13 0.249 3.336 0.770 0.307 1.693
14 0.235 3.407 0.763 0.328 1.672
15 0.223 3.472 0.756 0.347 1.653
16 0.212 3.532 0.750 0.363 1.637
17 0.203 3.588 0.744 0.378 1.622
18 0.194 3.640 0.739 0.391 1.608
19 0.187 3.689 0.734 0.403 1.597
20 0.180 3.735 0.729 0.415 1.585
"""
ROWS = [tuple(float(word) for word in line.split()) for line in PRINTED.strip().splitlines()]


@pytest.mark.outside(TABLE)
@pytest.mark.parametrize(("n", "wanted"), [(int(row[0]), row[2]) for row in ROWS])
def test_it_gives_the_printed_mean_range(n, wanted):
    assert d2(n) == pytest.approx(wanted, abs=5.1e-4)


@pytest.mark.outside(TABLE)
@pytest.mark.parametrize(("n", "row"), [(int(row[0]), row) for row in ROWS])
def test_it_gives_the_printed_factors_of_the_charts(n, row):
    # The table works from rounded d2 and d3, so its third decimal may be one off.
    found = (a2(n), d3(n), lower_range(n), upper_range(n))
    assert found == pytest.approx((row[1], row[3], row[4], row[5]), abs=1.6e-3)


@pytest.mark.outside("Gauge study form, constants read: K1 of 3 trials .5908")
def test_it_gives_k1_of_three_trials():
    assert round(1 / d2(3), 4) == 0.5908


@pytest.mark.outside("Gauge study form, constants read: K2 of 3 people .5231, K3 of 10 parts .3146")
@pytest.mark.parametrize(("n", "wanted"), [(3, 0.5231), (10, 0.3146)])
def test_it_gives_the_factors_of_one_single_range(n, wanted):
    assert round(1 / d2_of_one_range(n), 4) == wanted


@pytest.mark.outside("AIAG, Measurement Systems Analysis: K1 and K2 of 2: .8862, .7071 (from memory)")
def test_it_gives_the_factors_of_two():
    assert (round(1 / d2(2), 4), round(1 / d2_of_one_range(2), 4)) == (0.8862, 0.7071)


@pytest.mark.outside("AIAG, Measurement Systems Analysis: K3 of 2 to 9 parts (from memory)")
@pytest.mark.parametrize(
    ("n", "wanted"),
    [(2, 0.7071), (3, 0.5231), (4, 0.4467), (5, 0.4030), (6, 0.3742), (7, 0.3534), (8, 0.3375), (9, 0.3249)],
)
def test_it_gives_the_factors_of_parts(n, wanted):
    assert round(1 / d2_of_one_range(n), 4) == wanted


@pytest.mark.outside("Closed forms of the range of two and of three normal readings: 2/sqrt(pi), 3/sqrt(pi)")
def test_it_gives_the_closed_forms():
    assert d2(2) == pytest.approx(2 / sqrt(pi), abs=1e-9)
    assert d2(3) == pytest.approx(3 / sqrt(pi), abs=1e-9)
    assert d3(2) == pytest.approx(sqrt(2 - 4 / pi), abs=1e-6)


def test_simulated_ranges_have_the_same_mean_and_spread():
    drawn = np.random.default_rng(3).normal(size=(200_000, 6))
    ranges = drawn.max(axis=1) - drawn.min(axis=1)
    assert ranges.mean() == pytest.approx(d2(6), abs=0.006)  # 3 Monte Carlo errors
    assert ranges.std() == pytest.approx(d3(6), abs=0.006)


@pytest.mark.parametrize("n", [0, 1, 101])
def test_a_range_takes_two_readings_or_more(n):
    with pytest.raises(ValueError, match="2 to 100"):
        d2(n)
