"""Sampling plans: operating characteristics in print, and the smallest plan for two risks."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from grading.stats.plans import (
    NoPlanError,
    acceptance_chance,
    plan_for_risks,
    share_accepted,
    share_accepted_by_poisson,
)

NIST = {
    *((0.01, 0.998), (0.02, 0.980), (0.03, 0.930), (0.04, 0.845), (0.05, 0.739), (0.06, 0.620), (0.07, 0.502)),
    *((0.08, 0.394), (0.09, 0.300), (0.10, 0.223), (0.11, 0.162), (0.12, 0.115)),
}
MONTGOMERY = (
    *((0.005, 0.9897), (0.01, 0.9397), (0.02, 0.7366), (0.03, 0.4985), (0.04, 0.3042), (0.05, 0.1721)),
    *((0.06, 0.0919), (0.07, 0.0468), (0.08, 0.0230), (0.09, 0.0109)),
)
LETTER_K = (
    *((0.01, 1.0), (0.015, 0.9994), (0.02, 0.9962), (0.025, 0.9864), (0.03, 0.9648), (0.04, 0.8709)),
    *((0.05, 0.7117), (0.065, 0.4304), (0.08, 0.2090), (0.10, 0.0601)),
)


@pytest.mark.outside("NIST/SEMATECH e-Handbook of Statistical Methods, 6.2.3.2, plan n = 52, c = 3 (from memory)")
@pytest.mark.parametrize(("share", "chance"), sorted(NIST))
def test_it_gives_the_handbooks_characteristic(share, chance):
    # The handbook's own 4 and 5 % are a unit off the exact binomial in the third decimal.
    assert acceptance_chance(52, 3, share) == pytest.approx(chance, abs=0.0015)


@pytest.mark.outside(
    "Montgomery, Introduction to Statistical Quality Control, 15.2, n = 89, c = 2 (numbers from memory)"
)
@pytest.mark.parametrize(("share", "chance"), MONTGOMERY)
def test_it_gives_the_textbooks_characteristic(share, chance):
    assert acceptance_chance(89, 2, share) == pytest.approx(chance, abs=5.1e-5)


@pytest.mark.outside(
    "ISO 2859-1, code letter K, AQL 2.5, n = 125, c = 7 (plan from memory); chances with scipy binom.cdf"
)
@pytest.mark.parametrize(("share", "chance"), LETTER_K)
def test_it_gives_the_characteristic_of_letter_k(share, chance):
    assert acceptance_chance(125, 7, share) == pytest.approx(chance, abs=5.1e-5)


@pytest.mark.outside("n = 125, c = 7: share at a chance of acceptance, with scipy beta.ppf and chi2.ppf(1-Pa, 16)/2n")
@pytest.mark.parametrize(
    ("chance", "binomial", "poisson"),
    [
        *((0.99, 2.364, 2.325), (0.95, 3.224, 3.185), (0.90, 3.761, 3.725), (0.75, 4.785, 4.765)),
        *((0.50, 6.119, 6.135), (0.25, 7.664, 7.748), (0.10, 9.237, 9.417), (0.05, 10.261, 10.518)),
        (0.01, 12.344, 12.800),
    ],
)
def test_it_gives_the_share_at_a_chance_by_either_law(chance, binomial, poisson):
    assert round(100 * share_accepted(125, 7, chance), 3) == binomial
    assert round(100 * share_accepted_by_poisson(125, 7, chance), 3) == poisson


@pytest.mark.outside("ISO 2859-1, level II, normal, AQL 2.5 (letters and c from memory); chances with scipy")
@pytest.mark.parametrize(
    ("n", "c", "at_aql", "at_10"),
    [
        *((20, 1, 0.9118, 18.10), (32, 2, 0.9548, 15.79), (50, 3, 0.9638, 12.88), (80, 5, 0.9848, 11.28)),
        *((125, 7, 0.9864, 9.24), (200, 10, 0.9874, 7.60), (315, 14, 0.9859, 6.33), (500, 21, 0.9914, 5.60)),
    ],
)
def test_it_gives_the_chances_of_the_lettered_plans(n, c, at_aql, at_10):
    assert round(acceptance_chance(n, c, 0.025), 4) == at_aql
    assert round(100 * share_accepted(n, c, 0.10), 2) == at_10


@pytest.mark.outside("7 CFR 43.106, master table, single plans at AQL 2.5 (n=84, Ac 4 also in 7 CFR 42.109); scipy")
@pytest.mark.parametrize(
    ("n", "c", "chances"),
    [
        (29, 2, (0.9648, 0.8249, 0.4350)),
        (48, 3, (0.9682, 0.7820, 0.2799)),
        (84, 4, (0.9403, 0.5889, 0.0685)),
        (126, 6, (0.9604, 0.5570, 0.0266)),
        (200, 9, (0.9700, 0.4547, 0.0035)),
        (315, 13, (0.9711, 0.2893, 0.0001)),
        (500, 18, (0.9504, 0.0865, 0.0000)),
    ],
)
def test_the_federal_plans_accept_their_quality_level_some_95_times_in_100(n, c, chances):
    assert tuple(round(acceptance_chance(n, c, share), 4) for share in (0.025, 0.05, 0.10)) == chances
    # 7 CFR 43.102: "approximately 95 percent of the time".
    assert acceptance_chance(n, c, 0.025) == pytest.approx(0.95, abs=0.022)


@pytest.mark.outside("7 CFR 43.106 (row n = 126) and 42.109 (row n = 84): acceptance numbers at their quality levels")
@pytest.mark.parametrize(
    ("n", "aql", "c"),
    [
        *((126, 0.65, 2), (126, 1.0, 3), (126, 1.5, 4), (126, 2.5, 6), (126, 4.0, 9), (126, 6.5, 13)),
        *((84, 0.25, 0), (84, 1.5, 3), (84, 2.5, 4), (84, 6.5, 9), (84, 10.0, 13)),
    ],
)
def test_the_federal_acceptance_numbers_keep_the_producers_risk(n, aql, c):
    # "Approximately": the table's own plans lie from 0.80 (c = 0) to 0.99.
    assert 0.80 <= acceptance_chance(n, c, aql / 100) <= 0.99
    assert c == 0 or acceptance_chance(n, c - 1, aql / 100) < 0.95


@pytest.mark.outside("Krajewski & Ritzman, Operations Management, Supplement G: n = 80, c = 1 at 1 %: 0.809 (Poisson)")
def test_the_poisson_table_is_near_the_binomial_where_pieces_are_many():
    assert acceptance_chance(80, 1, 0.01) == pytest.approx(0.809, abs=0.002)
    assert share_accepted_by_poisson(80, 1, 0.809) == pytest.approx(0.01, abs=2e-5)


@pytest.mark.outside(
    "S. Hilliard (7 Feb 2006), acceptance sampling: n = 68, c = 2 has 0.01213 at 5 % and 0.089704 at 5 %"
)
def test_it_finds_a_published_plan_from_its_two_points():
    plan = plan_for_risks(0.01213, 0.089704, 0.05, 0.05)
    assert (plan.n, plan.c) == (68, 2)
    assert share_accepted(68, 2, 0.95) == pytest.approx(0.01213, abs=5e-6)
    assert share_accepted(68, 2, 0.05) == pytest.approx(0.089704, abs=5e-6)


def keeps(n, c, *, good, bad, alpha, beta):
    return stats.binom.cdf(c, n, good) >= 1 - alpha and stats.binom.cdf(c, n, bad) <= beta


@pytest.mark.outside("Reference library: every smaller plan tried with scipy.stats.binom")
@pytest.mark.parametrize(
    ("good", "bad", "alpha", "beta"),
    [(0.01, 0.08, 0.05, 0.10), (0.05, 0.15, 0.05, 0.075), (0.005, 0.05, 0.01, 0.05)],
)
def test_no_smaller_plan_keeps_both_risks(good, bad, alpha, beta):
    plan = plan_for_risks(good, bad, alpha, beta)
    assert keeps(plan.n, plan.c, good=good, bad=bad, alpha=alpha, beta=beta)
    assert not any(keeps(n, c, good=good, bad=bad, alpha=alpha, beta=beta) for n in range(1, plan.n) for c in range(n))
    assert plan.good_refused <= alpha and plan.bad_accepted <= beta


@pytest.mark.outside("Reference library: scipy.stats.binom.cdf")
@given(st.integers(1, 5000), st.floats(0, 1), st.floats(0, 1))
def test_it_agrees_with_the_binomial_of_the_library(n, part, share):
    c = round(part * min(n, 200))
    assert acceptance_chance(n, c, share) == pytest.approx(stats.binom.cdf(c, n, share), abs=1e-9)


def test_points_too_near_each_other_have_no_plan_that_anybody_works():
    with pytest.raises(NoPlanError, match="20000"):
        plan_for_risks(0.01, 0.0102)


@pytest.mark.parametrize(
    "bad",
    [
        lambda: acceptance_chance(0, 0, 0.1),
        lambda: acceptance_chance(5, -1, 0.1),
        lambda: acceptance_chance(5, 1, 1.1),
        lambda: acceptance_chance(5, 1, float("nan")),
        lambda: share_accepted(5, 5, 0.5),
        lambda: share_accepted_by_poisson(5, 1, 1),
        lambda: plan_for_risks(0.1, 0.05),
        lambda: plan_for_risks(0.01, 0.05, 0, 0.1),
    ],
)
def test_it_takes_no_plan_that_cannot_be(bad):
    with pytest.raises(ValueError, match=r"plan"):
        bad()
