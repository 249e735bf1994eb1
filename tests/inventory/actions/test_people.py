"""Stations and the people who work at them."""

import pytest

from inventory.actions.people import add_person, change_role, open_station
from inventory.models import ChainHead, Membership, Operation, Station
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.make import NOW, House, house

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    return house()


def test_a_new_station_has_its_chain_and_one_person_of_records():
    station = open_station("QS", "A station", records="ruth", zone="Etc/GMT+5", now=NOW)
    assert ChainHead.objects.get(station=station).seq == 1
    member = Membership.objects.get(station=station)
    assert (member.user.username, member.role, member.user.has_usable_password()) == ("ruth", "records", False)
    assert Operation.objects.get().by == member.user
    assert verify(station).is_whole


@pytest.mark.parametrize(
    ("code", "zone", "records", "says"),
    [
        ("ST", "UTC", "ruth", "Station ST is in the books already: it is A small station."),
        ("QS", "Mars/Base", "ruth", "'Mars/Base' is no time zone we know."),
        ("QS", "../etc", "ruth", "'../etc' is no time zone we know."),
        ("QS", "UTC", "", "Records is missing."),
        ("", "UTC", "ruth", "Station is missing."),
        ("S" * 13, "UTC", "ruth", "has 13 signs; up to 12 fit."),
    ],
)  # fmt: skip
def test_a_station_that_cannot_stand_is_refused_and_nothing_is_saved(plant, code, zone, records, says):
    with pytest.raises(Refused) as refusal:
        open_station(code, "Another", records=records, zone=zone, now=NOW)
    assert says in str(refusal.value)
    assert Station.objects.count() == 1


def test_records_gives_people_their_roles(plant):
    add_person("tom", "bench", station=plant.station, by=plant.records, now=NOW)
    assert Membership.objects.get(user__username="tom").role == "bench"
    assert add_person("tom", "bench", station=plant.station, by=plant.records, now=NOW).operations == ()
    change_role("tom", "line", station=plant.station, by=plant.records, reason="moved", now=NOW)
    assert Membership.objects.get(user__username="tom").role == "line"
    assert verify(plant.station).is_whole


@pytest.mark.parametrize(
    ("person", "role", "says"),
    [
        ("tom", "boss", "'boss' is no role here. Use intake, line, bench, breeder or records."),
        ("", "line", "Person is missing."),
        ("line-st", "bench", "line-st is line here. Change the role instead of adding the person."),
    ],
)
def test_a_role_that_cannot_be_given_is_refused(plant, person, role, says):
    with pytest.raises(Refused) as refusal:
        add_person(person, role, station=plant.station, by=plant.records, now=NOW)
    assert says in str(refusal.value)
    assert not Operation.objects.exists()


def test_somebody_always_stays_in_records(plant):
    with pytest.raises(Refused, match="records-st is the only one in records"):
        change_role("records-st", "line", station=plant.station, by=plant.records, reason="moved", now=NOW)
    with pytest.raises(Refused, match="Nobody called 'tim' works here"):
        change_role("tim", "line", station=plant.station, by=plant.records, reason="moved", now=NOW)


def test_nobody_gives_roles_but_records(plant):
    with pytest.raises(Refused, match="breeder may not give people their roles; records may"):
        add_person("tom", "records", station=plant.station, by=plant.breeder, now=NOW)
