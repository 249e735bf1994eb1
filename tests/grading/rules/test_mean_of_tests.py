"""Tests that agree are averaged; tests that do not ask for one more."""

import pytest

from grading.rules.germination import germination_test
from grading.rules.mean_of_tests import mean_of_tests
from inventory.rules.mistakes import Refused


def together(*tests):
    return mean_of_tests([germination_test([int(word) for word in test.split()]) for test in tests])


def flat(mean):
    return f"{mean} {mean} {mean} {mean}"


@pytest.mark.outside("7 CFR 201.63 with 201.59, tolerance at the mean of two tests")
@pytest.mark.parametrize(
    ("first", "second", "mean"),
    [
        (98, 94, 96), (99, 94, 97), (99, 93, None), (95, 89, 92), (95, 88, None), (96, 89, None), (90, 83, 87),
        (90, 82, None), (79, 71, 75), (80, 71, None), (69, 60, 65), (70, 60, None), (50, 40, 45), (50, 39, None),
    ],
)  # fmt: skip
def test_two_tests_agree_up_to_the_row_of_their_mean(first, second, mean):
    found = together(flat(first), flat(second))
    assert found.mean_pct == mean
    assert bool(found.used) == (mean is not None)


def test_two_that_do_not_agree_ask_for_a_third():
    found = together(flat(90), flat(80))
    assert found.verdict == "No two sound tests are within tolerance: make a third test."


def test_a_third_that_agrees_with_one_of_them_makes_the_mean():
    found = together(flat(90), flat(78), flat(80))
    assert (found.used, found.mean_pct) == ((2, 3), 79)


def test_three_that_all_agree_are_all_averaged():
    assert together(flat(90), flat(88), flat(86)).used == (1, 2, 3)


def test_of_two_pairs_the_nearer_is_taken_and_at_a_tie_the_newer():
    assert together(flat(90), flat(84), flat(78)).used == (2, 3)
    assert together(flat(90), flat(85), flat(78)).used == (1, 2)


def test_a_test_that_spread_too_far_does_not_count():
    found = together("95 81 92 84", flat(88), flat(87))
    assert found.used == (2, 3)
    assert found.working[0].formula == "spread 14 over the allowed 13 at a mean of 88 %: left out"


@pytest.mark.parametrize("count", [1, 4])
def test_another_number_of_tests_is_refused(count):
    with pytest.raises(Refused, match=f"There are {count} tests"):
        together(*[flat(90)] * count)
