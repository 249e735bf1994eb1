"""Decisions about lines, and promises that are let go."""

import json
from decimal import Decimal

import pytest

from inventory.actions.deciding import Deciding, decide
from inventory.actions.promising import Promising, promise, release_promise
from inventory.models import Decision, Operation, Promise
from inventory.queries.promises import open_promises
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.make import NOW, House, house, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    return house()


def test_a_decision_keeps_the_numbers_as_they_were_seen(plant):
    evidence = {"germination %": 79, "yield t/ha": Decimal("2.50"), "appearance": 3.6, "note": "splits", "can": None}
    asked = Deciding(line="N-1", verdict="Drop", reason="germination, splits in the can", evidence=evidence)
    booked = decide([asked], station=plant.station, by=plant.breeder, now=NOW)
    kept = json.loads(booked.operations[0].content)["facts"]["evidence"]
    assert kept == {
        "germination %": 79, "yield t/ha": "2.50", "appearance": "3.6", "note": "splits", "can": None,
    }  # fmt: skip
    assert (Decision.objects.get().verdict, booked.operations[0].reason) == ("drop", "germination, splits in the can")
    assert verify(plant.station).is_whole


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({"verdict": "maybe"}, "'maybe' decides nothing. Use advance, hold or drop."),
        ({"line": "N-9"}, "'N-9' is not a line we know."),
        ({"reason": ""}, "Write why: a decision is kept with its reason."),
    ],
)
def test_a_decision_that_cannot_be_kept_is_refused_and_nothing_is_saved(plant, asked, says):
    good = {"line": "N-1", "verdict": "advance", "reason": "yield"}
    with pytest.raises(Refused) as refusal:
        decide([Deciding(**good), Deciding(**{**good, **asked})], station=plant.station, by=plant.breeder, now=NOW)
    assert says in str(refusal.value)
    assert not Operation.objects.exists()


def test_not_even_records_decides(plant):
    asked = Deciding(line="N-1", verdict="advance", reason="yield")
    with pytest.raises(Refused, match="records may not decide about a line; breeder may"):
        decide([asked], station=plant.station, by=plant.records, now=NOW)


def test_a_promise_stands_until_the_breeder_lets_it_go(plant):
    lot = received(plant)
    asked = Promising(lot=lot.number, mass="600", recipient="Tollhaven", until="2026-05-01")
    given = promise(asked, station=plant.station, by=plant.breeder, now=NOW).operations[0]
    assert [row.mg for row in open_promises([lot.pk])[lot.pk]] == [600_000_000]
    release_promise(given, station=plant.station, by=plant.breeder, reason="kept", now=NOW)
    assert open_promises([lot.pk]) == {}
    assert verify(plant.station).is_whole
    with pytest.raises(Refused, match="was already reversed"):
        release_promise(given, station=plant.station, by=plant.breeder, reason="kept", now=NOW)


def test_more_may_be_promised_than_is_left_and_it_is_said(plant):
    lot = received(plant)
    rows = [Promising(lot=lot.number, mass="600", recipient=to) for to in ("Tollhaven", "Brackwater")]
    booked = [promise(row, station=plant.station, by=plant.breeder, now=NOW) for row in rows]
    assert "600.0 kg of 24-0001-5 are promised to Tollhaven; 200.0 would be left." in booked[1].operations[0].content


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({"mass": "0"}, "Mass is 0"),
        ({"recipient": ""}, "Recipient is missing."),
        ({"until": "soon"}, "'soon'"),
        ({"lot": "24-0009-0"}, "No lot 24-0009-0 is in the books."),
    ],
)
def test_a_promise_that_cannot_be_read_is_refused(plant, asked, says):
    lot = received(plant)
    with pytest.raises(Refused) as refusal:
        row = Promising(**{"lot": lot.number, "mass": "6", "recipient": "Tollhaven", **asked})
        promise(row, station=plant.station, by=plant.breeder, now=NOW)
    assert says in str(refusal.value)
    assert not Promise.objects.exists()


def test_nothing_but_a_promise_is_let_go(plant):
    received(plant)
    with pytest.raises(Refused, match="is no promise"):
        release_promise(Operation.objects.get(), station=plant.station, by=plant.breeder, reason="x", now=NOW)
