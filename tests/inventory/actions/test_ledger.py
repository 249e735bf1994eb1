"""The ledger from receiving to the bag, and back again."""

from datetime import timedelta
from decimal import Decimal

import pytest

from inventory.actions.bagging import Bagging, bag_off
from inventory.actions.receiving import Delivery, receive
from inventory.actions.reversing import reverse
from inventory.models import Entry, Link, Operation, Standing, Stock
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.make import NOW, House, cleaned, house, kg_left, received, run

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    return house()


def test_a_delivery_becomes_a_lot_with_its_number_line_and_net(plant: House) -> None:
    delivery = Delivery(plots=("ST24-N-1-1",), gross="842", tare="42", moisture="16.2", place="F-1", at="2024-09-24")
    lot = receive(delivery, station=plant.station, by=plant.intake, now=NOW).lots[0]
    standing = Standing.objects.get(lot=lot)
    assert (lot.number, str(standing.line), standing.opening_mg) == ("24-0001-5", "N-1", 800_000_000)
    assert kg_left(lot) == 800


def test_a_run_takes_its_feed_and_books_every_spout(plant: House) -> None:
    raw = received(plant)
    booked = run(plant, raw, "798", "741.2", taken_off={"scalpings": "9.4", "throughs": "30.6", "liftings": "12.3"})
    entries = booked.operations[0].entries
    assert kg_left(raw) == 2
    assert entries.get(account="unaccounted").mg == 4_500_000
    assert sum(entry.mg for entry in entries.all()) == 0


def test_bags_are_numbered_and_the_part_bag_comes_last(plant: House) -> None:
    lot = received(plant, "584.9")
    bag_off(
        Bagging(lot=lot.number, count=23, part_bag="9.3", spilled="0.6"),
        station=plant.station,
        by=plant.intake,
        now=NOW,
    )
    bags = Stock.objects.filter(lot=lot, bag_no__gt=0)
    assert bags.count() == 24
    assert bags.get(bag_no=24).mg == 9_300_000
    assert kg_left(lot) == Decimal("584.3")


def test_more_bags_than_seed_are_refused_in_the_persons_numbers(plant: House) -> None:
    lot = received(plant, "624.9")
    with pytest.raises(Refused, match=r"25 × 25.0 = 625.0 kg, but only 624.9 kg were there"):
        bag_off(Bagging(lot=lot.number, count=25), station=plant.station, by=plant.intake, now=NOW)
    assert not Stock.objects.filter(bag_no__gt=0).exists()


def test_reversing_brings_everything_back_and_keeps_both_acts(plant: House) -> None:
    raw = received(plant)
    booked = run(plant, raw, "798", "741.2")
    clean = booked.lots[0]
    reverse(booked.operations[0], station=plant.station, by=plant.intake, reason="wrong bin", now=NOW)
    assert kg_left(raw) == 800
    assert kg_left(clean) == 0
    assert Standing.objects.get(lot=clean).made_by is None
    assert Operation.objects.count() == 3
    assert not Link.objects.filter(operation=booked.operations[0]).exists()


def test_what_was_used_cannot_be_reversed_first(plant: House) -> None:
    raw = received(plant)
    cleaned(plant, raw, "798", "741.2")
    making = Operation.objects.get(kind="receive")
    with pytest.raises(Refused, match="used by clean R1 of 2024-10-08"):
        reverse(making, station=plant.station, by=plant.intake, reason="wrong tare", now=NOW)


def test_a_number_that_was_taken_back_may_be_made_again(plant: House) -> None:
    lot = received(plant)
    reverse(Operation.objects.get(), station=plant.station, by=plant.intake, reason="wrong tare", now=NOW)
    again = received(plant, "813.5", lot=lot.number)
    assert again.pk == lot.pk
    assert kg_left(again) == Decimal("813.5")


def test_the_books_verify_after_all_of_it(plant: House) -> None:
    raw = received(plant)
    clean = cleaned(plant, raw, "798", "741.2")
    bag_off(Bagging(lot=clean.number, count=10), station=plant.station, by=plant.intake, now=NOW)
    reverse(Operation.objects.get(kind="bag"), station=plant.station, by=plant.intake, reason="miscounted", now=NOW)
    verdict = verify(plant.station)
    assert (verdict.differences, verdict.chain) == ([], "whole")
    assert (verdict.operations, verdict.entries) == (Operation.objects.count(), Entry.objects.count())


def test_the_same_key_twice_is_one_effect_and_the_same_answer(plant: House) -> None:
    delivery = Delivery(plots=("ST24-N-1-1",), net="800", place="F-1", at="2024-09-24")
    first = receive(delivery, station=plant.station, by=plant.intake, key="k1", now=NOW)
    a_minute_later = NOW + timedelta(minutes=1)
    again = receive(delivery, station=plant.station, by=plant.intake, key="k1", now=a_minute_later)
    assert again == first
    other = Delivery(plots=("ST24-N-1-1",), net="900", place="F-1", at="2024-09-24")
    with pytest.raises(Refused, match="used before with other content"):
        receive(other, station=plant.station, by=plant.intake, key="k1", now=NOW)


def test_an_account_without_the_right_is_told_who_has_it(plant: House) -> None:
    delivery = Delivery(plots=("ST24-N-1-1",), net="800", place="F-1", at="2024-09-24")
    with pytest.raises(Refused, match="may not receive a lot"):
        receive(delivery, station=plant.station, by=plant.stranger, now=NOW)
    assert not Operation.objects.exists()


def test_a_run_number_used_again_is_said(plant: House) -> None:
    raw = received(plant)
    run(plant, raw, "398", "370")
    again = run(plant, raw, "300", "280", at="2024-10-09")
    assert "R1 is also the run of 2024-10-08" in again.operations[0].content
