"""A mix that holds every limit exactly at most gained, or what hinders it; checked by counting all mixes out."""

from fractions import Fraction
from itertools import product

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from grading.queries.mix_plan import Hindrance, Wanted, plan_mix
from grading.rules.mixing import Limit, MixLot, broken

KG = 1_000_000
HUNDRED = 100 * KG


def lots_of(text):
    """Read "a 300, b 100-200" into lots: at most, or from least to most [kg]."""
    found = []
    for word in text.split(","):
        name, ends = word.split()
        least, _, most = ends.rpartition("-")
        found.append(MixLot(name, int(Fraction(most) * KG), int(Fraction(least or 0) * KG)))
    return found


def at_most(bound, *shares, name="defects", is_floor=False, is_open=False):
    """A limit in per cent, with the per cent that each lot holds."""
    parts = tuple(Fraction(share) / 100 for share in shares)
    return Limit(name, name, parts, Fraction(bound) / 100, is_floor=is_floor, is_open=is_open, written=bound)


def at_least(bound, *shares, name="germination"):
    return at_most(bound, *shares, name=name, is_floor=True)


def most_seed(lots, **more):
    return Wanted(**{"total": None, "wishes": ((1.0,) * len(lots),), **more})


def kg(masses):
    assert not isinstance(masses, Hindrance), masses
    return [float(Fraction(mass, KG)) for mass in masses]


def test_all_good_seed_and_as_much_poor_seed_as_it_carries():
    lots = lots_of("good 300, poor 500")
    masses = plan_mix(lots, [at_most("2", "1", "4")], most_seed(lots))
    assert kg(masses) == [300.0, 150.0]


def test_stock_is_the_end_where_no_limit_holds_it_back():
    lots = lots_of("good 300, poor 100")
    assert kg(plan_mix(lots, [at_most("2", "1", "4")], most_seed(lots))) == [300.0, 100.0]


def test_what_must_go_in_goes_in():
    lots = lots_of("good 300, poor 50-50")
    assert kg(plan_mix(lots, [at_most("2", "1", "4")], most_seed(lots))) == [300.0, 50.0]


def test_the_second_wish_decides_where_the_first_leaves_a_choice():
    lots = lots_of("good 300, middling 300, poor 300")
    limit = at_most("2", "1", "2", "4")
    wanted = Wanted(total=300 * KG, wishes=((1.0, 1.0, 1.0), (0.25, 0.4, 1.0)))
    assert kg(plan_mix(lots, [limit], wanted)) == [200.0, 0.0, 100.0]


def test_a_floor_counts_from_below():
    lots = lots_of("old 400, new 100")
    assert kg(plan_mix(lots, [at_least("85", "80", "95")], most_seed(lots))) == [200.0, 100.0]


def test_at_an_open_bound_a_hair_stays_free():
    lots = lots_of("good 300, poor 500")
    limit = at_most("2", "1", "4", is_open=True)
    masses = plan_mix(lots, [limit], most_seed(lots))
    assert limit.value(masses) < limit.bound
    assert 449 * KG < sum(masses) < 450 * KG


def test_whole_bags_stay_whole():
    lots = lots_of("good 310, poor 500")
    masses = plan_mix(lots, [at_most("2", "1", "4")], most_seed(lots, step=25 * KG))
    assert kg(masses) == [300.0, 150.0]


def test_one_limit_out_of_reach_is_named_with_what_can_be_reached():
    lots = lots_of("a 300, b 500")
    found = plan_mix(lots, [at_most("2", "3", "4"), at_most("9", "1", "1", name="other")], most_seed(lots))
    assert isinstance(found, Hindrance)
    assert ([limit.name for limit in found.limits], found.best) == (["defects"], (Fraction(3, 100),))
    assert found.is_alone


def test_a_wanted_total_lowers_what_can_be_reached():
    lots = lots_of("good 100, poor 500")
    found = plan_mix(lots, [at_most("2", "1", "4")], most_seed(lots, total=400 * KG))
    assert isinstance(found, Hindrance)
    assert found.best == (Fraction(1 * 100 + 4 * 300, 400 * 100),)


def test_what_must_go_in_lowers_what_can_be_reached():
    lots = lots_of("good 100, poor 200-500")
    found = plan_mix(lots, [at_most("2", "1", "4")], most_seed(lots))
    assert isinstance(found, Hindrance)
    assert found.best == (Fraction(1 * 100 + 4 * 200, 300 * 100),)


def test_two_limits_that_clash_are_both_named_and_no_third():
    lots = lots_of("split 300, stained 300")
    limits = [
        at_most("2", "3", "0.5", name="splits"),
        at_most("2", "0.5", "3", name="stain"),
        at_most("9", "1", "1", name="stones"),
    ]
    assert isinstance(plan_mix(lots, limits[::2], most_seed(lots)), tuple)
    limits[1] = at_most("1", "0.5", "3", name="stain")
    found = plan_mix(lots, limits, most_seed(lots))
    assert isinstance(found, Hindrance)
    assert (sorted(limit.name for limit in found.limits), found.is_alone) == (["splits", "stain"], False)
    assert float(found.best[0]) == pytest.approx(0.025)  # stain at 1 % takes 80 of 100 of the split lot
    assert float(found.best[1]) == pytest.approx(0.015)


def test_whole_bags_alone_can_stand_in_the_way():
    lots = lots_of("good 20, poor 500")
    found = plan_mix(lots, [at_most("2", "1", "4")], most_seed(lots, step=25 * KG))
    assert found == Hindrance((), (), is_alone=False)


_PER_MILLE = st.integers(0, 60)


@st.composite
def _cases(draw, *, bag=False):
    count = draw(st.integers(2, 3 if bag else 5))
    lots = []
    for place in range(count):
        most = draw(st.integers(1, 6)) * 25 * KG if bag else draw(st.integers(1, 900_000)) * 1_000
        least = draw(st.sampled_from([0, 0, 0, most // 25_000_000 // 2 * 25_000_000 if bag else most // 3]))
        lots.append(MixLot(f"lot {place}", most, least))
    limits = [
        Limit(
            f"factor {index}", "factor", tuple(Fraction(draw(_PER_MILLE), 1000) for _ in lots),
            Fraction(draw(st.integers(0, 50)), 1000), is_open=draw(st.booleans()),
        )
        for index in range(draw(st.integers(1, 3)))
    ]  # fmt: skip
    return lots, limits


@settings(max_examples=150, deadline=None)
@given(_cases(), st.one_of(st.none(), st.integers(1, 100)))
def test_a_plan_holds_every_limit_exactly_within_stock_and_to_the_total(case, hundredths):
    lots, limits = case
    low, high = sum(lot.least for lot in lots), sum(lot.most for lot in lots)
    total = None if hundredths is None else max(low, high * hundredths // 100) // 1_000 * 1_000
    assume(total is None or max(low, 1) <= total)
    found = plan_mix(lots, limits, most_seed(lots, total=total))
    if isinstance(found, Hindrance):
        return
    assert all(lot.least <= mass <= lot.most for lot, mass in zip(lots, found, strict=True))
    assert broken(limits, found) == []
    assert total in (None, sum(found))


@settings(max_examples=100, deadline=None)
@given(_cases())
def test_what_is_hindered_by_one_limit_is_held_by_no_corner_of_what_there_is(case):
    lots, limits = case
    found = plan_mix(lots, limits, most_seed(lots))
    if not isinstance(found, Hindrance) or not found.is_alone:
        return
    corners = list(product(*({lot.least, lot.most} for lot in lots)))
    for limit, best in zip(found.limits, found.best, strict=True):
        values = [limit.value(masses) for masses in corners if sum(masses)]
        assert min(values) >= best
        assert not limit.admits(best)


@pytest.mark.outside("exhaustive count of all mixes in whole bags: the most that holds every limit")
@settings(max_examples=120, deadline=None)
@given(_cases(bag=True))
def test_in_bags_no_mix_that_was_counted_out_is_heavier(case):
    lots, limits = case
    bag = 25 * KG
    every = product(*(range(lot.least, lot.most + 1, bag) for lot in lots))
    best = max((sum(masses) for masses in every if sum(masses) and not broken(limits, masses)), default=None)
    found = plan_mix(lots, limits, most_seed(lots, step=bag))
    assert (None if isinstance(found, Hindrance) else sum(found)) == best


# Published mixes of feeds: least cost, whose gain is less than nothing; each total is 100, each part at most 100.
_LIM = "R package limSolve 1.5, Blending: 'A linear inverse blending problem', solution 0.5909, 0.1364, 0.2727"
_FEED = "Optimization Algorithms (Manning), 2.1.4 'Animal feed mix': 65 % corn, 3 % limestone, 32 % soybean meal"


def mixed(costs, limits):
    lots = [MixLot(f"feed {place}", HUNDRED) for place in range(len(costs))]
    found = plan_mix(lots, limits, Wanted(total=HUNDRED, wishes=(tuple(-cost for cost in costs),)))
    return kg(found)


@pytest.mark.outside(_LIM)
def test_a_feeding_mix_of_two_feeds_and_filler_is_as_published():
    found = mixed(
        (40, 60, 0),
        [
            at_least("80", "100", "200", "0", name="A"),
            at_least("50", "50", "150", "0", name="B"),
            at_least("25", "40", "10", "0", name="C"),
            at_least("5", "10", "0", "0", name="D"),
        ],
    )
    assert found == pytest.approx([59.09, 13.64, 27.27], abs=0.005)


@pytest.mark.outside(_FEED)
def test_an_animal_feed_of_corn_limestone_and_soybean_is_as_published():
    calcium = ("0.1", "38", "0.2")
    found = mixed(
        (30.5, 10.0, 90.0),
        [
            at_least("0.8", *calcium, name="calcium at least"),
            at_most("1.2", *calcium, name="calcium at most"),
            at_least("22", "9", "0", "50", name="protein"),
            at_most("5", "2", "0", "8", name="fiber"),
        ],
    )
    assert found == pytest.approx([65, 3, 32], abs=0.5)
    cost = sum(part * cents for part, cents in zip(found, (30.5, 10.0, 90.0), strict=True)) / 100
    assert cost == pytest.approx(49.16, abs=0.005)


def _pearson(low, high, wanted):
    lots = [MixLot("low", 10 * HUNDRED), MixLot("high", 10 * HUNDRED)]
    found = plan_mix(lots, [at_least(wanted, low, high)], Wanted(total=HUNDRED, wishes=((1.0, 0.0),)))
    return kg(found)


@pytest.mark.parametrize(
    ("low", "high", "wanted", "parts"),
    [
        pytest.param(
            "8.9", "45.8", "15", (30.8, 6.1),
            marks=pytest.mark.outside("Praxis Agriculture (5701) study question: Pearson square 8.9 and 45.8 to 15 %"),
        ),
        pytest.param(
            "8.8", "38", "14", (24.0, 5.2),
            marks=pytest.mark.outside("Feed formulation exercise: Pearson square 8.8 and 38 to 14 %: 82.19 %"),
        ),
    ],
)  # fmt: skip
def test_two_feeds_meet_as_in_a_pearson_square(low, high, wanted, parts):
    """Parts are the distances across the square."""
    assert _pearson(low, high, wanted) == pytest.approx([part * 100 / sum(parts) for part in parts], abs=0.002)
