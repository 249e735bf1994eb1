"""Means and spreads of a size curve against worked and second computations."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from grading.stats.size_shape import arithmetic_size, geometric_size, log_between

EDGES = [n / 64 * 25.4 for n in (34, 32, 30, 28, 26, 24, 22, 20, 18)]
GRAMS = [20, 95, 210, 110, 40, 18, 5, 2]
MIDDLES = [(wide + narrow) / 2 for wide, narrow in pairwise(EDGES)]


def test_the_worked_stack_has_its_geometric_mean_and_deviation():
    found = geometric_size(EDGES, GRAMS)
    assert found.mean_mm == pytest.approx(11.24035, abs=5e-6)
    assert (found.s_log, found.s_ln) == (pytest.approx(0.0378147, abs=5e-8), pytest.approx(0.0870716, abs=5e-8))
    assert (found.ratio, found.s_mm) == (pytest.approx(1.090975, abs=5e-7), pytest.approx(0.979952, abs=5e-7))
    assert found.n == 8


def test_the_worked_stack_has_its_mean_and_cv():
    found = arithmetic_size(MIDDLES, GRAMS)
    assert found.mean_mm == pytest.approx(11.28871, abs=5e-6)
    assert (found.sd_mm, found.cv_pct) == (pytest.approx(0.938075, abs=5e-7), pytest.approx(8.30985, abs=5e-6))


@pytest.mark.outside(
    "A mesh-size test page's arithmetic mean: sieves 12, 16, 20, 30 and pan, 2.03, 1.44, 1.02, 0.72, 0 mm, 1.5, 25.1, "
    "50.2, 22.5, 1.1 g: 106.5 / 100.4 = 1.061 mm, 1.0617 unrounded"
)
def test_a_mean_by_openings_counts_the_pan_in_its_divisor():
    found = arithmetic_size([2.03, 1.44, 1.02, 0.72, 0.0], [1.5, 25.1, 50.2, 22.5, 1.1])
    assert found.mean_mm == pytest.approx(1.0617, abs=5e-5)


CURVES = {
    "worked": GRAMS, "one class": [0, 0, 5, 0, 0, 0, 0, 0], "flat": [1] * 8, "two heaps": [50, 1, 0, 0, 0, 0, 1, 50],
}  # fmt: skip


@pytest.mark.outside("numpy.average with weights, for mean and population variance")
@pytest.mark.parametrize("name", CURVES)
def test_mean_and_deviation_agree_with_numpy(name):
    weights = CURVES[name]
    mean = np.average(MIDDLES, weights=weights)
    sd = math.sqrt(np.average((np.array(MIDDLES) - mean) ** 2, weights=weights))
    found = arithmetic_size(MIDDLES, weights)
    assert (found.mean_mm, found.sd_mm) == (pytest.approx(mean, rel=1e-12), pytest.approx(sd, rel=1e-12, abs=1e-12))


@pytest.mark.outside("numpy.average of log10 of the classes' geometric middles, with weights")
@pytest.mark.parametrize("name", CURVES)
def test_geometric_mean_and_deviation_agree_with_numpy(name):
    weights, logs = CURVES[name], np.log10(np.sqrt(np.array(EDGES[:-1]) * np.array(EDGES[1:])))
    mean = np.average(logs, weights=weights)
    found = geometric_size(EDGES, weights)
    assert found.mean_mm == pytest.approx(10**mean, rel=1e-12)
    assert found.s_log == pytest.approx(math.sqrt(np.average((logs - mean) ** 2, weights=weights)), rel=1e-9, abs=1e-12)


@pytest.mark.parametrize(
    ("below", "above", "share", "mm"),
    [(9.525, 10.31875, 5 / 8, 10.01362), (11.1125, 11.90625, 15 / 42, 11.38972),
     (11.1125, 11.90625, 25 / 42, 11.57836), (11.90625, 12.7, 13 / 19, 12.44379)],
)  # fmt: skip
def test_sizes_by_the_logarithm_are_those_worked_by_hand(below, above, share, mm):
    assert log_between(below, above, share) == pytest.approx(mm, abs=5e-6)


@given(st.floats(0.1, 10), st.integers(0, 7))
def test_sizes_scale_and_spreads_do_not(factor, _seed):
    usual, scaled = geometric_size(EDGES, GRAMS), geometric_size([factor * edge for edge in EDGES], GRAMS)
    assert scaled.mean_mm == pytest.approx(factor * usual.mean_mm, rel=1e-9)
    assert scaled.ratio == pytest.approx(usual.ratio, rel=1e-9)
    assert arithmetic_size(MIDDLES, [factor * g for g in GRAMS]).cv_pct == pytest.approx(
        arithmetic_size(MIDDLES, GRAMS).cv_pct, rel=1e-9
    )


@pytest.mark.parametrize(
    ("edges", "weights"),
    [([3.0, 2.0], [0.0]), ([3.0, 2.0], [-1.0]), ([3.0, 0.0], [1.0]), ([3.0], [1.0]), ([3.0, math.nan], [1.0])],
)
def test_what_is_no_curve_is_refused(edges, weights):
    with pytest.raises(ValueError, match="curve"):
        geometric_size(edges, weights)
