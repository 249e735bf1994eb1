"""Backcross plans step by step, against tables and the binomial law of scipy."""

import math
import random
from fractions import Fraction
from statistics import fmean

import pytest
from scipy import stats

from inventory.rules.backcross import plants_to_grow
from inventory.rules.backcross_plan import Asked, at_least, plan_backcross, plants_for

P95, P99 = Fraction(95, 100), Fraction(99, 100)
TABLE = "Sedcole (1977) Crop Sci. 17:667-668 is the usual table (from memory); ceil(ln(1-P)/ln(1-p)), recomputed"


@pytest.mark.outside(TABLE)
@pytest.mark.parametrize(
    ("frequency", "chance", "plants"),
    [
        (Fraction(1, 8), P95, 23),
        (Fraction(1, 8), P99, 35),
        (Fraction(1, 16), P95, 47),
        (Fraction(1, 16), P99, 72),
    ],
)
def test_rarer_plants_take_more_growing(frequency, chance, plants):
    assert plants_to_grow(frequency, chance) == plants


@pytest.mark.outside(
    "NDSU genetics course: selfed progeny that tell AA from Aa, 10.4 at .05 and 16.01 at .01, rounded up"
)
@pytest.mark.parametrize(("chance", "seeds"), [(P95, 11), (P99, 17)])
def test_it_says_how_many_seeds_tell_a_carrier(chance, seeds):
    assert plan_backcross(Asked(1, 2, chance)).to_tell == seeds


@pytest.mark.outside("Allard (1960): 75, 87.5, 93.75 % of the recurrent parent after 1, 2, 3 backcrosses (from memory)")
@pytest.mark.parametrize(("place", "percent"), [(0, 75), (1, 87.5), (2, 93.75), (3, 93.75)])
def test_each_step_says_what_came_back_and_selfing_brings_nothing_back(place, percent):
    assert plan_backcross(Asked(1, 3, P95)).steps[place].recurrent * 100 == Fraction(percent)


@pytest.mark.outside("Reference library: scipy.stats.binom.sf")
@pytest.mark.parametrize("wanted", [2, 3, 5, 10, 50])
@pytest.mark.parametrize("frequency", [Fraction(1, 2), Fraction(1, 4), Fraction(1, 64), Fraction(9, 10)])
def test_it_is_the_smallest_number_by_the_binomial_tail(frequency, wanted):
    n = plants_for(frequency, P95, wanted)
    assert stats.binom.sf(wanted - 1, n, float(frequency)) >= 0.95
    assert stats.binom.sf(wanted - 1, n - 1, float(frequency)) < 0.95


@pytest.mark.outside("Reference library: scipy.stats.binom.sf")
@pytest.mark.parametrize(("n", "p", "wanted"), [(5, 0.5, 1), (11, 0.25, 2), (400, 0.01, 5), (3, 0.3, 4)])
def test_its_tail_is_scipys(n, p, wanted):
    assert at_least(n, p, wanted) == pytest.approx(stats.binom.sf(wanted - 1, n, p), abs=1e-12)


def test_one_dominant_gene_takes_five_plants_a_backcross_and_eleven_of_the_selfing():
    plan = plan_backcross(Asked(1, 2, P95))
    assert [(step.name, step.carries, step.plants, step.seeds) for step in plan.steps] == [
        ("BC1", Fraction(1, 2), 5, 5),
        ("BC2", Fraction(1, 2), 5, 5),
        ("BC2F2", Fraction(1, 4), 11, 11),
    ]
    assert plan.all_steps == pytest.approx((1 - 0.5**5) ** 2 * (1 - 0.75**11))


def test_seed_that_does_not_grow_is_sown_more_of():
    plan = plan_backcross(Asked(1, 1, P95, germination=Fraction(9, 10), survival=Fraction(8, 10)))
    assert [(step.plants, step.seeds) for step in plan.steps] == [(5, 7), (11, 16)]
    assert plants_to_grow(Fraction(1, 2) * Fraction(72, 100), P95) == 7


def test_the_piece_shrinks_and_its_working_shows_the_numbers():
    plan = plan_backcross(Asked(2, 3, P95, arm_cm=Fraction(50)))
    assert [round(step.piece_cm, 3) for step in plan.steps] == [78.694, 63.212, 51.791, 43.233]
    assert any("51.8 cM" in step.formula for step in plan.working)
    assert all(step.source for step in plan.working)


@pytest.mark.outside("Powers of Mendel's ratios worked by hand: (1 - q^n) of each step, multiplied")
@pytest.mark.parametrize(
    ("asked", "by_hand"),
    [
        (Asked(2, 3, P95, germination=Fraction(9, 10)), (1 - 0.775**12) ** 3 * (1 - 0.94375**52)),
        (Asked(1, 3, P95, germination=Fraction(9, 10)), (1 - 0.55**6) ** 3 * (1 - 0.775**12)),
    ],
)
def test_all_steps_are_the_product_of_what_the_sown_seed_reaches(asked, by_hand):
    plan = plan_backcross(asked)
    assert plan.all_steps == pytest.approx(by_hand, rel=1e-12)
    assert all(reached >= 0.95 for reached in plan.each_step)
    assert any(f"{by_hand:.4f}" in step.formula for step in plan.working)


def test_the_segment_left_after_selfing_is_that_of_a_simulation_with_one_meiosis_more():
    """Each chromosome of a homozygous BC3F2 plant went through four meioses: the nearest of four crossovers."""
    rng = random.Random(4)  # noqa: S311 - a simulation, no secret
    sides = [min(0.5, *(rng.expovariate(1) for _ in range(4))) for _ in range(40_000)]
    expected = plan_backcross(Asked(1, 3, P95, arm_cm=Fraction(50))).steps[-1].piece_cm
    assert 200 * fmean(sides) == pytest.approx(expected, abs=4 * 200 * 0.18 / math.sqrt(40_000))


def test_every_plant_that_carries_is_sure():
    assert plan_backcross(Asked(1, 1, P95, wanted=2)).each_step[0] >= 0.95


@pytest.mark.parametrize("asked", [Asked(0, 1, P95), Asked(6, 1, P95), Asked(1, 0, P95), Asked(1, 11, P95)])
def test_a_plan_without_sense_is_refused(asked):
    with pytest.raises(ValueError, match="planned"):
        plan_backcross(asked)


def test_more_plants_than_can_be_planned_are_refused():
    with pytest.raises(ValueError, match="51 plants"):
        plants_for(Fraction(1, 2), P95, 51)
