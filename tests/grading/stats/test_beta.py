"""Likely ranges and chances against published intervals and scipy.stats."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from grading.stats.beta import METHOD, chance_at_least, chance_text, chance_texts, chance_within, share_interval

# Cases of Newcombe, Stat. Med. 17 (1998) 857-872, Table I, and further ones; the Jeffreys limits were recomputed with
# scipy 1.17.1: beta.ppf([0.025, 0.975], x + 0.5, n - x + 0.5), 0 at x = 0 and 1 at x = n.
JEFFREYS = """
81 263 .2545 .3656
15 148 .0604 .1576
0 20 0 .1166
1 29 .0037 .1501
0 10 0 .2172
29 30 .8546 .9964
3 100 .0085 .0779
7 125 .0254 .1068
0 300 0 .0083
2 1000 .0004 .0064
"""
# Brown, Cai, DasGupta, Statist. Sci. 16 (2001) 101-133, table of Jeffreys limits, n = 7, 10, 30 (from memory, agreeing
# to 0.001 with scipy.stats.beta).
BROWN = """
0 7 0 .292
1 7 .016 .501
2 7 .065 .648
3 7 .139 .765
4 7 .235 .861
0 10 0 .217
1 10 .011 .381
2 10 .044 .503
0 30 0 .080
1 30 .004 .145
2 30 .014 .197
"""


SHARES = st.floats(0.0005, 0.9995)


def rows(text):
    return [tuple(float(word) for word in line.split()) for line in text.split("\n") if line]


@pytest.mark.outside(
    "Newcombe (1998) Statist. Med. 17:857-872, Table I, cases (from memory); Jeffreys limits recomputed with "
    "statsmodels"
)
@pytest.mark.parametrize(("x", "n", "low", "high"), rows(JEFFREYS))
def test_it_gives_the_jeffreys_limits_of_the_published_cases(x, n, low, high):
    interval = share_interval(x, n)
    assert (round(interval.low, 4), round(interval.high, 4)) == (low, high)


@pytest.mark.outside(
    "Brown, Cai, DasGupta (2001) Statist. Sci. 16:101-133, table of Jeffreys limits (from memory, recomputed "
    "with scipy)"
)
@pytest.mark.parametrize(("x", "n", "low", "high"), rows(BROWN))
def test_it_gives_the_table_of_brown_cai_and_dasgupta(x, n, low, high):
    interval = share_interval(x, n)
    # The table prints three decimals; a unit in the last of them is its own rounding.
    assert interval.low == pytest.approx(low, abs=1e-3)
    assert interval.high == pytest.approx(high, abs=1e-3)


@pytest.mark.outside("Recomputed with scipy 1.17.1: beta.sf(T, x + .5, n - x + .5)")
@pytest.mark.parametrize(
    ("x", "n", "limit", "beyond"), [(3, 100, 0.05, 0.1814), (2, 100, 0.02, 0.5480), (0, 60, 0.05, 0.0129)]
)
def test_it_gives_the_chance_of_being_beyond_a_tolerance(x, n, limit, beyond):
    assert round(chance_at_least(x, n, limit), 4) == beyond
    assert chance_within(x, n, limit) == pytest.approx(1 - chance_at_least(x, n, limit), abs=1e-12)


@pytest.mark.outside(
    "Reference library: scipy.stats.beta, another road to the same function (interior pieces, unrounded)"
)
@given(
    st.floats(1, 5000), st.floats(0.0005, 0.9995), st.floats(0.0005, 0.9995), st.sampled_from([0.5, 0.9, 0.95, 0.99])
)
def test_it_agrees_with_scipy_stats_for_any_pieces(n, share, limit, level):
    found = n * share
    law = stats.beta(found + 0.5, n - found + 0.5)
    interval = share_interval(found, n, level)
    # Two implementations of the incomplete beta function differ by rounding in the last digits only.
    assert interval.low == pytest.approx(law.ppf((1 - level) / 2), rel=1e-6, abs=1e-12)
    assert interval.high == pytest.approx(law.ppf((1 + level) / 2), rel=1e-6, abs=1e-12)
    assert chance_within(found, n, limit) == pytest.approx(law.cdf(limit), rel=1e-6, abs=1e-12)
    assert chance_at_least(found, n, limit) == pytest.approx(law.sf(limit), rel=1e-6, abs=1e-12)


def test_a_result_carries_estimate_interval_n_and_method():
    interval = share_interval(9.2, 500.0)
    assert interval.low < interval.estimate == 9.2 / 500.0 < interval.high
    assert (interval.n, interval.level, interval.method) == (500.0, 0.95, METHOD)


@pytest.mark.parametrize(
    ("chance", "text"),
    [
        (0, "<1 %"),
        (0.0099, "<1 %"),
        (0.01, "1 %"),
        (0.0973, "10 %"),
        (0.125, "13 %"),
        (0.98973, "99 %"),
        (0.99, "99 %"),
        (0.9901, ">99 %"),
        (1, ">99 %"),
    ],
)
def test_it_words_a_chance_no_surer_than_one_portion_can_be(chance, text):
    assert chance_text(chance) == text


@pytest.mark.parametrize(
    ("chances", "texts"),
    [
        ([0.505, 0.495], ["51 %", "49 %"]),
        ([0.335, 0.335, 0.33], ["34 %", "33 %", "33 %"]),  # each by itself they would make 101
        ([0.125, 0.125, 0.125, 0.625], ["13 %", "13 %", "12 %", "62 %"]),  # 102
        ([0.9951, 0.0049], [">99 %", "<1 %"]),
        ([0.71, 0.286, 0.004], ["71 %", "29 %", "<1 %"]),
        ([], []),
    ],
)
def test_chances_of_which_one_comes_true_never_make_more_than_a_hundred(chances, texts):
    assert chance_texts(chances) == texts


@pytest.mark.parametrize(("found", "n"), [(1, 0), (-1, 10), (11, 10), (float("nan"), 10), (1, float("inf"))])
def test_it_takes_no_more_found_than_looked_at(found, n):
    with pytest.raises(ValueError, match="Found lies between"):
        share_interval(found, n)


def test_it_takes_no_level_or_limit_outside_nought_to_one():
    with pytest.raises(ValueError, match="level"):
        share_interval(1, 10, 1.0)
    with pytest.raises(ValueError, match="share"):
        chance_within(1, 10, 1.1)
    with pytest.raises(ValueError, match="share"):
        chance_text(float("nan"))


def test_nothing_found_may_mean_nothing_there_and_all_found_may_mean_all():
    assert share_interval(0, 20).low == 0
    assert share_interval(20, 20).high == 1
