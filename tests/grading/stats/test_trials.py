"""Differences from the check: against scipy, and on fields where nothing differed."""

import os
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from grading.stats.trials import BY_PLOTS, BY_SITE_YEARS, by_plots, by_site_years

FIELDS = ("loesell.bean", "mamani.bean", "moore.bushbean", "smith.beans")


@pytest.mark.outside("Reference library: scipy.stats.ttest_1samp; of one site-year the two are the same test")
@pytest.mark.parametrize("reps", [3, 4, 8])
def test_of_one_site_year_it_is_the_paired_t_of_its_reps(reps):
    drawn = np.random.default_rng(reps).normal(0.2, 0.3, size=reps)
    ends = stats.ttest_1samp(drawn, 0).confidence_interval()
    found = by_plots([drawn.tolist()])
    assert (found.low, found.high) == pytest.approx((ends.low, ends.high))
    assert (found.n, found.freedom, found.method) == (reps, reps - 1, BY_PLOTS)


@pytest.mark.outside("Reference library: scipy.stats.ttest_1samp of the site-years' differences")
@pytest.mark.parametrize("n", [3, 5, 12])
def test_over_site_years_it_is_the_t_of_their_differences(n):
    drawn = np.random.default_rng(n).normal(0.2, 0.3, size=n)
    ends = stats.ttest_1samp(drawn, 0).confidence_interval()
    found = by_site_years(drawn.tolist())
    assert (found.low, found.high) == pytest.approx((ends.low, ends.high))
    assert (found.n, found.method) == (n, BY_SITE_YEARS)


@pytest.mark.parametrize("n", [0, 1, 2])
def test_under_three_site_years_it_is_too_few_to_say(n):
    assert by_site_years([0.2] * n) is None


def test_single_plots_say_nothing_of_their_scatter():
    assert by_plots([[0.2], [0.3]]) is None
    assert by_plots([[0.2, 0.3]]) is None
    assert by_plots([[0.2, 0.3], [0.1, 0.3]]) is not None


def test_site_years_weigh_alike_however_many_reps_they_have():
    assert by_plots([[1.0, 1.2, 0.8, 1.0], [0.0, 0.2]]).estimate == pytest.approx(0.55)


@pytest.mark.parametrize("reps", [[[]], [[float("nan"), 1.0]]])
def test_it_refuses_what_is_no_difference(reps):
    with pytest.raises(ValueError, match="site-year"):
        by_plots(reps)


def test_ranges_hold_the_truth_as_often_as_they_say():
    rng = np.random.default_rng(4)
    held = 0
    for _turn in range(2000):
        found = by_plots([rng.normal(0.3, 0.5, size=3).tolist(), rng.normal(0.1, 0.5, size=3).tolist()])
        held += found.low <= 0.2 <= found.high
    assert held / 2000 == pytest.approx(0.95, abs=0.015)  # 3 Monte Carlo errors


def field(name):
    """Yields of a field as a table of rows and columns; smith's first trial alone."""
    file = f"{name}.uniformity.txt"
    named = os.environ.get("UNIFORMITY_TRIALS")
    beside = sorted(Path(__file__).parents[4].glob(f"*/data/dry_bean/uniformity/{file}"))
    path = Path(named) / file if named else next(iter(beside), Path(file))
    if not path.exists():
        pytest.skip(f"{file} is not here: name the folder of the uniformity trials (agridat, MIT) in UNIFORMITY_TRIALS")
    lines = [line.replace('"', "").split() for line in path.read_text().splitlines()[1:]]
    lines = [line[-3:] for line in lines if len(line) == 3 or line[0] == "E1"]
    values = {(int(row), int(col)): float("nan" if given == "NA" else given) for row, col, given in lines}
    shape = max(row for row, _col in values), max(col for _row, col in values)
    return np.array([[values.get((i + 1, j + 1), np.nan) for j in range(shape[1])] for i in range(shape[0])])


@pytest.mark.outside(
    "Uniformity trials of beans, one variety throughout: Loesell 1936; Mamani 1971; Moore and Darroch 1950s; Smith 1958"
)
@pytest.mark.parametrize("name", FIELDS)
def test_where_one_variety_grew_it_finds_a_difference_no_more_often_than_stated(name):
    table = field(name)
    rng, called, turns = np.random.default_rng(6), 0, 1500
    for _turn in range(turns):
        reps = []
        for _rep in range(6):  # two site-years of three reps; a rep is 8 plots side by side, two entries by lot
            row, start = rng.integers(table.shape[0] - 7), rng.integers(table.shape[1])
            line, check = rng.choice(8, 2, replace=False)
            pair = table[row + line, start], table[row + check, start]
            reps.append(pair[0] - pair[1])
        if not np.isfinite(reps).all():
            continue
        called += by_plots([reps[:3], reps[3:]]).is_apart
    # 5 in 100 are stated; 3 Monte Carlo errors of 0.0056 on top.
    assert called / turns <= 0.05 + 0.017
