"""Two size curves compared: the distance, its chance, and how often it cries wolf."""

import numpy as np
import pytest
from scipy import stats

from grading.stats.curve_distance import curve_difference, curve_distance

ONE, OTHER = [0.004, 0.051, 0.386, 0.423, 0.119, 0.017], [0.032, 0.274, 0.485, 0.170, 0.034, 0.005]


def test_the_distance_is_the_largest_difference_of_the_cumulative_curves():
    found, at = curve_difference(ONE, OTHER)
    assert (found, at) == (pytest.approx(0.350), 2)


def test_two_lots_of_different_lines_lie_far_apart_and_a_lot_lies_on_itself():
    assert curve_distance(ONE, OTHER, (500, 500)).chance == pytest.approx(1 / 10_000)
    assert curve_distance(ONE, ONE, (500, 500)).chance == 1


def test_few_seeds_cannot_tell_what_many_can():
    near = [0.01, 0.06, 0.40, 0.41, 0.105, 0.015]
    few, many = curve_distance(ONE, near, (40, 40)), curve_distance(ONE, near, (20_000, 20_000))
    assert few.chance > 0.5
    assert many.chance < 0.01


@pytest.mark.outside(
    "scipy.stats.ks_2samp, exact, on seeds that all differ in size: with many classes ours is the same"
)
@pytest.mark.parametrize("shift", [0.0, 0.15, 0.3, 0.5])
def test_with_many_classes_the_chance_is_that_of_the_two_sample_test(shift):
    generator = np.random.default_rng(7)
    first, second = generator.normal(0, 1, 80), generator.normal(shift, 1, 60)
    edges = np.sort(np.concatenate([first, second]))
    counts = [
        np.histogram(sizes, bins=[-np.inf, *(edges[:-1] + edges[1:]) / 2, np.inf])[0] for sizes in (first, second)
    ]
    ours = curve_distance(list(counts[0] / 80), list(counts[1] / 60), (80, 60))
    known = stats.ks_2samp(first, second, method="exact")
    assert ours.estimate == pytest.approx(known.statistic, abs=1e-12)
    assert ours.chance == pytest.approx(known.pvalue, abs=0.05)  # drawing with repeats ties sizes, which none did


def test_it_does_not_call_portions_of_one_lot_different_more_often_than_it_says():
    generator, n, times = np.random.default_rng(11), 300, 400
    drawn = generator.multinomial(n, ONE, size=(times, 2)) / n
    alarms = sum(curve_distance(list(a), list(b), (n, n), draws=499).chance <= 0.05 for a, b in drawn)
    assert alarms / times <= 0.05 + 2.6 * (0.05 * 0.95 / times) ** 0.5


@pytest.mark.parametrize(
    ("first", "second", "n"),
    [([0.5, 0.4], [0.5, 0.5], (9, 9)), ([0.5, 0.5], [0.5, 0.5], (0, 9)), ([1.0], [1.0], (9, 9)),
     ([0.5, 0.5], [0.2, 0.3, 0.5], (9, 9))],
)  # fmt: skip
def test_what_is_no_pair_of_curves_is_refused(first, second, n):
    with pytest.raises(ValueError, match="curve"):
        curve_distance(first, second, n)
