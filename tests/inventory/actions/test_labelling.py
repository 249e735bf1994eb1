"""Printing labels: an act that moves no seed and knows which copy it prints."""

import pytest

from inventory.actions.labelling import Printing, print_labels
from inventory.actions.reversing import reverse
from inventory.models import Entry, Label, Lot, Operation
from inventory.queries.labels import without_label
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.make import NOW, House, bagged, house, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    return house()


def printed(plant: House, by: str = "intake", **asked) -> list[tuple[str, str, int]]:
    booked = print_labels(Printing(**asked), station=plant.station, by=plant.people[by], now=NOW)
    rows = Label.objects.filter(operation=booked.operations[0]).order_by("pk")
    return [(row.what, row.name, row.copy) for row in rows]


def refused(plant: House, **asked) -> str:
    with pytest.raises(Refused) as caught:
        printed(plant, **asked)
    return " ".join(mistake.says for mistake in caught.value.mistakes)


def test_the_second_print_is_copy_2_and_no_seed_moves(plant: House) -> None:
    lot = received(plant)
    entries = Entry.objects.count()
    assert printed(plant, lots=[lot.number]) == [("lot", lot.number, 1)]
    assert printed(plant, by="bench", lots=[lot.number]) == [("lot", lot.number, 2)]
    assert Entry.objects.count() == entries
    assert verify(plant.station).is_whole


def test_bags_and_lots_count_their_copies_apart(plant: House) -> None:
    lot = bagged(plant, received(plant, "109"), count=4, part_bag="9")
    printed(plant, lots=[lot.number])
    assert printed(plant, lots=[lot.number], bags="1-2, 5") == [("bag", f"{lot.number}/{bag}", 1) for bag in (1, 2, 5)]
    assert printed(plant, lots=[lot.number], bags="all")[1:3] == [
        ("bag", f"{lot.number}/2", 2), ("bag", f"{lot.number}/3", 1),
    ]  # fmt: skip


def test_a_print_that_was_taken_back_does_not_count(plant: House) -> None:
    lot = received(plant)
    printed(plant, lots=[lot.number])
    reverse(Operation.objects.get(kind="label"), station=plant.station, by=plant.records, reason="wrong roll", now=NOW)
    assert printed(plant, lots=[lot.number]) == [("lot", lot.number, 1)]


def test_a_label_of_a_lot_whose_making_was_taken_back_is_refused(plant: House) -> None:
    lot = received(plant)
    reverse(Operation.objects.get(kind="receive"), station=plant.station, by=plant.records, reason="wrong", now=NOW)
    assert f"{lot.number} was taken back and holds no seed." in refused(plant, lots=[lot.number])
    assert not Label.objects.exists()


def test_a_printed_label_does_not_keep_a_lot_from_being_taken_back(plant: House) -> None:
    lot = received(plant)
    printed(plant, lots=[lot.number])
    making = Operation.objects.get(kind="receive")
    reverse(making, station=plant.station, by=plant.records, reason="wrong", now=NOW)
    assert verify(plant.station).is_whole


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({}, "Lots is missing"),
        ({"lots": ["24-0099"]}, "No lot 24-0099-1 is in the books"),
        ({"lots": ["24-0001-5"], "bags": "7"}, "Bag 24-0001-5/7 is not in store"),
        ({"lots": ["24-0001-5"], "bags": "some"}, "'some' names no bags"),
        ({"lots": ["24-0001-5"], "bags": "all"}, "24-0001-5 has no bags in store. Bag it off first"),
        ({"lots": ["24-0001-5", "24-0002-8"], "bags": "1"}, "Bags belong to one lot"),
        ({"bags": "1"}, "Bags belong to one lot"),
        ({"lots": ["24-0001-5"] * 2_001}, "2,001 labels are more than 2,000 at once"),
        ({"places": ["Z-99"]}, "'Z-99' is not a place we know"),
        ({"containers": ["SB-7"]}, "'SB-7' is not a container we know"),
    ],
)
def test_what_cannot_be_printed_is_said(plant: House, asked: dict, says: str) -> None:
    received(plant)
    received(plant, plot="ST24-N-1-2")
    assert says in refused(plant, **asked)


def test_new_lots_wait_for_their_labels_and_old_and_empty_ones_do_not(plant: House) -> None:
    old = received(plant)
    new = received(plant, plot="ST24-N-1-2", at="2025-05-31")
    newer = received(plant, plot="ST24-B-1-1", at="2025-06-01")
    gone = received(plant, plot="ST24-B-1-2", at="2025-06-01")
    making = Operation.objects.filter(identities__lot=gone).get()
    reverse(making, station=plant.station, by=plant.records, reason="wrong", now=NOW)
    assert [one.lot for one in without_label(plant.station, NOW)] == [new, newer]
    printed(plant, lots=[new.number])
    assert [one.lot for one in without_label(plant.station, NOW)] == [newer]
    assert Lot.objects.get(pk=old.pk)
