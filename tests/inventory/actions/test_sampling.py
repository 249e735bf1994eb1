"""Seed drawn for samples, taken for tests, and measured without taking any."""

import pytest

from inventory.actions.holding import hold
from inventory.actions.measuring import MoistureReading, read_moisture_of
from inventory.actions.reversing import reverse
from inventory.actions.sampling import Drawing, draw, draw_all
from inventory.actions.testing import take_for_test
from inventory.models import Entry, Moisture, Operation
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.make import NOW, House, bagged, house, kg_left, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    return house()


def test_a_sample_leaves_its_lot_once_and_comes_back_when_it_is_reversed(plant):
    lot = received(plant)
    drawn = draw(Drawing(lot=lot.number, mass="2.0"), station=plant.station, by=plant.bench, now=NOW)
    assert kg_left(lot) == 798
    assert Entry.objects.get(account="sampled").mg == 2_000_000
    reverse(drawn.operations[0], station=plant.station, by=plant.intake, reason="wrong lot", now=NOW)
    assert kg_left(lot) == 800
    assert verify(plant.station).is_whole


def test_bags_are_drawn_from_evenly(plant):
    lot = bagged(plant, received(plant, "100"), count=4)
    draw(Drawing(lot=lot.number, mass="2.0", bags="1-4"), station=plant.station, by=plant.bench, now=NOW)
    taken = Entry.objects.filter(operation__kind="sample", bag_no__gt=0)
    assert sorted(taken.values_list("bag_no", "mg")) == [(bag, -500_000) for bag in (1, 2, 3, 4)]
    assert verify(plant.station).is_whole


def test_seed_on_hold_may_be_sampled_and_tested(plant):
    lot = received(plant)
    hold([lot.number], station=plant.station, by=plant.bench, reason="germination 79 %", now=NOW)
    draw(Drawing(lot=lot.number, mass="2.0"), station=plant.station, by=plant.bench, now=NOW)
    germination = Drawing(lot=lot.number, mass="0.3", purpose="germination")
    take_for_test(germination, station=plant.station, by=plant.bench, now=NOW)
    tested = Entry.objects.get(account="tested")
    assert (tested.stream, tested.mg) == ("germination", 300_000)
    assert verify(plant.station).is_whole


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({"lot": "24-0002-8"}, "No lot 24-0002-8 is in the books."),
        ({"lot": ""}, "Lot is missing."),
        ({"mass": "0"}, "Mass is 0: nothing would move."),
        ({"mass": "801"}, "800.0 kg left of 24-0001-5 at F-1; this asks 801.0."),
        ({"bags": "9"}, "Bag 24-0001-5/9 is not in store."),
        ({"place": "B-01"}, "Nothing of 24-0001-5 is at B-01; it stands at F-1. Take it from there."),
    ],
)
def test_a_sample_that_cannot_be_drawn_is_refused_and_nothing_is_saved(plant, asked, says):
    lot = received(plant)
    good = Drawing(lot=lot.number, mass="2.0")
    with pytest.raises(Refused) as refusal:
        rows = [good, Drawing(**{"lot": lot.number, "mass": "2.0", **asked})]
        draw_all(rows, station=plant.station, by=plant.bench, now=NOW)
    assert says.replace("800.0", "798.0") in str(refusal.value)
    assert kg_left(lot) == 800
    assert Operation.objects.count() == 1


def test_a_bag_with_less_than_its_even_part_is_named(plant):
    lot = bagged(plant, received(plant, "26"), count=1, part_bag="1")
    with pytest.raises(Refused, match=f"1.0 kg left of bag {lot.number}/2 at its place, drawn evenly; this asks 2.0"):
        draw(Drawing(lot=lot.number, mass="4", bags="1-2"), station=plant.station, by=plant.bench, now=NOW)


@pytest.mark.parametrize(("purpose", "says"), [("", "Purpose is missing."), ("fun", "'fun' is no kind of test here.")])
def test_a_test_says_what_for(plant, purpose, says):
    lot = received(plant)
    with pytest.raises(Refused, match=says):
        taking = Drawing(lot=lot.number, mass="0.3", purpose=purpose)
        take_for_test(taking, station=plant.station, by=plant.bench, now=NOW)
    assert kg_left(lot) == 800


def test_a_moisture_moves_no_seed_and_does_not_bar_a_reversal(plant):
    lot = received(plant)
    making = Operation.objects.get()
    reading = MoistureReading(lot=lot.number, moisture="15.2 %")
    read_moisture_of([reading], station=plant.station, by=plant.line, now=NOW)
    assert Moisture.objects.get().wet_basis_pct == "15.2"
    reverse(making, station=plant.station, by=plant.intake, reason="wrong bin", now=NOW)
    assert verify(plant.station).is_whole


@pytest.mark.parametrize(
    ("typed", "says"),
    [("0.162", "Did you mean 16.2 %?"), ("21.1", "Is it on dry basis?"), ("", "Moisture is missing"), ("x", "x")],
)
def test_an_unlikely_moisture_is_asked_about_and_nothing_is_saved(plant, typed, says):
    lot = received(plant)
    rows = [MoistureReading(lot=lot.number, moisture="15"), MoistureReading(lot=lot.number, moisture=typed)]
    with pytest.raises(Refused) as refusal:
        read_moisture_of(rows, station=plant.station, by=plant.line, now=NOW)
    assert says in str(refusal.value)
    assert not Moisture.objects.exists()
