"""The viability equation, with a published set of constants of another crop to test the arithmetic, not beans."""

import pytest
from scipy.stats import norm

from grading.stats.viability import Constants, capped, forecast, probit, sigma

# Ellis and Hong, Seed Sci. Technol. 35 (2007) 432-444, abstract: wheat, common temperature constants.
WHEAT = Constants(8.498, 4.836, 0.0322, 0.000454, "Ellis and Hong (2007), wheat")


@pytest.mark.parametrize(("moisture", "temperature", "days"), [(12, 20, 284.1054), (8, 5, 9084.621)])
def test_a_probit_is_lost_in_as_many_days_as_by_hand(moisture, temperature, days):
    assert sigma(WHEAT, moisture, temperature) == pytest.approx(days, rel=1e-5)


@pytest.mark.parametrize(("days", "left"), [(0, 98.0), (100, 95.560), (365, 77.906), (730, 30.302)])
def test_viability_falls_along_its_probit_line(days, left):
    assert forecast(98, days, WHEAT, moisture=12, temperature=20).estimate == pytest.approx(left, abs=0.001)


@pytest.mark.parametrize(("down_to", "days"), [(50, 583.481), (85, 289.025)])
def test_the_day_of_a_viability_is_found(down_to, days):
    found = forecast(98, 0, WHEAT, moisture=12, temperature=20, down_to=down_to)
    assert found.days_to == pytest.approx(days, abs=0.001)


def test_what_is_below_from_the_start_takes_no_day():
    assert forecast(80, 0, WHEAT, moisture=12, temperature=20, down_to=85).days_to == 0


@pytest.mark.outside("scipy.stats.norm as oracle: normal deviates of per cents")
@pytest.mark.parametrize("percent", [99, 98, 95, 90, 85, 80, 50, 2.5, 0.1])
def test_a_probit_is_the_normal_deviate(percent):
    assert probit(percent) == pytest.approx(norm.ppf(percent / 100), abs=1e-9)


@pytest.mark.outside("table of normal deviates: 2.3263, 2.0537, 1.6449, 1.2816, 1.0364, 0.8416, 0")
@pytest.mark.parametrize(
    ("percent", "deviate"),
    [(99, 2.3263), (98, 2.0537), (95, 1.6449), (90, 1.2816), (85, 1.0364), (80, 0.8416), (50, 0)],
)
def test_a_probit_reads_as_in_the_table(percent, deviate):
    assert round(probit(percent), 4) == deviate


def test_below_the_low_limit_drying_gains_nothing():
    assert sigma(WHEAT, 4, 20) == sigma(WHEAT, 6.2, 20) > sigma(WHEAT, 6.3, 20)
    steps = forecast(98, 100, WHEAT, moisture=4, temperature=20).working
    assert steps[0].formula == "4 % counts as 6.2 %"


def test_a_hundred_per_cent_of_a_sample_is_half_a_seed_short():
    assert capped(100, 400) == 99.875
    assert capped(0, 400) == 0.125
    assert capped(91, 400) == 91


@pytest.mark.parametrize(("initial", "down_to"), [(100, None), (0, None), (98, 100), (98, 0)])
def test_a_share_without_a_probit_raises(initial, down_to):
    with pytest.raises(ValueError, match="probit"):
        forecast(initial, 1, WHEAT, moisture=12, temperature=20, down_to=down_to)


def test_the_working_names_whose_constants_they_are():
    steps = forecast(98, 365, WHEAT, moisture=12, temperature=20).working
    assert "Ellis and Hong (2007), wheat" in steps[0].source
