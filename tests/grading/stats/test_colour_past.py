"""A colour against earlier ones, and differences in words."""

import pytest

from grading.stats.colour import Lab
from grading.stats.colour_difference import ciede2000
from grading.stats.colour_past import against_past, difference_words, seen_as, ways

PAST = [Lab(56, 5, 15), Lab(55, 5.5, 15.1), Lab(54.5, 5.7, 15.4)]


@pytest.mark.parametrize(
    ("distance", "words"),
    [
        (0, "no difference that an eye would see"),
        (0.99, "no difference that an eye would see"),
        (1, "a difference seen by looking closely"),
        (3.4999, "a difference seen side by side"),
        (3.5, "a difference seen at once"),
        (5, "a difference seen from afar"),
    ],
)
def test_a_distance_in_words(distance: float, words: str) -> None:
    assert seen_as(distance) == words


@pytest.mark.parametrize(
    ("sample", "says"),
    [
        (Lab(50, 5, 15), "darker by 6.0"),
        (Lab(62, 4, 17), "lighter by 6.0, greener by 1.0, yellower by 2.0"),
        (Lab(56.4, 6, 14), "redder by 1.0, bluer by 1.0"),
        (Lab(56.4, 5.4, 14.6), ""),
    ],
)
def test_the_ways_of_a_difference(sample: Lab, says: str) -> None:
    assert ways(Lab(56, 5, 15), sample) == says


def test_a_difference_says_number_sight_and_ways() -> None:
    says = difference_words(Lab(62, 6, 18), Lab(55, 8, 20))
    assert says == "6.6 by CIEDE2000, a difference seen from afar: darker by 7.0, redder by 2.0, yellower by 2.0"
    assert difference_words(PAST[0], PAST[0]) == "0.0 by CIEDE2000, no difference that an eye would see"


def test_a_lot_like_its_past_lies_no_further_than_that_did() -> None:
    found = against_past(Lab(55.2, 5.4, 15.2), PAST)
    assert found.n == 3
    assert found.furthest == pytest.approx(max(ciede2000(found.past.estimate, each).estimate for each in PAST))
    assert found.is_further_than_all is False


def test_a_lot_unlike_its_past_lies_further_than_all() -> None:
    assert against_past(Lab(48, 8, 18), PAST).is_further_than_all is True


def test_two_lots_are_too_few_to_say_what_is_usual() -> None:
    found = against_past(Lab(48, 8, 18), PAST[:2])
    assert (found.furthest, found.is_further_than_all, found.n) == (None, None, 2)
    assert found.estimate > 5
