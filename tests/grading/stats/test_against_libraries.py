"""Our statistics and colours beside two reference libraries, on numbers that nobody chose."""

import warnings

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from grading.stats.beta import share_interval
from grading.stats.colour import Lab
from grading.stats.colour_difference import WEIGHTS, cie76, cie94, ciede2000
from grading.stats.intervals import clopper_pearson, wilson_interval
from grading.stats.kappa import cohen
from grading.stats.many_graders import fleiss

with warnings.catch_warnings():  # both say at import what they lack for drawing
    warnings.simplefilter("ignore")
    from colour.difference import delta_E_CIE1976, delta_E_CIE1994, delta_E_CIE2000
    from statsmodels.stats.inter_rater import cohens_kappa, fleiss_kappa
    from statsmodels.stats.proportion import proportion_confint

STATSMODELS = "statsmodels 0.15, reference library"
COLOUR = "colour-science 0.4.7, reference library"
CASES = [(81, 263), (15, 148), (1, 29), (29, 30), (3, 100), (7, 125), (2, 1000), (10, 500), (50, 100), (1, 2)]
counts = st.integers(1, 3000).flatmap(lambda n: st.tuples(st.integers(1, max(1, n - 1)), st.just(n)))
labs = st.builds(Lab, st.floats(1, 99), st.floats(-100, 100), st.floats(-100, 100))


@pytest.mark.outside(STATSMODELS)
@pytest.mark.parametrize("level", [0.9, 0.95, 0.99])
@pytest.mark.parametrize(("found", "n"), CASES)
@pytest.mark.parametrize(
    ("ours", "theirs"), [(wilson_interval, "wilson"), (clopper_pearson, "beta"), (share_interval, "jeffreys")]
)
def test_ranges_of_counts_are_the_librarys(ours, theirs, found, n, level):
    range_ = ours(found, n, level)
    assert (range_.low, range_.high) == pytest.approx(proportion_confint(found, n, 1 - level, theirs), abs=1e-9)


@pytest.mark.outside(STATSMODELS)
@given(st.lists(st.lists(st.integers(0, 60), min_size=3, max_size=3), min_size=3, max_size=3))
def test_kappa_and_its_error_are_the_librarys(table):
    ours = cohen(table) if sum(map(sum, table)) > 1 else None
    assume(ours is not None and ours.estimate is not None and ours.expected < 0.999)
    theirs = cohens_kappa(np.array(table))
    assert ours.estimate == pytest.approx(theirs.kappa, abs=1e-9)
    assert ours.se == pytest.approx(theirs.std_kappa, abs=1e-9)


@pytest.mark.outside(STATSMODELS)
@given(st.lists(st.lists(st.integers(0, 3), min_size=6, max_size=6), min_size=3, max_size=12))
def test_the_kappa_of_many_graders_is_the_librarys(said):
    counted = [[row.count(word) for word in range(4)] for row in said]
    assume(sum(1 for word in range(4) if any(row[word] for row in counted)) > 1)
    ours = fleiss(counted)
    assert ours.estimate == pytest.approx(fleiss_kappa(np.array(counted), method="fleiss"), abs=1e-9)


@pytest.mark.outside(COLOUR)
@given(labs, labs)
def test_differences_of_colours_are_the_librarys(one, other):
    first, second = ([each.lightness, each.a, each.b] for each in (one, other))
    assert cie76(one, other) == pytest.approx(float(delta_E_CIE1976(first, second)), abs=1e-9)
    for name, is_textile in (("graphic arts", False), ("textiles", True)):
        theirs = float(delta_E_CIE1994(first, second, textiles=is_textile))
        assert cie94(one, other, WEIGHTS[name]) == pytest.approx(theirs, abs=1e-9)


@pytest.mark.outside(COLOUR)
@given(labs, labs)
def test_ciede2000_is_the_librarys_where_hues_do_not_lie_opposite(one, other):
    # Just half a turn apart the mean hue is a convention that rounding decides.
    ours = ciede2000(one, other)
    assume(abs(abs(ours.h_1 - ours.h_2) - 180) > 1e-6)
    theirs = float(delta_E_CIE2000([one.lightness, one.a, one.b], [other.lightness, other.a, other.b]))
    assert ours.estimate == pytest.approx(theirs, abs=1e-6)
