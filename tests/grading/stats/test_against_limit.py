"""A count against a limit."""

from fractions import Fraction

import pytest

from grading.stats.against_limit import Judgement, judge, percent_text


def test_the_share_found_is_held_exactly_against_the_limit():
    assert judge(4, 400, Fraction(1)).judgement is Judgement.TOO_NEAR  # exactly 1 % found
    assert judge(401, 40_000, Fraction(1)).judgement is Judgement.OVER


def test_enough_seed_brings_a_low_share_within():
    assert judge(1, 472, Fraction(1)).judgement is Judgement.TOO_NEAR
    assert judge(1, 473, Fraction(1)).judgement is Judgement.WITHIN  # 0.99897 %


@pytest.mark.parametrize(("share", "text"), [(0.0118, "1.18"), (0.000999, "0.0999"), (1.0, "100.00")])
def test_a_small_share_keeps_its_figures(share, text):
    assert percent_text(share) == text


def test_counts_that_cannot_be_raise():
    with pytest.raises(ValueError, match="Found lies between"):
        judge(5, 4)
