"""Which parents set pods."""

import pytest

from inventory.actions.crosses import NewCross, Pollinated, add_crosses, log_pollinations
from inventory.actions.reversing import reverse
from inventory.queries.crossing import crossing_rates
from tests.make import NOW, house

pytestmark = pytest.mark.django_db


def test_the_log_is_counted_by_female_and_by_male_without_what_was_taken_back():
    plant = house()
    rows = [NewCross(code="Q1", female="N-1", male="N-2"), NewCross(code="Q2", female="N-1", male="B-1")]
    add_crosses(rows, station=plant.station, by=plant.breeder, now=NOW)
    log = [Pollinated(cross="Q1", buds=10, pods=8, seeds=20), Pollinated(cross="Q2", buds=19, pods=1, seeds=3)]
    log_pollinations(log, station=plant.station, by=plant.breeder, now=NOW)
    slip = log_pollinations([Pollinated(cross="Q2", buds=99)], station=plant.station, by=plant.breeder, now=NOW)
    reverse(slip.operations[0], station=plant.station, by=plant.intake, reason="typed twice", now=NOW)
    rates = crossing_rates(plant.station)
    female = rates.by_female[0]
    assert (female.parent, female.crosses, female.buds, female.pods, female.seeds) == ("N-1", 2, 29, 9, 23)
    assert [(rate.parent, rate.pods, rate.buds) for rate in rates.by_male] == [("B-1", 1, 19), ("N-2", 8, 10)]


@pytest.mark.outside("Newcombe (1998) Statist. Med. 17:857-872, Table I, method 3: 1 of 29 gives 0.0061 to 0.1718")
def test_the_likely_range_is_wilsons():
    plant = house()
    add_crosses([NewCross(code="Q1", female="N-1", male="N-2")], station=plant.station, by=plant.breeder, now=NOW)
    log_pollinations([Pollinated(cross="Q1", buds=29, pods=1)], station=plant.station, by=plant.breeder, now=NOW)
    share = crossing_rates(plant.station).by_male[0].share
    assert (round(share.low, 4), round(share.high, 4)) == (0.0061, 0.1718)


def test_an_empty_log_gives_nothing():
    rates = crossing_rates(house().station)
    assert (rates.by_female, rates.by_male) == ([], [])
