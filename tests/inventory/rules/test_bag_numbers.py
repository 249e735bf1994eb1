"""Numbers of bags are written short, and read again as what they were."""

import pytest

from inventory.rules.bag_numbers import in_ranges


@pytest.mark.parametrize(
    ("numbers", "words"),
    [([], ""), ([4], "4"), ([1, 2], "1, 2"), ([1, 2, 3, 7], "1-3, 7"), ([2, 4, 5, 6, 9, 10], "2, 4-6, 9, 10")],
)
def test_runs_of_three_and_more_are_written_by_their_ends(numbers: list[int], words: str) -> None:
    assert in_ranges(numbers) == words
