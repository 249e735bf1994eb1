"""Crosses, female first, and the crossing log."""

import pytest

from inventory.actions.crosses import NewCross, Pollinated, add_cross, add_crosses, log_pollinations
from inventory.actions.reversing import reverse
from inventory.models import Cross, Line, Operation, Pollination
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.make import NOW, House, house

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    return house()


def test_a_parent_from_outside_becomes_a_line_without_a_cross(plant):
    booked = add_cross(
        NewCross(code="Q1", female="Sootling", male="N-1"), station=plant.station, by=plant.breeder, now=NOW
    )
    cross = Cross.objects.get()
    assert (str(cross.female), str(cross.male)) == ("Sootling", "N-1")
    assert Line.objects.get(name="Sootling").cross is None
    assert "Sootling is new here" in booked.operations[0].content
    assert verify(plant.station).is_whole


def test_a_parent_may_be_an_earlier_cross_of_the_same_act(plant):
    rows = [NewCross(code="Q1", female="N-1", male="N-2"), NewCross(code="Q2", female="Q1", male="B-1")]
    add_crosses(rows, station=plant.station, by=plant.breeder, now=NOW)
    cross = Cross.objects.get(code="Q2")
    assert (cross.female, str(cross.female_cross), str(cross.male)) == (None, "Q1", "B-1")


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        (("", "N-1", "N-2"), "Cross is missing. Give it, for example Q19-04."),
        (("Q1", "", "N-2"), "Female is missing. Give it, for example QN-2104."),
        (("Q0", "N-1", "N-2"), "Cross Q0 is in the books already. Use another name, or that one."),
        (("Q1", "N-11", "N-2"), "'N-11' is neither a line nor a cross we know. Did you mean N-1"),
    ],
)
def test_a_cross_that_cannot_stand_is_refused_and_nothing_is_saved(plant, asked, says):
    add_cross(NewCross(code="Q0", female="N-1", male="N-2"), station=plant.station, by=plant.breeder, now=NOW)
    rows = [NewCross(code="Q9", female="Sootling", male="B-1"), NewCross(code=asked[0], female=asked[1], male=asked[2])]
    with pytest.raises(Refused) as refusal:
        add_crosses(rows, station=plant.station, by=plant.breeder, now=NOW)
    assert says in str(refusal.value)
    assert (Cross.objects.count(), Line.objects.count(), Operation.objects.count()) == (1, 3, 1)


def test_the_log_keeps_buds_pods_and_seeds(plant):
    add_cross(NewCross(code="Q1", female="N-1", male="N-2"), station=plant.station, by=plant.breeder, now=NOW)
    rows = [Pollinated(cross="q1", buds=10, pods=4, seeds=11), Pollinated(cross="Q1", buds=8)]
    log_pollinations(rows, station=plant.station, by=plant.breeder, now=NOW)
    assert list(Pollination.objects.values_list("buds_tried", "pods_set", "seeds_taken")) == [(10, 4, 11), (8, 0, 0)]
    assert verify(plant.station).is_whole


def test_more_pods_than_buds_are_refused_and_nothing_is_saved(plant):
    add_cross(NewCross(code="Q1", female="N-1", male="N-2"), station=plant.station, by=plant.breeder, now=NOW)
    rows = [Pollinated(cross="Q1", buds=10), Pollinated(cross="Q1", buds=4, pods=5)]
    with pytest.raises(Refused, match="5 pods from 4 buds cannot be"):
        log_pollinations(rows, station=plant.station, by=plant.breeder, now=NOW)
    assert not Pollination.objects.exists()


def test_a_pollination_can_be_taken_back(plant):
    add_cross(NewCross(code="Q1", female="N-1", male="N-2"), station=plant.station, by=plant.breeder, now=NOW)
    logged = log_pollinations([Pollinated(cross="Q1", buds=4)], station=plant.station, by=plant.breeder, now=NOW)
    reverse(logged.operations[0], station=plant.station, by=plant.intake, reason="wrong cross", now=NOW)
    assert verify(plant.station).is_whole
