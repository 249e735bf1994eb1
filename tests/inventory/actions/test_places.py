"""Places and containers."""

from datetime import date

import pytest

from inventory.actions.places import NewContainer, add_containers, add_places, check_tare
from inventory.models import Container, Operation, Place
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.make import NOW, House, house

pytestmark = pytest.mark.django_db
BIN = NewContainer(code="SB-1", kind="steel bin", tare="42.0", checked_on="2024-09-01")


@pytest.fixture
def plant() -> House:
    return house()


def test_places_are_entered_once(plant):
    booked = add_places({"C-1": "cold room", "A-01": ""}, station=plant.station, by=plant.records, now=NOW)
    assert len(booked.operations) == 1
    assert Place.objects.get(code="C-1").name == "cold room"


def test_a_place_of_another_name_is_refused_and_nothing_is_saved(plant):
    with pytest.raises(Refused, match="Place A-01 is in the books already"):
        add_places({"C-1": "cold room", "A-01": "rack"}, station=plant.station, by=plant.records, now=NOW)
    assert not Place.objects.filter(code="C-1").exists()


def test_a_container_has_a_tare_and_the_day_it_was_checked(plant):
    add_containers([BIN], station=plant.station, by=plant.records, now=NOW)
    container = Container.objects.get()
    assert (container.tare_mg, container.checked_on) == (42_000_000, date(2024, 9, 1))
    check_tare("SB-1", "41.8", checked_on="2025-03-01", station=plant.station, by=plant.records, now=NOW)
    container.refresh_from_db()
    assert (container.tare_mg, container.checked_on) == (41_800_000, date(2025, 3, 1))
    assert verify(plant.station).is_whole


def test_a_container_that_cannot_stand_is_refused_with_all_that_is_wrong(plant):
    add_containers([BIN], station=plant.station, by=plant.records, now=NOW)
    with pytest.raises(Refused) as refusal:
        add_containers([NewContainer(code="SB-1", kind="", tare="x")], station=plant.station, by=plant.records, now=NOW)
    assert [mistake.field for mistake in refusal.value.mistakes] == ["kind", "container", "tare"]
    assert Operation.objects.count() == 1


def test_only_records_sets_up_places(plant):
    with pytest.raises(Refused, match="line may not set up places and containers; records may"):
        add_places({"C-1": ""}, station=plant.station, by=plant.line, now=NOW)
