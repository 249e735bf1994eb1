"""Seed for plots, fields and rows, against extension tables and by hand."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.planting import Losses, feet_and_inches, grams_for, in_row_m, row_length_m, seeds_for
from inventory.rules.rates import M2_PER_ACRE, M_PER_FOOT, M_PER_INCH, read_length
from inventory.rules.rounding import half_up

G_PER_LB = Fraction("453.59237")


@pytest.mark.parametrize(
    ("seeds", "weight", "germination", "grams"),
    [(400, "20", "0.95", "84.211"), (320, "35", "0.90", "124.444"), (400, "18.9", "0.98", "77.143")],
)
def test_seeds_of_a_plot_weigh_so_much_with_their_germination(seeds, weight, germination, grams):
    needed = seeds_for(Fraction(seeds), Losses(germination=Fraction(germination)))
    assert half_up(grams_for(needed, Fraction(weight)), 3) == Decimal(grams)


def test_a_stand_takes_germination_and_emergence():
    losses = Losses(germination=Fraction(9, 10), emergence=Fraction(9, 10))
    seeds = seeds_for(Fraction(25) * Fraction("4.5"), losses)
    assert (half_up(seeds, 2), half_up(grams_for(seeds, Fraction(25)), 2)) == (Decimal("138.89"), Decimal("34.72"))


def test_purity_adds_mass_and_no_seeds_and_overage_adds_both():
    losses = Losses(purity=Fraction(98, 100), overage=Fraction(1, 10))
    seeds = seeds_for(Fraction(100), losses)
    assert seeds == 110
    assert grams_for(seeds, Fraction(20), losses) == Fraction(22) / Fraction(98, 100)


@pytest.mark.outside(
    "Michigan State University Extension, yield estimate: row lengths of 1/1000 acre (its head prints 1/100th)"
)
@pytest.mark.parametrize(
    ("row", "feet", "inches"), [("15 in", 34, 10), ("22 in", 23, 9), ("30 in", 17, 5), ("36 in", 14, 6)]
)  # fmt: skip
def test_a_row_of_a_thousandth_of_an_acre_is_so_long(row, feet, inches):
    assert feet_and_inches(row_length_m(M2_PER_ACRE / 1000, read_length(row))) == (feet, inches)


@pytest.mark.outside("NDSU Extension A1133, table 7: pinto, 62,500 plants an acre, inches in the row to a tenth")
@pytest.mark.parametrize(
    ("row", "inches", "within"), [("12 in", 8.4, 0.05), ("22 in", 4.6, 0.05), ("30 in", 3.4, 0.055)]
)
def test_plants_stand_so_far_apart_in_the_row(row, inches, within):
    # The table's 3.4 is 3.345, rounded by way of 3.35.
    apart = in_row_m(read_length(row), 62_500 / M2_PER_ACRE) / M_PER_INCH
    assert float(apart) == pytest.approx(inches, abs=within)


@given(st.integers(6, 60), st.integers(10_000, 300_000))
def test_inches_in_the_row_are_those_of_the_rule_of_thumb(row, plants):
    exact = in_row_m(row * M_PER_INCH, plants / M2_PER_ACRE) / M_PER_INCH
    assert exact == Fraction(6_272_640, row * plants)


def test_a_thousandth_of_an_acre_is_so_many_square_feet():
    assert Fraction("43.56") == M2_PER_ACRE / 1000 / M_PER_FOOT**2


@pytest.mark.outside("Iowa State University Extension: 150,000 seeds an acre at 2,750 a pound are 54.5 lb an acre")
def test_seeds_an_acre_are_so_many_pounds():
    pounds = grams_for(Fraction(150_000), 100 * G_PER_LB / 2750) / G_PER_LB
    assert half_up(pounds, 1) == Decimal("54.5")


@pytest.mark.outside(
    "Iowa State University Extension: 50 acres at 150,000 seeds an acre, 2,750 a pound: 2,727.3 lb, 55 bags"
)
def test_fifty_acres_are_so_many_pounds_and_bags():
    pounds = 50 * grams_for(Fraction(150_000), 100 * G_PER_LB / 2750) / G_PER_LB
    assert half_up(pounds, 1) == Decimal("2727.3")
    assert -(-pounds // 50) == 55


@pytest.mark.outside(
    "NDSU Extension A1133: pinto, 1,200 to 1,400 seeds a pound, 70,000 plants an acre, 50 to 65 lb an acre"
)
@pytest.mark.parametrize(("per_lb", "germination"), [(1400, "1"), (1200, "0.9")])
def test_pintos_take_fifty_to_sixty_five_pounds_an_acre(per_lb, germination):
    losses = Losses(germination=Fraction(germination))
    pounds = grams_for(seeds_for(Fraction(70_000), losses), 100 * G_PER_LB / per_lb) / G_PER_LB
    assert 50 <= pounds <= 65


@given(st.fractions(1, 1000), st.fractions(Fraction(1, 2), 1), st.fractions(Fraction(1, 2), 1))
def test_what_is_sown_for_a_stand_gives_the_stand(plants, germination, emergence):
    assert seeds_for(plants, Losses(germination, emergence)) * germination * emergence == plants
