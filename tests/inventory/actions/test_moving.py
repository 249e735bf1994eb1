"""Moving seed, and tipping it from bag to bag."""

from decimal import Decimal

import pytest

from inventory.actions.moving import Move, Tip, into_bag, move, move_all
from inventory.actions.reversing import reverse
from inventory.models import Lot, Operation, Stock
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.make import NOW, House, bagged, house, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    return house()


def bag_kg(lot: Lot, number: int) -> dict[str, Decimal]:
    """What a bag holds, by place [kg]."""
    rows = Stock.objects.filter(lot=lot, bag_no=number, mg__gt=0).select_related("place")
    return {row.place.code: Decimal(row.mg) / 1_000_000 for row in rows}


def test_what_was_too_much_for_the_field_goes_back_into_the_part_bag(plant: House) -> None:
    lot = bagged(plant, received(plant, "779.2"), count=31, part_bag="3.8", spilled="0.4")
    tip = Tip(lot=lot.number, into="32", from_bag="2", mass="5.0", at="2025-05-20")
    into_bag(tip, station=plant.station, by=plant.breeder, now=NOW)
    assert (bag_kg(lot, 32), bag_kg(lot, 2)) == ({"F-1": Decimal("8.8")}, {"F-1": Decimal("20")})
    assert verify(plant.station).is_whole


def test_a_whole_bag_or_all_loose_seed_is_tipped_where_no_mass_is_given(plant: House) -> None:
    lot = bagged(plant, received(plant, "53"), count=2)
    into_bag(Tip(lot=lot.number, into="1"), station=plant.station, by=plant.line, now=NOW)
    into_bag(Tip(lot=lot.number, into="1", from_bag="2"), station=plant.station, by=plant.line, now=NOW)
    assert (bag_kg(lot, 1), bag_kg(lot, 2)) == ({"F-1": Decimal("53")}, {})


def test_bags_keep_their_numbers_and_seed_keeps_its_lot(plant: House) -> None:
    lot = bagged(plant, received(plant, "100"), count=4)
    moves = [Move(lot=lot.number, to="A-01", bags="1-2"), Move(lot=lot.number, to="B-01", bags="2, 4")]
    booked = move_all(moves, station=plant.station, by=plant.line, now=NOW)
    assert len(booked.operations) == 2
    assert [list(bag_kg(lot, number)) for number in (1, 2, 3, 4)] == [["A-01"], ["B-01"], ["F-1"], ["B-01"]]


def test_of_several_moves_none_is_booked_where_one_cannot_be(plant: House) -> None:
    lot = received(plant, "100")
    moves = [Move(lot=lot.number, to="A-01", mass="60"), Move(lot=lot.number, to="A-01", mass="60", place="F-1")]
    with pytest.raises(Refused, match=r"40.0 kg left of 24-0001-5 at F-1; this asks 60.0"):
        move_all(moves, station=plant.station, by=plant.line, now=NOW)
    assert Operation.objects.count() == 1


def test_a_lot_at_two_places_needs_to_be_told_from_which(plant: House) -> None:
    lot = received(plant, "100")
    move(Move(lot=lot.number, to="A-01", mass="60"), station=plant.station, by=plant.line, now=NOW)
    with pytest.raises(Refused, match=r"stands at A-01, F-1. Say from which place"):
        move(Move(lot=lot.number, to="B-01"), station=plant.station, by=plant.line, now=NOW)


def test_a_move_of_bags_that_moved_on_is_not_reversed_first(plant: House) -> None:
    lot = bagged(plant, received(plant, "100"), count=4)
    first = move(Move(lot=lot.number, to="A-01", bags="1"), station=plant.station, by=plant.line, now=NOW)
    move(Move(lot=lot.number, to="B-01", bags="1"), station=plant.station, by=plant.line, now=NOW)
    with pytest.raises(Refused, match="was used by move"):
        reverse(first.operations[0], station=plant.station, by=plant.records, reason="slip", now=NOW)
