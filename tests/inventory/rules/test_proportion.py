"""Likely ranges of counted shares."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest

from inventory.rules.proportion import wilson


@pytest.mark.outside("Newcombe (1998) Stat. Med. 17:857-872, table I, method 3; four decimals printed")
@pytest.mark.parametrize(
    ("found", "n", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_the_range_is_that_of_newcombes_table(found, n, low, high):
    range_ = wilson(found, n)
    assert (round(range_.low, 4), round(range_.high, 4)) == (low, high)


@pytest.mark.outside("scipy.stats.binomtest, Wilson interval")
@given(
    st.integers(1, 2000).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))), st.sampled_from([0.8, 0.95, 0.99])
)
def test_it_agrees_with_scipy(count, confidence):
    found, n = count
    theirs = binomtest(found, n).proportion_ci(confidence, method="wilson")
    ours = wilson(found, n, confidence=confidence)
    # Both are double arithmetic on the same closed form, differently ordered.
    assert (ours.low, ours.high) == pytest.approx((theirs.low, theirs.high), abs=1e-12)


@given(st.integers(1, 500).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_the_range_holds_the_estimate_and_mirrors(count):
    found, n = count
    ours, mirror = wilson(found, n), wilson(n - found, n)
    assert 0 <= ours.low <= ours.estimate <= ours.high <= 1
    assert ours.low == pytest.approx(1 - mirror.high, abs=1e-12)


@pytest.mark.parametrize(("found", "n"), [(-1, 5), (6, 5), (0, 0)])
def test_what_is_no_count_is_refused(found, n):
    with pytest.raises(ValueError, match="counted share"):
        wilson(found, n)
