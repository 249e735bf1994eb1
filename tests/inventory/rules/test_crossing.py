"""Counts of the crossing log."""

import pytest

from inventory.rules.crossing import pollination_mistakes


@pytest.mark.parametrize("counts", [(10, 0, 0), (10, 4, 0), (10, 4, 12), (1, 1, 10)])
def test_counts_that_fit_together_go_through(counts):
    assert pollination_mistakes(*counts) == []


@pytest.mark.parametrize(
    ("counts", "says"),
    [
        ((0, 0, 0), "Buds tried is 0: nothing was pollinated. Count the buds, or leave the row out."),
        ((10, 12, 0), "12 pods from 10 buds cannot be: count both again."),
        ((10, 0, 3), "3 seeds were taken, but no pod had set. Count the pods."),
        ((10, 2, 21), "21 seeds from 2 pods is more than beans hold. Is a digit too many?"),
        ((10, -1, 0), "Pods is -1: a count is 0 or more. Count again."),
    ],
)
def test_counts_that_do_not_are_said(counts, says):
    assert [mistake.says for mistake in pollination_mistakes(*counts)] == [says]
