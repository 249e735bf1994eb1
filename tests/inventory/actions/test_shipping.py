"""Seed that leaves, and what of it comes back."""

import pytest

from inventory.actions.holding import hold, lift
from inventory.actions.promising import Promising, promise
from inventory.actions.returning import Returning, take_back
from inventory.actions.reversing import reverse
from inventory.actions.shipping import Item, Shipping, ship
from inventory.actions.treating import Treating, treat
from inventory.models import ActiveHold, Entry, Operation, Shipment, Stock
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.make import NOW, House, bagged, cleaned, house, kg_left, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    return house()


def shipped(plant, *items, answers=None, **more):
    shipping = Shipping(**{"code": "S1", "recipient": "Tollhaven", "items": items, **more})
    return ship(shipping, station=plant.station, by=plant.intake, now=NOW, answers=answers)


def returned(plant, lot, **more):
    back = Returning(**{"shipment": "S1", "lot": lot.number, "place": "B-01", **more})
    return take_back(back, station=plant.station, by=plant.intake, reason="wet on arrival", now=NOW)


def test_bags_and_loose_seed_of_two_lots_leave_under_one_code(plant):
    bags = bagged(plant, received(plant, "100"), count=4)
    loose = received(plant, "50", plot="ST24-N-1-2")
    booked = shipped(plant, Item(lot=bags.number, bags="1-2"), Item(lot=loose.number, mass="30"))
    assert (kg_left(bags), kg_left(loose)) == (50, 20)
    assert (Shipment.objects.get().code, len(booked.operations)) == ("S1", 1)
    assert sorted(Entry.objects.filter(account="shipped").values_list("mg", flat=True)) == [30_000_000, 50_000_000]
    assert verify(plant.station).is_whole
    reverse(booked.operations[0], station=plant.station, by=plant.intake, reason="truck broke", now=NOW)
    assert (kg_left(bags), kg_left(loose)) == (100, 50)
    assert verify(plant.station).is_whole


def test_the_same_bag_does_not_leave_twice_in_one_shipment(plant):
    lot = bagged(plant, received(plant, "100"), count=4)
    with pytest.raises(Refused, match="Bag 24-0001-5/2 is not in store"):
        shipped(plant, Item(lot=lot.number, bags="1-2"), Item(lot=lot.number, bags="2-3"))
    assert kg_left(lot) == 100


@pytest.mark.parametrize(
    ("asked", "item", "says"),
    [
        ({"code": ""}, {}, "Shipment is missing."),
        ({"recipient": " "}, {}, "Recipient is missing."),
        ({"purpose": "gift"}, {}, "'gift' is no purpose of a shipment. Use seed, food, feed, canning or trial."),
        ({"items": ()}, {}, "Lot is missing."),
        ({}, {"mass": "0"}, "Mass is 0"),
        ({}, {"mass": "900"}, "800.0 kg left of 24-0001-5 at F-1; this asks 900.0."),
        ({}, {"bags": "x"}, "'x' names no bags."),
    ],
)
def test_a_shipment_that_cannot_leave_is_refused_and_nothing_is_saved(plant, asked, item, says):
    lot = received(plant)
    with pytest.raises(Refused) as refusal:
        shipped(plant, Item(**{"lot": lot.number, "mass": "10", **item}), **asked)
    assert says in str(refusal.value)
    assert (kg_left(lot), Operation.objects.count(), Shipment.objects.count()) == (800, 1, 0)


def test_a_code_that_left_already_is_asked_about(plant):
    lot = received(plant)
    shipped(plant, Item(lot=lot.number, mass="10"))
    with pytest.raises(Refused, match="S1 left already on 2025-06-01, to Tollhaven"):
        shipped(plant, Item(lot=lot.number, mass="10"))
    shipped(plant, Item(lot=lot.number, mass="10"), answers={"code_shipped": "second truck"})
    assert Shipment.objects.count() == 2


def test_seed_on_hold_does_not_leave_even_as_food(plant):
    lot = received(plant)
    hold([lot.number], station=plant.station, by=plant.line, reason="germination 79 %.", now=NOW)
    with pytest.raises(Refused) as refusal:
        shipped(plant, Item(lot=lot.number, mass="10"), purpose="food")
    assert str(refusal.value) == (
        "24-0001-5 is on hold: germination 79 %. breeder-st or records-st can lift it."
    )  # fmt: skip
    assert kg_left(lot) == 800


def test_treated_seed_and_all_made_from_it_leaves_as_seed_and_never_to_be_eaten(plant):
    raw = received(plant)
    treating = Treating(lot=raw.number, product="Seedcoat", dose="2 ml/kg", caution="Not for food or feed.")
    treat(treating, station=plant.station, by=plant.line, now=NOW)
    clean = cleaned(plant, raw, "100", "95", at="2025-06-01")
    for lot in (raw, clean):
        with pytest.raises(
            Refused, match=f"{lot.number} is treated seed, or was made from it: it never leaves for food"
        ):
            shipped(plant, Item(lot=lot.number, mass="10"), purpose="food")
    shipped(plant, Item(lot=clean.number, mass="10"), purpose="seed")
    assert verify(plant.station).is_whole


def test_a_promise_to_others_is_noted_and_one_to_the_recipient_is_not(plant):
    lot = received(plant)
    for recipient in ("Tollhaven", "Brackwater"):
        given = Promising(lot=lot.number, mass="500", recipient=recipient)
        promise(given, station=plant.station, by=plant.breeder, now=NOW)
    booked = shipped(plant, Item(lot=lot.number, mass="400"))
    assert "500.0 kg of 24-0001-5 are promised to Brackwater; 400.0 would be left." in booked.operations[0].content


def test_what_comes_back_goes_into_its_lot_and_is_held(plant):
    lot = received(plant)
    shipped(plant, Item(lot=lot.number, mass="100"))
    booked = returned(plant, lot, mass="40")
    assert [operation.kind for operation in booked.operations] == ["return", "hold"]
    assert dict(Stock.objects.filter(lot=lot).values_list("place__code", "mg")) == {
        "F-1": 700 * 10**6,
        "B-01": 40 * 10**6,
    }
    with pytest.raises(Refused, match="is on hold: came back from S1: wet on arrival"):
        shipped(plant, Item(lot=lot.number, mass="1", place="F-1"), code="S2")
    assert verify(plant.station).is_whole


def test_bags_come_back_whole_under_their_numbers(plant):
    lot = bagged(plant, received(plant, "100"), count=4)
    shipped(plant, Item(lot=lot.number, bags="1-3"))
    returned(plant, lot, bags="2")
    assert Stock.objects.get(lot=lot, bag_no=2, mg__gt=0).place.code == "B-01"
    with pytest.raises(Refused, match="Bag 24-0001-5/2 is not out with S1"):
        returned(plant, lot, bags="2")
    assert verify(plant.station).is_whole


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({"mass": "100.1"}, "100.1 kg of 24-0001-5 came back, but 100.0 kg of it are out with S1."),
        ({"mass": "10", "shipment": "S9"}, "No shipment 'S9' is in the books."),
        ({}, "Mass is missing."),
        ({"mass": "10", "place": "Z"}, "'Z' is not a place we know."),
        ({"bags": "1"}, "Bag 24-0001-5/1 is not out with S1."),
    ],
)
def test_a_return_that_cannot_be_is_refused_and_nothing_is_saved(plant, asked, says):
    lot = received(plant)
    shipped(plant, Item(lot=lot.number, mass="100"))
    with pytest.raises(Refused) as refusal:
        returned(plant, lot, **asked)
    assert says in str(refusal.value)
    assert kg_left(lot) == 700
    assert not ActiveHold.objects.exists()


def test_no_more_comes_back_than_left_in_all_returns_together(plant):
    lot = received(plant)
    shipped(plant, Item(lot=lot.number, mass="100"))
    returned(plant, lot, mass="60")
    with pytest.raises(Refused, match=r"60.0 kg of 24-0001-5 came back, but 40.0 kg of it are out with S1"):
        returned(plant, lot, mass="60")


def test_a_lot_that_did_not_leave_does_not_come_back(plant):
    lot, other = received(plant), received(plant, plot="ST24-N-1-2")
    shipped(plant, Item(lot=lot.number, mass="100"))
    with pytest.raises(Refused, match=f"Nothing of {other.number} left with S1"):
        returned(plant, other, mass="1")


def test_a_return_is_reversed_while_its_hold_stays_until_it_is_lifted(plant):
    lot = received(plant)
    shipping = shipped(plant, Item(lot=lot.number, mass="100"))
    back = returned(plant, lot, mass="40")
    with pytest.raises(Refused, match="was used by return"):
        reverse(shipping.operations[0], station=plant.station, by=plant.intake, reason="x", now=NOW)
    reverse(back.operations[0], station=plant.station, by=plant.intake, reason="not ours", now=NOW)
    assert kg_left(lot) == 700
    lift(lot.number, station=plant.station, by=plant.breeder, reason="nothing came back", now=NOW)
    assert verify(plant.station).is_whole
