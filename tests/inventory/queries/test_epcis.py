"""A lot's history as EPCIS 2.0: valid by the published schema, adding up to the ledger, and readable without us."""

from collections.abc import Iterator

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.actions.adjusting import Adjustment, adjust
from inventory.actions.holding import hold, lift
from inventory.actions.moving import Move, move
from inventory.actions.reversing import reverse
from inventory.actions.running import Out
from inventory.models import Lot, Operation, Plot, Station
from inventory.rules.mistakes import Mistake, Refused
from tests.inventory.actions.season import ACTS, Choice, Season
from tests.inventory.queries.epcis_reading import adds_up, events, is_traced, standing, told, wrongs
from tests.make import NOW, House, bagged, cleaned, house, received, run


def keeps_its_promises(station: Station, lot: str) -> bool:
    """Valid, adding up, and leading back as the trace does."""
    document = told(station, lot)
    assert wrongs(document) == []
    return adds_up(document) and is_traced(station, lot, document)


@pytest.fixture
def plant(db: None) -> House:
    return house()


def test_each_time_has_the_offset_of_its_own_day(plant: House) -> None:
    Station.objects.update(zone="America/Chicago")
    station = Station.objects.get()
    lot = received(House(station, plant.people), at="2024-09-24T08:00")
    lot = cleaned(House(station, plant.people), lot, "798", "741.2", at="2024-12-08T08:00")
    made, run_event = events(told(station, lot))
    assert (made["eventTimeZoneOffset"], made["eventTime"]) == ("-05:00", "2024-09-24T13:00:00.000Z")
    assert (run_event["eventTimeZoneOffset"], run_event["eventTime"]) == ("-06:00", "2024-12-08T14:00:00.000Z")


@pytest.mark.parametrize(("zone", "offset"), [("Asia/Kolkata", "+05:30"), ("America/St_Johns", "-02:30")])
def test_offsets_of_half_hours_are_told(plant: House, zone: str, offset: str) -> None:
    Station.objects.update(zone=zone)
    (made,) = events(told(Station.objects.get(), received(plant, at="2024-09-24")))
    assert made["eventTimeZoneOffset"] == offset


def test_a_reversal_tells_the_same_event_again_as_one_that_did_not_occur(plant: House) -> None:
    lot = received(plant)
    bagged(plant, lot, count=4)
    bagging = Operation.objects.get(kind="bag")
    reverse(bagging, station=plant.station, by=plant.intake, reason="miscounted", now=NOW)
    first, declared = events(told(plant.station, lot), "bag")
    error = declared.pop("errorDeclaration")
    assert declared == first
    assert (error["reason"], "correctiveEventIDs" in error) == ("did_not_occur", False)
    assert keeps_its_promises(plant.station, lot.number)


def test_a_hold_and_its_lifting_set_and_unset_what_persists(plant: House) -> None:
    lot = received(plant)
    hold([lot.number], station=plant.station, by=plant.bench, reason="smell", now=NOW)
    lift(lot.number, station=plant.station, by=plant.breeder, reason="aired", now=NOW)
    document = told(plant.station, lot)
    said = [event["persistentDisposition"] for event in events(document) if "persistentDisposition" in event]
    assert said == [{"set": ["non_sellable_other"]}, {"unset": ["non_sellable_other"]}]
    assert keeps_its_promises(plant.station, lot.number)


def test_a_correction_that_is_taken_back_restores_what_was_told(plant: House) -> None:
    season, lot = Season(plant), received(plant)
    booked = season.do(adjust, Adjustment(lot=lot.number, mass="+13.5", at="2025-05-02"), plant.records)
    (told_now,) = [event for event in standing(told(plant.station, lot)) if event["bizStep"] == "commissioning"]
    assert told_now["quantityList"][0]["quantity"] == 813.5
    reverse(booked.operations[0], station=plant.station, by=plant.records, reason="no", now=NOW)
    (told_now,) = [event for event in standing(told(plant.station, lot)) if event["bizStep"] == "commissioning"]
    assert told_now["quantityList"][0]["quantity"] == 800.0
    assert keeps_its_promises(plant.station, lot.number)


def test_a_moved_bag_is_seen_where_it_was_put(plant: House) -> None:
    lot = bagged(plant, received(plant, "100"), count=4)
    move(Move(lot=lot.number, to="B-01", bags="2", at="2024-12-10"), station=plant.station, by=plant.intake, now=NOW)
    (event,) = events(told(plant.station, lot), "move")
    (bag,) = event["epcList"]
    assert bag in events(told(plant.station, lot), "bag")[0]["outputEPCList"]
    assert event["readPoint"] != event["bizLocation"]
    assert "quantityList" not in event


def test_the_queries_do_not_grow_with_the_history(plant: House) -> None:
    counts = []
    lot = cleaned(plant, received(plant), "798", "741.2")
    for number in range(1, 5):
        with CaptureQueriesContext(
            connection,
        ) as queries:
            told(plant.station, lot)
        counts.append(len(queries))
        booked = run(
            plant,
            lot,
            f"{700 - 100 * number}",
            "0",
            number=f"R{number}",
            outs=(Out(mass=f"{600 - 100 * number}"), Out(mass="40")),
            taken_off={"throughs": "60"},
        )
        lot = booked.lots[0]
    assert len(set(counts)) == 1, counts
    assert counts[0] <= 30


def test_a_number_that_does_not_check_is_said(plant: House) -> None:
    received(plant)
    with pytest.raises(Mistake):
        told(plant.station, "24-0001-6")


def test_nothing_is_told_of_another_station(plant: House) -> None:
    mine, other = received(plant), house("OT")
    with pytest.raises(Mistake):
        told(other.station, mine.number)


@pytest.mark.parametrize("seed", [1, 7, 23])
def test_whatever_people_do_every_document_is_valid_and_adds_up(plant: House, seed: int) -> None:
    season = Season(plant)
    for older in Plot.objects.filter(code__endswith="-1").order_by("pk"):
        code = older.code.replace("ST24", "ST25")
        Plot.objects.create(station=plant.station, site=older.site, code=code, season=2025, line=older.line)
    draws = _numbers(seed)
    for pick in (0, 5):
        ACTS["a_delivery"](season, Choice(pick, 1, 100))
    names = sorted(set(ACTS))
    for _step in range(45):
        try:
            ACTS[names[next(draws) % len(names)]](
                season, Choice(next(draws) % 61, next(draws) % 25, 1 + next(draws) % 100)
            )
        except Refused:
            continue
    for lot in Lot.objects.filter(station=plant.station):
        assert keeps_its_promises(plant.station, lot.number)


def _numbers(seed: int) -> Iterator[int]:
    """Numbers that look random and are the same each time (Park and Miller, 1988: 48271 modulo 2^31 - 1)."""
    number = seed
    while True:
        number = number * 48271 % (2**31 - 1)
        yield number >> 3
