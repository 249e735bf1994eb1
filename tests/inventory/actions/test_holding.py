"""Holds."""

import pytest

from inventory.actions.holding import hold, lift
from inventory.actions.reversing import reverse
from inventory.models import ActiveHold, Operation
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.make import NOW, House, cleaned, house, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    return house()


def held(plant, *lots, **more):
    return hold([lot.number for lot in lots], station=plant.station, by=plant.bench, reason="odour", now=NOW, **more)


def freed(plant, lot, **more):
    return lift(lot.number, station=plant.station, by=plant.breeder, reason="aired", now=NOW, **more)


def on_hold():
    return sorted(ActiveHold.objects.values_list("lot__number", flat=True))


def test_a_hold_passes_to_lots_made_afterwards_and_is_lifted_from_each_or_all(plant):
    raw = received(plant)
    held(plant, raw)
    clean = cleaned(plant, raw, "400", "380")
    assert on_hold() == [raw.number, clean.number]
    freed(plant, raw)
    assert on_hold() == [clean.number]
    assert verify(plant.station).is_whole


def test_a_hold_is_lifted_with_all_that_came_of_the_lot(plant):
    raw = received(plant)
    held(plant, raw)
    cleaned(plant, raw, "400", "380")
    lifted = freed(plant, raw, with_descendants=True)
    assert on_hold() == []
    assert lifted.operations[0].about == Operation.objects.get(kind="hold")
    assert verify(plant.station).is_whole


def test_lots_made_before_are_held_only_where_it_is_asked(plant):
    raw = received(plant)
    clean = cleaned(plant, raw, "400", "380")
    held(plant, raw)
    assert on_hold() == [raw.number]
    held(plant, raw, with_descendants=True)
    assert on_hold() == [raw.number, raw.number, clean.number]


def test_two_holds_are_lifted_by_two_acts(plant):
    lot = received(plant)
    held(plant, lot)
    held(plant, lot)
    assert [operation.kind for operation in freed(plant, lot).operations] == ["lift", "lift"]
    assert verify(plant.station).is_whole


@pytest.mark.parametrize("who", ["intake", "line", "bench", "stranger"])
def test_only_breeder_and_records_lift(plant, who):
    lot = received(plant)
    held(plant, lot)
    with pytest.raises(Refused, match="may not lift a hold; breeder or records may"):
        lift(lot.number, station=plant.station, by=getattr(plant, who), reason="hurry", now=NOW)
    assert on_hold() == [lot.number]


def test_a_hold_is_not_taken_back_by_somebody_who_may_not_lift_it(plant):
    lot = received(plant)
    laid = held(plant, lot).operations[0]
    with pytest.raises(Refused, match="intake may not lift a hold"):
        reverse(laid, station=plant.station, by=plant.intake, reason="hurry", now=NOW)
    assert on_hold() == [lot.number]
    reverse(laid, station=plant.station, by=plant.records, reason="wrong lot", now=NOW)
    assert on_hold() == []
    assert verify(plant.station).is_whole


def test_what_cannot_be_held_or_lifted_is_refused_and_nothing_is_saved(plant):
    lot = received(plant)
    with pytest.raises(Refused, match=r"Write why: a hold is kept with its reason"):
        hold([lot.number], station=plant.station, by=plant.bench, reason="", now=NOW)
    with pytest.raises(Refused, match=r"No lot 24-0002-8 is in the books"):
        hold([lot.number, "24-0002-8"], station=plant.station, by=plant.bench, reason="odour", now=NOW)
    with pytest.raises(Refused, match=r"24-0001-5 is not on hold"):
        freed(plant, lot)
    with pytest.raises(Refused, match=r"Lot is missing"):
        hold([], station=plant.station, by=plant.bench, reason="odour", now=NOW)
    assert Operation.objects.count() == 1
