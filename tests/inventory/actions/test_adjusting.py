"""Masses found wrong after the seed was used."""

import pytest

from inventory.actions.adjusting import Adjustment, adjust
from inventory.actions.reversing import reverse
from inventory.models import Entry, Operation
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.make import NOW, House, bagged, cleaned, house, kg_left, received, run

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    return house()


def adjusted(plant, lot, mass, **more):
    reason = more.pop("reason", "wrong tare")
    asked = Adjustment(**{"lot": lot.number, "mass": mass, **more})
    return adjust(asked, station=plant.station, by=plant.records, reason=reason, now=NOW)


def accounts():
    rows = Entry.objects.filter(operation__kind="adjust").exclude(account="")
    return dict(rows.values_list("account", "mg"))


@pytest.mark.parametrize(
    ("mass", "left", "harvested"),
    [("+13.5", "813.5", -13_500_000), ("-2 kg", "798", 2_000_000), ("−2", "798", 2_000_000)],
)
def test_an_adjustment_is_a_signed_entry_against_harvested(plant, mass, left, harvested):
    lot = received(plant)
    booked = adjusted(plant, lot, mass)
    assert (str(kg_left(lot)).removesuffix(".0"), accounts()) == (left, {"harvested": harvested})
    assert verify(plant.station).is_whole
    reverse(booked.operations[0], station=plant.station, by=plant.records, reason="it was right", now=NOW)
    assert kg_left(lot) == 800
    assert verify(plant.station).is_whole


def test_it_works_after_the_seed_was_used_when_a_reversal_is_barred(plant):
    lot = received(plant)
    cleaned(plant, lot, "700", "650")
    with pytest.raises(Refused, match="put it right with an adjustment or a reassignment"):
        reverse(Operation.objects.get(kind="receive"), station=plant.station, by=plant.records, reason="x", now=NOW)
    adjusted(plant, lot, "+13.5")
    assert str(kg_left(lot)) == "113.5"


def test_a_bag_is_adjusted_by_its_number(plant):
    lot = bagged(plant, received(plant, "50"), count=2)
    adjusted(plant, lot, "-0.5", bags="2")
    assert str(kg_left(lot)) == "49.5"


@pytest.mark.parametrize(("mass", "lost"), [("+1.5", 9_500_000), ("-1.5", 6_500_000)])
def test_a_used_up_lot_is_adjusted_through_its_run(plant, mass, lost):
    lot = received(plant)
    booked = run(plant, lot, "800", "741.2", taken_off={"throughs": "50.8"})
    adjusted(plant, lot, mass, against_run="R1")
    unaccounted = Entry.objects.filter(account="unaccounted").values_list("mg", flat=True)
    assert sum(unaccounted) == lost
    assert Operation.objects.get(kind="adjust").about == booked.operations[0]
    assert verify(plant.station).is_whole


def test_seed_from_a_sender_is_adjusted_against_received(plant):
    lot = received(plant, plots=(), sender="A grower", their_lot="7/24", line="N-1")
    adjusted(plant, lot, "+1")
    assert accounts() == {"received": -1_000_000}


@pytest.mark.parametrize(
    ("mass", "more", "says"),
    [
        ("0", {}, "Mass is 0: nothing would move."),
        ("", {}, "Mass is missing."),
        ("--2", {}, "less than nothing"),
        ("-801", {}, "800.0 kg left of 24-0001-5 at F-1; this asks 801.0."),
        ("+1", {"reason": " "}, "Write why: an adjustment is kept with its reason."),
        ("+1", {"place": "Z"}, "'Z' is not a place we know."),
        ("+1", {"against_run": "R7"}, "No run 'R7' was fed with 24-0001-5."),
        ("-1", {"bags": "3"}, "Bag 24-0001-5/3 is not in store."),
    ],
)
def test_an_adjustment_that_cannot_be_is_refused_and_nothing_is_saved(plant, mass, more, says):
    lot = received(plant)
    with pytest.raises(Refused) as refusal:
        adjusted(plant, lot, mass, **more)
    assert says in str(refusal.value)
    assert (kg_left(lot), Operation.objects.count()) == (800, 1)


def test_a_used_up_lot_names_its_run_and_a_run_has_no_less_than_nothing(plant):
    lot = received(plant)
    run(plant, lot, "800", "741.2", taken_off={"throughs": "54.8"})
    with pytest.raises(Refused, match=r"Nothing is left of 24-0001-5. Name the run that it was fed to"):
        adjusted(plant, lot, "-5")
    with pytest.raises(Refused, match=r"R1 left 4.0 kg unaccounted; this takes 5.0 off"):
        adjusted(plant, lot, "-5", against_run="R1")


def test_only_records_adjusts(plant):
    lot = received(plant)
    with pytest.raises(Refused, match="intake may not adjust a mass; records may"):
        adjust(Adjustment(lot=lot.number, mass="1"), station=plant.station, by=plant.intake, reason="x", now=NOW)
