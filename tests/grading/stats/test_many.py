"""Very many ranges at once give the same numbers as one by one."""

from fractions import Fraction

import numpy as np
import pytest

from grading.stats.beta import chance_within, share_interval
from grading.stats.many import chances_within, share_intervals, worked_out
from grading.stats.portion_chance import likely


def counts(size=400):
    chance = np.random.default_rng(10)
    n = chance.integers(1, 4000, size).astype(float)
    return np.minimum(n, np.floor(chance.uniform(-0.1, 1.1, size).clip(0, 1) * n)), n


def test_ranges_are_the_same_as_one_by_one():
    found, n = counts()
    low, high = share_intervals(found, n)
    singly = [share_interval(k, of) for k, of in zip(found, n, strict=True)]
    assert low.tolist() == [one.low for one in singly]
    assert high.tolist() == [one.high for one in singly]


def test_chances_are_the_same_as_one_by_one():
    found, n = counts()
    limits = np.random.default_rng(11).uniform(0, 1, len(n))
    singly = [chance_within(k, of, limit) for k, of, limit in zip(found, n, limits, strict=True)]
    assert chances_within(found, n, limits).tolist() == singly


def test_what_was_worked_out_at_once_is_taken_singly():
    asked = [
        (Fraction(23, 1000), Fraction(500_300, 182), {"No. 1": "2.00", "No. 2": "4.00"}),
        (Fraction(0), Fraction(2500), {"No. 1": "0.50"}),
        (Fraction(1, 3), Fraction(77), {}),
    ]
    once = worked_out(asked)
    assert [once.likely(*one) for one in asked] == [likely(*one) for one in asked]
    assert not worked_out([]).known


@pytest.mark.parametrize(
    ("found", "n", "level"), [([2], [1], 0.95), ([-1], [1], 0.95), ([1], [0], 0.95), ([0], [9], 1)]
)
def test_it_takes_no_counts_that_cannot_be(found, n, level):
    with pytest.raises(ValueError, match=r"Found lies|level"):
        share_intervals(found, n, level)
    with pytest.raises(ValueError, match=r"share"):
        chances_within([1], [2], [1.5])
