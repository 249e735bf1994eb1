"""What a portion tells of a limit, and how much more would tell."""

import numpy as np
import pytest
from scipy import stats

from grading.stats.beta import chance_at_least, chance_within
from grading.stats.more import pieces_to_be_sure, told_already
from grading.stats.verdict import against_limit


@pytest.mark.outside("Recomputed with scipy 1.17.1: beta.sf(T, x+.5, n-x+.5); binom.cdf(x, n, T); binom.sf(x-1, n, T)")
@pytest.mark.parametrize(
    ("found", "n", "limit", "beyond", "as_few", "as_many", "word"),
    [
        (3, 100, 0.05, 0.1814, 0.2578, 0.8817, "sample cannot tell"),
        (2, 100, 0.02, 0.5480, 0.6767, 0.5967, "sample cannot tell"),
        (0, 60, 0.05, 0.0129, 0.0461, 1, "meets"),
        (7, 125, 0.025, 0.9769, 0.9864, 0.0382, "fails"),
        (7, 125, 0.05, 0.6419, 0.7117, 0.4348, "sample cannot tell"),
        (10, 500, 0.04, 0.0066, 0.0097, 0.9956, "meets"),
        (1, 300, 0.01, 0.1104, 0.1976, 0.9510, "sample cannot tell"),
    ],
)
def test_it_says_what_a_count_says_about_a_limit(*, found, n, limit, beyond, as_few, as_many, word):
    said = against_limit(found, n, limit)
    assert (round(said.chance_beyond, 4), said.word) == (beyond, word)
    assert (round(stats.binom.cdf(found, n, limit), 4), round(stats.binom.sf(found - 1, n, limit), 4)) == (
        as_few,
        as_many,
    )


def test_the_rules_own_reading_stands_beside_the_word():
    assert against_limit(2, 100, 0.02).reads_within
    assert not against_limit(7, 125, 0.05).reads_within


@pytest.mark.parametrize(
    ("found", "n", "limit", "sure"), [(49.2, 2577, 0.02, 0.95), (60, 2500, 0.02, 0.95), (0, 20, 0.02, 0.9)]
)
def test_with_so_many_pieces_it_is_just_sure(found, n, limit, sure):
    more = pieces_to_be_sure(found, n, limit, sure)
    tail = chance_within if more.within else chance_at_least
    share = found / n
    assert more.chance_now < sure <= tail(share * more.pieces, more.pieces, limit)
    assert tail(share * (more.pieces - 1), more.pieces - 1, limit) < sure
    assert more.pieces == int(more.pieces)


@pytest.mark.outside("scipy.stats.beta.cdf: 20,365 pieces reach 0.9499994, 20,366 are the first that reach 0.95")
def test_the_least_number_is_the_first_that_reaches_the_chance():
    n = 500 * 100 / 19.4
    share = 9.2 / 500
    more = pieces_to_be_sure(share * n, n, 0.02, 0.95)
    reached = [stats.beta.cdf(0.02, share * at + 0.5, at - share * at + 0.5) for at in (more.pieces - 1, more.pieces)]
    assert reached[0] < 0.95 <= reached[1]


def test_what_tells_already_needs_no_more_and_what_reads_at_the_limit_never_tells():
    assert pieces_to_be_sure(10, 2500, 0.02).pieces == 2500
    assert pieces_to_be_sure(50, 2500, 0.02).pieces is None
    with pytest.raises(ValueError, match="certainty"):
        pieces_to_be_sure(1, 10, 0.5, 1)


def test_it_says_of_each_limit_whether_it_is_told_already():
    assert told_already(50, 1250, {"No. 1": 0.02, "No. 2": 0.04, "No. 3": 0.06}) == {
        "No. 1": "beyond",
        "No. 2": "",
        "No. 3": "within",
    }


def test_looking_after_every_dish_wrongly_says_beyond_about_5_times_in_100():
    chance, portions, dishes = np.random.default_rng(6), 10_000, 10
    found = chance.binomial(250, 0.02, (portions, dishes)).cumsum(axis=1)
    of = 250 * np.arange(1, dishes + 1)
    beyond = stats.beta.sf(0.02, found + 0.5, of - found + 0.5) >= 0.99
    assert 0.04 < beyond.any(axis=1).mean() < 0.06
