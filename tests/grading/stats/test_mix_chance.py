"""How sure a mix is, against draws of its lots and against scipy."""

import pytest

from grading.stats.beta import chance_at_least, chance_within
from grading.stats.mix_chance import Part, chance_mix_at_least, chance_mix_within, share_below


@pytest.mark.parametrize(("found", "n", "limit"), [(9.2, 2747.0, 0.005), (0.0, 500.0, 0.001), (50.0, 2700.0, 0.02)])
def test_a_mix_of_one_lot_is_as_sure_as_the_lot(found, n, limit):
    one = [Part(1.0, found, n)]
    assert chance_mix_within(one, limit) == pytest.approx(chance_within(found, n, limit), rel=1e-9)
    assert chance_mix_at_least(one, limit) == pytest.approx(chance_at_least(found, n, limit), rel=1e-9)


def test_the_two_tails_make_the_whole():
    parts = [Part(0.4, 30.0, 2700.0), Part(0.6, 60.0, 2800.0)]
    assert chance_mix_within(parts, 0.02) + chance_mix_at_least(parts, 0.02) == pytest.approx(1)


@pytest.mark.outside("Monte Carlo, 400,000 draws of each lot's Beta distribution, numpy default_rng(7)")
@pytest.mark.parametrize("limit", [0.014, 0.016, 0.018, 0.020])
def test_it_is_what_drawing_each_lot_says(limit):
    import numpy as np  # noqa: PLC0415 - the web process' rule holds here too

    parts = [Part(0.2, 3.0, 600.0), Part(0.5, 40.0, 2700.0), Part(0.3, 55.0, 2800.0)]
    rng = np.random.default_rng(7)
    drawn = sum(part.weight * rng.beta(part.found + 0.5, part.n - part.found + 0.5, 400_000) for part in parts)
    # Three standard errors of the draws, and half a per cent for the shape that only mean and variance fix.
    assert chance_mix_within(parts, limit) == pytest.approx(float((drawn <= limit).mean()), abs=0.0025 + 0.005)


@pytest.mark.outside("scipy 1.17 scipy.stats.beta.ppf(0.95, found + 0.5, n - found + 0.5)")
@pytest.mark.parametrize(("found", "n"), [(0.0, 500.0), (12.5, 2747.3), (500.0, 500.0)])
def test_the_upper_bound_is_the_quantile(found, n):
    from scipy.stats import beta  # noqa: PLC0415

    assert share_below(found, n, 0.95) == pytest.approx(float(beta.ppf(0.95, found + 0.5, n - found + 0.5)))
