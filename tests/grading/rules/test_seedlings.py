"""Counts of what gave no normal seedling."""

from fractions import Fraction

import pytest

from grading.rules.seedlings import mean_parts, seedling_mistakes

NORMAL = (88, 92, 95, 90)


def says(**others):
    return [mistake.says for mistake in seedling_mistakes(NORMAL, others)]


def test_parts_that_make_every_replicate_go_through():
    assert says(abnormal=(4, 3, 2, 4), hard=(2, 1, 1, 2), fresh=(0, 0, 0, 0), dead=(6, 4, 2, 4)) == []


def test_only_what_was_counted_need_be_given():
    assert says(hard=(2, 1, 1, 2)) == []


@pytest.mark.parametrize(
    ("others", "sentence"),
    [
        ({"hard": (13, 1, 1, 2)}, "Replicate 1 counts 88 normal, 13 hard: 101 of 100 seeds. Count again."),
        ({"hard": (2, 1)}, "Hard has 2 counts for 4 replicates. Give one for each."),
        (
            {"abnormal": (4, 3, 2, 4), "hard": (2, 1, 1, 2), "fresh": (0, 0, 0, 0), "dead": (6, 4, 2, 3)},
            "Replicate 4 counts 90 normal, 4 abnormal, 2 hard, 0 fresh, 3 dead: 99 of 100 seeds. Count again.",
        ),
    ],
)
def test_what_the_seeds_cannot_be_is_a_sentence(others, sentence):
    assert says(**others) == [sentence]


def test_a_mean_is_of_its_raw_counts():
    assert mean_parts({"normal": NORMAL, "hard": (2, 1, 1, 1)}) == {
        "normal": Fraction("91.25"), "hard": Fraction("1.25"),
    }  # fmt: skip
