"""Shares by weight: Gy's variance against worked rows and simulations with pieces of unequal weight."""

import math

import numpy as np
import pytest
from scipy.stats import binom

from grading.stats.by_weight import Pieces, by_weight, count_limit, equal_pieces, variance
from grading.stats.intervals import wilson_interval


# a, M g, m_d g, m_s g, CV_d, CV_s | SD in points, effective pieces, Wilson's limits in per cent
@pytest.mark.parametrize(
    ("share", "portion_g", "pieces", "sd", "n", "limits"),
    [
        (0.02, 125, Pieces(0.2, 0.2), 0.5600, 625, (1.160, 3.426)),
        (0.02, 500, Pieces(0.2, 0.2, 0.2, 0.2), 0.28555, 2403.85, (1.512, 2.641)),
        (0.02, 500, Pieces(0.1, 0.2, 0.3, 0.15), 0.20851, 4508.2, (1.630, 2.451)),
        (0.005, 1000, Pieces(0.5, 0.2, 0.5, 0.15), 0.17604, 1605.4, None),
    ],
)
def test_it_gives_the_rows_worked_by_hand(*, share, portion_g, pieces, sd, n, limits):
    sure = by_weight(share, portion_g, pieces)
    assert sure.sd * 100 == pytest.approx(sd, abs=6e-5)
    assert sure.interval.n == pytest.approx(n, abs=0.06)
    if limits:
        assert (round(sure.interval.low * 100, 3), round(sure.interval.high * 100, 3)) == limits


@pytest.mark.outside(
    "Whitaker et al. (2001) J. AOAC Int. 84:1941-1946: CV of tests of 500 and 1000 seeds at 1.0 %: 44.5 and 31.5 %"
)
@pytest.mark.parametrize(("seeds", "cv_pct"), [(500, 44.5), (1000, 31.5)])
def test_equal_pieces_give_the_published_variation_of_a_count(seeds, cv_pct):
    sd = math.sqrt(variance(0.01, seeds * 0.2, Pieces(0.2, 0.2)))
    assert 100 * sd / 0.01 == pytest.approx(cv_pct, abs=0.05)


@pytest.mark.outside(
    "USDA GIPSA, Sampling for the Detection of Biotech Grains (October 2000): of a 5 % lot 100 kernels read 1 to 9 %, "
    "790 kernels 3.4 to 6.6 % (about 2 standard deviations)"
)
@pytest.mark.parametrize(("kernels", "low", "high"), [(100, 1, 9), (790, 3.4, 6.6)])
def test_two_standard_deviations_are_the_published_spread_of_samples(kernels, low, high):
    twice = 200 * math.sqrt(variance(0.05, kernels * 0.3, Pieces(0.3, 0.3)))
    assert (5 - twice, 5 + twice) == (pytest.approx(low, abs=0.4), pytest.approx(high, abs=0.4))


@pytest.mark.outside(
    "ITRC, Incremental Sampling Methodology ISM-1 (2012): Gy's M = C d³/s², C = 22.5, d = 0.2 cm, s = 15 % -> 8.0 g"
)
def test_the_mass_for_a_wanted_error_grows_as_gy_says():
    wanted_relative = 0.15
    a, piece_g = 0.01, 22.5 * 0.2**3 / (0.99 / 0.01)  # Gy's C d³ is (1-a)/a × the weight of a piece, all of one kind
    mass = 8.0
    assert math.sqrt(variance(a, mass, Pieces(piece_g, piece_g))) / a == pytest.approx(wanted_relative, rel=1e-9)


def portions(share, portion_g, pieces, draws, seed):
    """Draw portions: pieces of either kind arrive by chance, each with a weight of its own (gamma)."""
    chance = np.random.default_rng(seed)

    def heap(kind_share, mean, cv):
        count = chance.poisson(kind_share * portion_g / mean, draws)
        return mean * count if cv == 0 else chance.gamma(np.maximum(count, 1e-12) / cv**2, mean * cv**2)

    defects = heap(share, pieces.defect_g, pieces.defect_cv)
    return defects / (defects + heap(1 - share, pieces.sound_g, pieces.sound_cv))


UNEQUAL = [
    (0.02, 500, Pieces(0.1, 0.2, 0.3, 0.15)),
    (0.05, 250, Pieces(0.3, 0.2, 0.4, 0.15)),
    (0.01, 500, Pieces(0.2, 0.2, 0.2, 0.2)),
]


@pytest.mark.parametrize(("share", "portion_g", "pieces"), UNEQUAL)
def test_the_standard_deviation_is_that_of_drawn_portions(share, portion_g, pieces):
    drawn = portions(share, portion_g, pieces, 20_000, 1)
    assert drawn.std() == pytest.approx(math.sqrt(variance(share, portion_g, pieces)), rel=0.02)
    assert drawn.mean() == pytest.approx(share, rel=0.01)


@pytest.mark.parametrize(("share", "portion_g", "pieces"), UNEQUAL)
def test_the_range_by_weight_holds_the_true_share_95_times_in_100(share, portion_g, pieces):
    drawn = portions(share, portion_g, pieces, 4_000, 2)
    ranges = [by_weight(float(found), portion_g, pieces).interval for found in drawn]
    held = np.mean([one.low <= share <= one.high for one in ranges])
    # 4 standard errors of the simulation, and one point because Wilson is near its level only on average.
    assert held == pytest.approx(0.95, abs=0.01 + 4 * math.sqrt(0.95 * 0.05 / 4_000))


def test_a_range_that_took_heavy_pieces_for_seeds_would_not_hold_it():
    share, portion_g, pieces = 0.01, 500, Pieces(2.0, 0.2)
    drawn = portions(share, portion_g, pieces, 2_000, 3)
    as_seeds = [wilson_interval(float(found) * 2500, 2500) for found in drawn]
    assert np.mean([one.low <= share <= one.high for one in as_seeds]) < 0.6


def test_equal_weights_without_spread_are_a_count():
    sure = by_weight(0.02, 125, Pieces(0.2, 0.2))
    count = wilson_interval(12.5, 625)
    assert (sure.interval.low, sure.interval.high) == (pytest.approx(count.low), pytest.approx(count.high))


def test_nothing_found_is_a_limit_by_count_and_no_nought_either_way():
    sure = by_weight(0, 500, Pieces(0.1, 0.2))
    # 3 in 2,500 pieces at most (rule of three), each half as heavy as a bean.
    assert (sure.interval.low, sure.sd) == (0, None)
    assert sure.interval.high == pytest.approx(3 / 2500 / 2, rel=0.01)


@pytest.mark.outside("Garwood (1936) Biometrika 28:437-442: exact one-sided 95 % upper limits of a count (from memory)")
@pytest.mark.parametrize(
    ("pieces", "upper"), [(0, 2.996), (1, 4.744), (2, 6.296), (3, 7.754), (5, 10.513), (10, 16.962)]
)
def test_stones_get_a_count_and_its_upper_limit(pieces, upper):
    limit = count_limit(pieces, 500, 0.4)
    assert limit.upper_pieces == pytest.approx(upper, abs=6e-4)
    assert limit.upper_share == pytest.approx(limit.upper_pieces * 0.4 / 500)


@pytest.mark.outside("Binomial tails of scipy.stats.binom: a stone lies in the first or the second portion alike")
@pytest.mark.parametrize(("pieces", "second"), [(0, 4), (1, 6), (2, 8), (5, 12), (100, 125)])
def test_a_second_portion_may_show_more_than_the_mean_allows(pieces, second):
    limit = count_limit(pieces, 500, None)
    assert limit.next_pieces == second > limit.upper_pieces
    assert binom.cdf(pieces, pieces + second, 0.5) > 0.05 >= binom.cdf(pieces, pieces + second + 1, 0.5)


def test_stones_that_were_never_weighed_get_pieces_alone():
    assert count_limit(0, 500, None).upper_share is None


@pytest.mark.parametrize(
    "bad",
    [
        lambda: by_weight(-0.1, 500, Pieces(0.2, 0.2)),
        lambda: by_weight(1.1, 500, Pieces(0.2, 0.2)),
        lambda: by_weight(0.1, 0, Pieces(0.2, 0.2)),
        lambda: by_weight(float("nan"), 500, Pieces(0.2, 0.2)),
        lambda: equal_pieces(0.1, 500, Pieces(0, 0.2)),
        lambda: equal_pieces(0.1, 500, Pieces(0.2, 0.2, -1)),
        lambda: by_weight(0.1, 500, Pieces(0.2, 0.2), 1.5),
        lambda: count_limit(-1, 500, 0.4),
        lambda: count_limit(1, 0, 0.4),
        lambda: count_limit(1, 500, 0.0),
        lambda: count_limit(1, 500, 0.4, 1),
    ],
)
def test_it_takes_no_weights_that_cannot_be(bad):
    with pytest.raises(ValueError, match=r"cannot be|weighs more|confidence|level"):
        bad()
