"""The intake's lists: wet seed, and what came in today."""

import re

import pytest
from django.test import Client

from inventory.actions.measuring import MoistureReading, read_moisture_of
from inventory.actions.moving import Move, move
from inventory.importing.acts import book
from inventory.queries.floor import came_in_today, wet_lots
from tests.make import NOW, House, house, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant(client: Client) -> House:
    made = house()
    client.force_login(made.intake)
    return made


def page(client: Client, address: str) -> str:
    html = client.get(address).content.decode()
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html))


def read(plant: House, lot: str, percent: str, day: str) -> None:
    reading = MoistureReading(lot=lot, moisture=percent, at=day)
    read_moisture_of([reading], station=plant.station, by=plant.intake, now=NOW)


def test_it_says_that_nothing_is_wet(client: Client, plant: House) -> None:
    received(plant, moisture="16.0")
    assert "No lot in store is too wet to keep." in page(client, "/floor/wet/")


def test_a_wet_lot_stands_with_since_when_and_what_to_do(client: Client, plant: House) -> None:
    lot = received(plant, moisture="15.0")
    read(plant, lot.number, "16.5", "2024-10-01")
    read(plant, lot.number, "16.8", "2024-10-05")
    shown = page(client, "/floor/wet/")
    assert "1 lot, 800.0 kg, is too wet to keep." in shown
    assert re.search(r"24-0001-5 N-1 800.0 F-1 ☂ 16.8 1 Oct 2024", shown)
    assert "DRY or COOL" in shown


def test_a_lot_that_was_dried_or_is_gone_is_not_on_the_list(plant: House) -> None:
    dried, gone = received(plant, moisture="17"), received(plant, "20", moisture="17")
    read(plant, dried.number, "14.0", "2024-10-01")
    book("write off", {"lot": gone.number}, station=plant.station, by=plant.records, reason="mould")
    assert wet_lots(plant.station) == []


def test_the_wettest_waits_on_the_home_page(client: Client, plant: House) -> None:
    received(plant, moisture="17")
    assert "1 lot is too wet to keep" in page(client, "/")


def test_only_what_came_in_today_is_listed(plant: House, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("inventory.queries.floor.today_at", lambda _station: NOW.date())
    received(plant)  # in September
    lot = received(plant, plot="ST24-N-1-2", at=None)
    assert [one.standing.lot.number for one in came_in_today(plant.station)] == [lot.number]


def test_a_lot_put_away_lacks_no_place(client: Client, plant: House, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("inventory.queries.floor.today_at", lambda _station: NOW.date())
    lot = received(plant, at=None)
    assert "◐ on the floor: put it away" in page(client, "/floor/today/")
    assert "1 still lacks a place, a sample or a label." in page(client, "/floor/today/")
    move(Move(lot=lot.number, to="A-01"), station=plant.station, by=plant.intake, now=NOW)
    book("sample", {"lot": lot.number, "mass": "2"}, station=plant.station, by=plant.intake, now=NOW)
    client.post("/print/labels/", {"lots": lot.number})
    shown = page(client, "/floor/today/")
    assert "✓ A-01 ✓ drawn ✓ printed" in shown
    assert "Each has its place, sample and label." in shown


@pytest.mark.parametrize("many", [2, 12])
def test_the_lists_ask_the_books_no_more_for_many_lots_than_for_few(
    client: Client, plant: House, django_assert_max_num_queries, monkeypatch: pytest.MonkeyPatch, many: int
) -> None:
    monkeypatch.setattr("inventory.queries.floor.today_at", lambda _station: NOW.date())
    for _ in range(many):
        received(plant, moisture="17", at=None)
    for address in ("/floor/wet/", "/floor/today/"):
        with django_assert_max_num_queries(20):
            assert client.get(address).status_code == 200
