"""A count is an assertion: equal to the books, or different with a reason."""

from decimal import Decimal
from typing import Any

import pytest

from inventory.actions.acting import Booked
from inventory.actions.counting import Count, Found, count, show_count
from inventory.actions.moving import Move, move
from inventory.actions.reversing import reverse
from inventory.actions.writing_off import WriteOff, write_off
from inventory.models import Entry, Lot, Operation
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.make import NOW, House, bagged, house, kg_left, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    return house()


def counted(plant: House, *found: Found, place: str = "F-1", why: str = "", **more: Any) -> Booked:
    answers = {"count_differs": why} if why else None
    asked = Count(place=place, found=found, **more)
    return count(asked, station=plant.station, by=plant.intake, answers=answers, now=NOW)


def test_a_count_that_is_equal_is_an_act_without_masses(plant: House) -> None:
    lot = received(plant, "800")
    booked = counted(plant, Found(lot=lot.number, mass="800"), is_all=True).operations[0]
    assert (booked.kind, booked.entries.count()) == ("count", 0)
    assert verify(plant.station).is_whole


def test_differences_are_shown_before_anything_is_written(plant: House) -> None:
    lot = received(plant, "800")
    asked = Count(place="F-1", found=(Found(lot=lot.number, mass="795.5"),))
    found = show_count(asked, station=plant.station, now=NOW)
    assert [(one.what, one.books_mg, one.counted_mg, one.mg) for one in found] == [
        ("24-0001-5", 800_000_000, 795_500_000, -4_500_000)
    ]
    with pytest.raises(Refused, match=r"24-0001-5 at F-1: 795.5 kg counted, the books say 800.0, 4.5 less"):
        counted(plant, *asked.found)
    assert Operation.objects.count() == 1


def test_differences_become_entries_with_their_reason(plant: House) -> None:
    less, more = received(plant, "800"), received(plant, "100", at="2024-09-25")
    found = (Found(lot=less.number, mass="795.5"), Found(lot=more.number, mass="101"))
    booked = counted(plant, *found, why="mice, and a bag weighed short").operations[0]
    assert (kg_left(less), kg_left(more)) == (Decimal("795.5"), 101)
    assert list(booked.entries.filter(account="unaccounted").values_list("mg", flat=True)) == [4_500_000, -1_000_000]
    assert booked.reason == "mice, and a bag weighed short"
    reverse(booked, station=plant.station, by=plant.records, reason="scale was off", now=NOW)
    assert (kg_left(less), kg_left(more)) == (800, 100)
    assert verify(plant.station).is_whole


def test_what_was_not_found_is_not_there_only_where_all_was_counted(plant: House) -> None:
    one, other = received(plant, "800"), received(plant, "100", at="2024-09-25")
    assert not counted(plant, Found(lot=one.number, mass="800")).operations[0].entries.exists()
    with pytest.raises(Refused, match=r"24-0002-8 at F-1: 0.0 kg counted, the books say 100.0"):
        counted(plant, Found(lot=one.number, mass="800"), is_all=True)
    counted(plant, Found(lot=one.number, mass="800"), is_all=True, why="fed to the pigs")
    assert kg_left(other) == 0


def test_bags_are_counted_by_number_or_weighed_one_by_one(plant: House) -> None:
    lot = bagged(plant, received(plant, "109"), count=4, part_bag="9")
    counted(
        plant, Found(lot=lot.number, bags="1-4"), Found(lot=lot.number, bags="5", mass="8.7"), why="spill", is_all=True
    )
    assert Entry.objects.get(operation__kind="count", lot=lot).mg == -300_000
    with pytest.raises(Refused, match="One mass is given for 2 bags"):
        counted(plant, Found(lot=lot.number, bags="1-2", mass="50"))
    with pytest.raises(Refused, match=r"bag 24-0001-5/3 at F-1: 0.0 kg counted"):
        counted(plant, Found(lot=lot.number, bags="1-2, 4-5"), is_all=True)


def test_a_bag_of_another_place_is_moved_and_not_counted(plant: House) -> None:
    lot = bagged(plant, received(plant, "100"), count=4)
    move(Move(lot=lot.number, to="A-01", bags="2"), station=plant.station, by=plant.line, now=NOW)
    with pytest.raises(Refused, match="Bag 24-0001-5/2 stands at A-01 in the books"):
        counted(plant, Found(lot=lot.number, bags="1-4"))


def test_a_count_entered_late_is_held_against_the_books_of_its_day(plant: House) -> None:
    lot = received(plant, "800", at="2024-09-24")
    asked = WriteOff(lot=lot.number, mass="300", at="2024-12-01")
    write_off(asked, station=plant.station, by=plant.records, reason="wet", now=NOW)
    assert not counted(plant, Found(lot=lot.number, mass="800"), at="2024-11-01").operations[0].entries.exists()
    counted(plant, Found(lot=lot.number, mass="790"), at="2024-11-01", why="mice")
    assert kg_left(lot) == 490


@pytest.mark.parametrize(
    ("found", "more", "says"),
    [
        ((), {}, "Found is missing"),
        ((Found(lot="24-0001-5", mass="-1"),), {}, "less than nothing"),
        ((Found(lot="24-0001-5", mass="NaN"),), {}, "cannot be read"),
        ((Found(lot="24-0001-5", mass="1,234"),), {}, "can be 1.234 or 1,234"),
        ((Found(lot="24-0001-5"),), {}, "Mass is missing"),
        ((Found(lot="24-0001-6", mass="1"),), {}, "does not check"),
        ((Found(lot="24-0900", mass="1"),), {}, "No lot 24-0900"),
        ((Found(lot="24-0001-5", bags="7"),), {}, "Bag 24-0001-5/7 is not in store"),
        ((Found(lot="24-0001-5", bags="7", mass="25"),), {}, "Bag 24-0001-5/7 is not in store"),
        ((Found(lot="24-0001-5", bags="1-99999"),), {}, "more than 5,000 bags"),
        ((Found(lot="24-0001-5", bags="x"),), {}, "names no bags"),
        ((Found(lot="24-0001-5", mass="1"), Found(lot="240001", mass="2")), {}, "counted twice"),
        ((Found(lot="24-0001-5", mass="800"),), {"place": "Z-1"}, "Z-1"),
        ((Found(lot="24-0001-5", mass="800"),), {"at": "2025-07-01"}, "2025-07-01"),
    ],
)
def test_a_count_that_cannot_be_read_is_refused(plant: House, found: Any, more: dict[str, str], says: str) -> None:
    lot = received(plant, "800")
    with pytest.raises(Refused, match=says):
        counted(plant, *found, why="a reason helps nothing here", **more)
    assert (Operation.objects.count(), kg_left(lot)) == (1, 800)


def test_whoever_may_not_count_is_told_who_may(plant: House) -> None:
    lot: Lot = received(plant, "800")
    with pytest.raises(Refused, match="may not count stock"):
        count(Count(place="F-1", found=(Found(lot=lot.number, mass="800"),)), station=plant.station, by=plant.bench)
