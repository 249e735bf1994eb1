"""Tests on pools of seeds."""

import numpy as np
import pytest
from scipy import stats

from grading.stats.pools import pooled_share, pools_accept


@pytest.mark.outside(
    "Remund et al. (2001) Seed Sci. Res. 11:101-119, p = 1 - (1 - d/k)^(1/m); Clopper-Pearson limits of d/k with scipy"
)
@pytest.mark.parametrize(
    ("positive", "pools", "seeds", "estimate", "low", "high"),
    [
        (1, 10, 300, 0.0351, 0.0008, 0.1961),
        (2, 10, 300, 0.0744, 0.0085, 0.2703),
        (2, 3, 100, 1.0926, 0.0990, 4.6667),
        (2, 3, 1000, 0.1098, 0.0099, 0.4768),
        (5, 20, 100, 0.2873, 0.0905, 0.6731),
        (3, 8, 400, 0.1174, 0.0223, 0.3511),
    ],
)
def test_it_turns_pools_into_single_seeds(*, positive, pools, seeds, estimate, low, high):
    share = pooled_share(positive, pools, seeds)
    assert [round(100 * each, 4) for each in (share.estimate, share.low, share.high)] == [estimate, low, high]


def test_two_of_three_pools_of_300():
    assert round(100 * pooled_share(2, 3, 300).estimate, 4) == 0.3655


@pytest.mark.outside("Reference library: scipy.stats.binom.cdf of the pools")
@pytest.mark.parametrize(
    ("pools", "seeds", "most", "pct", "chance"),
    [
        *((3, 1000, 2, 0.05, 0.9390), (3, 1000, 2, 0.1, 0.7472), (3, 1000, 2, 0.2, 0.3529), (3, 1000, 2, 0.5, 0.0198)),
        *((10, 300, 0, 0.05, 0.2230), (10, 300, 0, 0.1, 0.0497), (10, 300, 0, 0.2, 0.0025), (10, 300, 0, 0.5, 0.0)),
    ],
)
def test_pools_accept_as_often_as_the_binomial_says(pools, seeds, most, pct, chance):
    ours = pools_accept(pct / 100, pools, seeds, most)
    assert round(ours, 4) == chance
    assert ours == pytest.approx(stats.binom.cdf(most, pools, 1 - (1 - pct / 100) ** seeds), abs=1e-12)


def test_all_pools_positive_leave_only_a_lower_limit():
    share = pooled_share(3, 3, 100)
    assert (share.estimate, share.high) == (1, 1)
    assert 0 < share.low < 0.02


def test_the_range_holds_the_true_share():
    chance, pools, seeds, share = np.random.default_rng(5), 12, 200, 0.003
    positive = chance.binomial(pools, 1 - (1 - share) ** seeds, 4_000)
    ranges = {int(d): pooled_share(int(d), pools, seeds) for d in np.unique(positive)}
    assert np.mean([ranges[int(d)].low <= share <= ranges[int(d)].high for d in positive]) >= 0.95


def test_a_pool_holds_a_seed():
    with pytest.raises(ValueError, match="pool"):
        pooled_share(1, 3, 0)
    with pytest.raises(ValueError, match="Found lies"):
        pooled_share(4, 3, 10)
