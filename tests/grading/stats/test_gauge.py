"""Gauge studies against the manual's example, scipy and algebra."""

import numpy as np
import pytest
from scipy import stats

from grading.stats.gauge import by_ranges, by_variance

MANUAL = "AIAG, Measurement Systems Analysis, example of 3 people, 3 trials, 10 parts (data and values from memory)"
TYPED = """
.29 -.56 1.34 .47 -.80 .02 .59 -.31 2.26 -1.36 | .41 -.68 1.17 .50 -.92 -.11 .75 -.20 1.99 -1.25 | .64 -.58 1.27 .64 -.84 -.21 .66 -.17 2.01 -1.31
.08 -.47 1.19 .01 -.56 -.20 .47 -.63 1.80 -1.68 | .25 -1.22 .94 1.03 -1.20 .22 .55 .08 2.12 -1.62 | .07 -.68 1.34 .20 -1.28 .06 .83 -.34 2.19 -1.50
.04 -1.38 .88 .14 -1.46 -.29 .02 -.46 1.77 -1.49 | -.11 -1.13 1.09 .20 -1.07 -.67 .01 -.56 1.45 -1.77 | -.15 -.96 .67 .11 -1.45 -.49 .21 -.49 1.87 -2.16
"""  # noqa: E501 - one person a line, as the sheet has them
READINGS = [
    [[float(word) for word in trial.split()] for trial in person.split("|")] for person in TYPED.strip().splitlines()
]


@pytest.mark.outside(MANUAL)
@pytest.mark.parametrize(
    ("name", "wanted"),
    [("ev", 0.20188), ("av", 0.22963), ("grr", 0.30575), ("pv", 1.10456), ("tv", 1.14610)],
)
def test_by_ranges_it_gives_the_manuals_values(name, wanted):
    # The manual rounds its mean range to .3417 and goes on from there: half of 5e-5 in .34 is 1.5 in 10,000.
    assert getattr(by_ranges(READINGS), name) == pytest.approx(wanted, rel=2.5e-4)


@pytest.mark.outside(MANUAL)
def test_by_ranges_it_gives_the_manuals_share_and_categories():
    found = by_ranges(READINGS)
    assert (round(found.grr_pct, 2), found.ndc) == (26.68, 5)


@pytest.mark.outside(f"{MANUAL}, recomputed to six decimals")
@pytest.mark.parametrize(
    ("name", "wanted"),
    [("ev", 0.201857), ("av", 0.229667), ("grr", 0.305766), ("pv", 1.104596), ("tv", 1.146135), ("grr_pct", 26.678)],
)
def test_by_ranges_it_gives_six_decimals(name, wanted):
    assert getattr(by_ranges(READINGS), name) == pytest.approx(wanted, abs=6e-7 if name != "grr_pct" else 6e-4)


@pytest.mark.outside(f"{MANUAL}, analysis of variance recomputed")
@pytest.mark.parametrize(
    ("name", "wanted"),
    [("ev", 0.199933), ("av", 0.226838), ("grr", 0.302372), ("pv", 1.042327), ("tv", 1.085300), ("grr_pct", 27.861)],
)
def test_by_variance_it_gives_the_parts(name, wanted):
    assert getattr(by_variance(READINGS), name) == pytest.approx(wanted, abs=6e-7 if name != "grr_pct" else 6e-4)


@pytest.mark.outside(f"{MANUAL}, analysis of variance recomputed")
@pytest.mark.parametrize(
    ("place", "name", "squares", "freedom"),
    [
        (0, "people", 3.167262, 2),
        (1, "parts", 88.361934, 9),
        (2, "people × parts", 0.358982, 18),
        (3, "repeats", 2.758933, 60),
    ],
)
def test_by_variance_it_gives_the_sums_of_squares(place, name, squares, freedom):
    line = by_variance(READINGS).lines[place]
    assert (line.name, round(line.squares, 6), line.freedom) == (name, squares, freedom)


@pytest.mark.outside(f"{MANUAL}, analysis of variance recomputed")
def test_the_interaction_is_pooled_where_its_p_is_large():
    found = by_variance(READINGS)
    assert (round(found.lines[2].f, 4), round(found.lines[2].p, 3), found.is_pooled, found.ndc) == (
        0.4337,
        0.974,
        True,
        4,
    )
    assert round(sum(line.squares for line in found.lines), 6) == 94.647112


def test_the_interaction_is_kept_where_nothing_may_be_pooled():
    found = by_variance(READINGS, pool_at=1)
    assert not found.is_pooled
    assert found.ev == pytest.approx(found.lines[3].mean ** 0.5)


@pytest.mark.outside("Reference library: scipy.stats.f_oneway over all cells, within which only repeats vary")
@pytest.mark.parametrize("seed", range(4))
def test_its_sums_of_squares_are_those_of_scipy(seed):
    x = np.random.default_rng(seed).normal(size=(3, 2, 5))
    lines = by_variance(x.tolist()).lines
    cells = [x[person, :, part] for person in range(3) for part in range(5)]
    between = sum(line.squares for line in lines[:3]) / sum(line.freedom for line in lines[:3])
    assert between / lines[3].mean == pytest.approx(stats.f_oneway(*cells).statistic)


def test_people_who_differ_less_than_their_repeats_have_no_share():
    found = by_ranges([[[1, 5], [2, 6]], [[2, 6], [1, 5]]])
    assert found.av == 0
    assert "below 0, so AV is set to 0" in found.working[1].formula


def test_nothing_varies_where_all_readings_are_the_same():
    for found in (by_ranges([[[1, 1], [1, 1]]] * 2), by_variance([[[1, 1], [1, 1]]] * 2)):
        assert (found.tv, found.grr_pct, found.ndc) == (0, None, None)


def test_perfect_measuring_tells_everything_apart():
    found = by_variance([[[1, 2, 3], [1, 2, 3]]] * 2)
    assert (found.grr, found.grr_pct, found.ndc) == (0, 0, None)


def test_it_finds_the_spreads_that_were_put_in():
    rng = np.random.default_rng(5)
    parts, people = 3 * rng.normal(size=(1, 1, 200)), rng.normal(size=(30, 1, 1))
    found = by_variance((parts + people + 0.5 * rng.normal(size=(30, 3, 200))).tolist())
    assert (found.ev, found.pv) == (pytest.approx(0.5, rel=0.03), pytest.approx(3, rel=0.16))
    assert found.av == pytest.approx(1, rel=0.4)


@pytest.mark.parametrize(
    "readings",
    [[[[1, 2], [1, 2]]], [[[1, 2]], [[1, 2]]], [[[1], [1]], [[1], [1]]], [[[1, 2], [1, 2]], [[1, 2], [1]]],
     [[[1, 2], [1, float("inf")]], [[1, 2], [1, 2]]]],
)  # fmt: skip
def test_it_refuses_readings_that_miss(readings):
    for road in (by_ranges, by_variance):
        with pytest.raises(ValueError, match=r"twice or more|finite"):
            road(readings)
