"""Sizes to find what is rarely there, and what may be there where nothing was found: the tables everybody prints."""

from fractions import Fraction

import pytest
from scipy import stats

from grading.stats.detection import detection_size, detection_size_in_lot, rule_of_three
from grading.stats.intervals import upper_limit

SHARES = ("10", "5", "2", "1", "0.5", "0.2", "0.1", "0.05", "0.01")
SIZES = {
    "90": (22, 45, 114, 230, 460, 1151, 2302, 4605, 23025),
    "95": (29, 59, 149, 299, 598, 1497, 2995, 5990, 29956),
    "99": (44, 90, 228, 459, 919, 2301, 4603, 9209, 46050),
}


@pytest.mark.outside(
    "n = ln(1-C) / ln(1-p), as in USDA GIPSA, Sampling for the Detection of Biotech Grains (October 2000): 59, 299, "
    "2995 and 4603 are the commonly published ones; the rest recomputed with numpy"
)
@pytest.mark.parametrize(
    ("sure", "pct", "n"), [(sure, pct, n) for sure, row in SIZES.items() for pct, n in zip(SHARES, row, strict=True)]
)
def test_it_gives_the_published_detection_sizes(sure, pct, n):
    assert detection_size(Fraction(pct) / 100, Fraction(sure) / 100) == n


@pytest.mark.outside("Reference library: scipy.stats.hypergeom, none of n drawn without putting back; 1 % of the lot")
@pytest.mark.parametrize(("lot", "n"), [(100, 95), (500, 225), (1000, 258), (5000, 290), (10_000, 294)])
def test_a_small_lot_needs_fewer(lot, n):
    kind = lot // 100
    assert detection_size_in_lot(lot, kind, Fraction(95, 100)) == n
    assert stats.hypergeom.cdf(0, lot, kind, n) <= 0.05 < stats.hypergeom.cdf(0, lot, kind, n - 1)


def test_a_lot_of_its_kind_alone_shows_it_at_once_and_one_piece_may_be_the_last():
    assert detection_size_in_lot(10, 10, Fraction(95, 100)) == 1
    assert detection_size_in_lot(100, 1, Fraction(95, 100)) == 95
    assert detection_size_in_lot(2, 1, Fraction(1, 2)) == 1


@pytest.mark.outside("Hanley & Lippman-Hand (1983) JAMA 249:1743-1745: 3/n beside the exact 1 - 0.05^(1/n)")
@pytest.mark.parametrize(("n", "rule", "exact"), [(30, ".1000", ".0950"), (300, ".01000", ".00994")])
def test_the_rule_of_three_is_a_little_over_the_exact_limit(n, rule, exact):
    assert rule_of_three(n) == pytest.approx(float(rule), abs=1e-9)
    assert upper_limit(0, n) == pytest.approx(float(exact), abs=0.51 * 10.0 ** -(len(exact) - 1))


@pytest.mark.parametrize(
    ("lot", "kind", "sure"),
    [(0, 1, Fraction(1, 2)), (10, 0, Fraction(1, 2)), (10, 11, Fraction(1, 2)), (10, 1, Fraction(1))],
)
def test_it_takes_no_lot_that_cannot_be(lot, kind, sure):
    with pytest.raises(ValueError, match="planned"):
        detection_size_in_lot(lot, kind, sure)


def test_of_nothing_nothing_can_be_said():
    with pytest.raises(ValueError, match="nothing"):
        rule_of_three(0)
    assert rule_of_three(2) == 1
