"""The replicate rule of 7 CFR 201.55, row by row."""

import pytest

from grading.rules.germination import Verdict, allowed_spread, germination_test, is_too_near_to_call
from grading.stats.beta import chance_at_least, chance_text
from inventory.rules.mistakes import Refused

# 7 CFR 201.55 (65 FR 1707, 2000), both columns of means as printed: 99 to 51 and their complements 2 to 50.
FOUR = """
99 99 5, 98 98 6, 97 97 7, 96 96 8, 95 95 9, 94 93 10, 92 91 11, 90 89 12,
88 87 13, 86 84 14, 83 81 15, 80 78 16, 77 73 17, 72 67 18, 66 56 19, 55 51 20
"""
TWO = """
97 96 6, 95 95 7, 94 93 8, 92 90 9, 89 88 10, 87 84 11, 83 81 12, 80 76 13, 75 69 14, 68 55 15, 54 51 16
"""


def means(text):
    for row in text.split(","):
        high, low, limit = (int(word) for word in row.split())
        for mean in range(low, high + 1):
            yield mean, limit


@pytest.mark.outside("7 CFR 201.55 (65 FR 1707, 2000), range of replicates")
@pytest.mark.parametrize(("mean", "limit"), list(means(FOUR)))
def test_four_replicates_may_spread_as_the_federal_table_says(mean, limit):
    assert allowed_spread(mean, 4) == limit
    assert allowed_spread(101 - mean, 4) == limit


@pytest.mark.outside("7 CFR 201.55 (65 FR 1707, 2000), range of replicates")
@pytest.mark.parametrize(("mean", "limit"), list(means(TWO)))
def test_two_replicates_may_spread_as_the_federal_table_says(mean, limit):
    assert allowed_spread(mean, 2) == limit
    assert allowed_spread(101 - mean, 2) == limit


@pytest.mark.parametrize(("mean", "replicates"), [(100, 4), (1, 4), (0, 4), (98, 2), (3, 2), (100, 2)])
def test_it_invents_no_row_that_the_table_does_not_print(mean, replicates):
    assert allowed_spread(mean, replicates) is None


# Replicates, mean, spread, allowed spread, chance of at least 85 %, of a season's tests worked by hand.
SEASON = """
T01  94 96 93 93  94  3 10  >99 %
T02  92 94 90 92  92  4 11  >99 %
T03  90 93 91 90  91  3 11  >99 %
T04  95 81 92 84  88 14 13  96 %
T05  89 91 87 89  89  4 12  99 %
T06  81 77 80 78  79  4 16  <1 %
T07  93 91 94 90  92  4 11  >99 %
T08  96 95 97 96  96  2  8  >99 %
T09  92 93 90 93  92  3 11  >99 %
T10  93 94 95 94  94  2 10  >99 %
T11  88 86 84 86  86  4 14  71 %
T12  89 91 88 92  90  4 12  >99 %
T13  95 94 96 95  95  2  9  >99 %
"""


@pytest.mark.parametrize("row", SEASON.split("\n")[1:-1], ids=lambda row: row[:3])
def test_a_season_of_tests_reads_as_worked_by_hand(row):
    name, *words = row.split()
    numbers = [int(word) for word in words[:7]]
    test = germination_test(numbers[:4])
    assert [int(test.mean_pct), test.spread, test.allowed] == numbers[4:]
    assert test.verdict is (Verdict.RETEST if name == "T04" else Verdict.STANDS)
    assert chance_text(chance_at_least(test.found, test.seeds, 0.85)) == " ".join(words[7:])


def test_only_the_close_test_of_the_season_is_too_near_to_call():
    assert is_too_near_to_call(chance_at_least(344, 400, 0.85))
    assert not is_too_near_to_call(chance_at_least(356, 400, 0.85))
    assert not is_too_near_to_call(chance_at_least(317, 400, 0.85))


def test_a_mean_half_way_goes_up_and_a_spread_at_the_limit_passes():
    test = germination_test([85, 85, 85, 99])  # mean 88.5
    assert (test.mean_pct, test.spread, test.verdict) == (89, 14, Verdict.RETEST)
    test = germination_test([84, 96, 90, 90])  # mean 90, limit 12
    assert (test.spread, test.allowed, test.verdict) == (12, 12, Verdict.STANDS)


def test_a_mean_outside_the_table_says_so_instead_of_passing():
    assert germination_test([100, 100, 100, 100]).verdict is Verdict.OUTSIDE_TABLE


@pytest.mark.parametrize(
    "normal", [[], [90], [90, 91, 92], [90] * 8, [101, 90, 90, 90], [-1, 90], [90.5, 90], [True, 9]]
)
def test_it_refuses_counts_that_the_table_cannot_judge(normal):
    with pytest.raises(Refused, match=r"replicates|Replicate \d counts"):
        germination_test(normal)
