"""Places, containers, moves by two scans, and the map of what is still out."""

import csv
import re
from xml.etree import ElementTree

import pytest
from django.test import Client

from inventory.actions.holding import hold
from inventory.actions.places import NewContainer, add_containers
from inventory.actions.plots import NewPlot, PlotWeight, add_plots, weigh_plots
from inventory.models import Lot, Operation, Stock
from inventory.queries.verifying import verify
from tests.make import NOW, House, bagged, house, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant(client: Client) -> House:
    made = house()
    client.force_login(made.intake)
    return made


def plain(html: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html)).replace("&#x27;", "'")


def page(client: Client, address: str, **asked: str) -> str:
    return plain(client.get(address, asked, follow=True).content.decode())


def where(lot: Lot) -> dict[tuple[str, int], int]:
    rows = Stock.objects.filter(lot=lot, mg__gt=0)
    return {(row.place.code, row.bag_no): row.mg for row in rows.select_related("place")}


# --- the floor


def test_the_floor_says_how_much_stands_where_and_what_waits(client: Client, plant: House) -> None:
    wet, held = received(plant, moisture="17"), received(plant, "200", place="A-01")
    hold([held.number], station=plant.station, by=plant.bench, reason="odour", now=NOW)
    said = page(client, "/floor/places/")
    assert "1,000.0 kg stand at 2 of 4 places. 1 place holds wet seed. 1 place holds seed on hold." in said
    assert re.search(r"F-1 800.0 1 lot ☂ wet untested", said)
    assert re.search(r"A-01 200.0 1 lot ▬ hold untested", said)
    assert wet.number != held.number


def test_the_floor_is_taken_along_as_picture_and_table(client: Client, plant: House) -> None:
    received(plant)
    picture = client.get("/floor/places/", {"format": "svg"})
    assert picture["Content-Type"].startswith("image/svg+xml")
    assert len(ElementTree.fromstring(picture.content).findall(".//{*}g")) == 4  # noqa: S314 - our own picture
    rows = list(csv.DictReader(client.get("/floor/places/", {"format": "csv"}).content.decode().splitlines()))
    assert {row["place"]: row["kg"] for row in rows} == {"F-1": "800.0", "L-1": "0.0", "A-01": "0.0", "B-01": "0.0"}


def test_a_place_says_what_stands_there_how_wet_it_is_and_why_it_is_held(client: Client, plant: House) -> None:
    lot = bagged(plant, received(plant, "109", moisture="15.2"), count=4, part_bag="9")
    hold([lot.number], station=plant.station, by=plant.bench, reason="odour", now=NOW)
    said = page(client, "/of/place/F-1/")
    assert "109.0 kg of 1 lot stand here." in said
    assert "5 bags, 109.0 ▬ hold: odour ✓ 15.2 %" in said


def test_an_empty_place_says_so(client: Client, plant: House) -> None:
    assert "Nothing stands here." in page(client, "/of/place/A-01/")


def test_a_container_is_found_by_scan_and_shows_its_tare(client: Client, plant: House) -> None:
    bins = [NewContainer(code="SB-07", kind="steel bin", tare="42.0", checked_on="2020-01-10")]
    add_containers(bins, station=plant.station, by=plant.records, now=NOW)
    assert client.get("/find", {"q": "sb-07"})["Location"] == "/of/container/SB-07/"
    said = page(client, "/of/container/SB-07/")
    assert "Tare 42.0 kg" in said
    assert "over a year ago" in said


@pytest.mark.parametrize("many", [2, 10])
def test_places_ask_the_books_no_more_for_much_seed_than_for_little(
    client: Client, plant: House, django_assert_max_num_queries, many: int
) -> None:
    for _ in range(many):
        received(plant, moisture="17")
    for address in ("/floor/places/", "/of/place/F-1/"):
        with django_assert_max_num_queries(24):
            client.get(address)


# --- moves


def test_a_lot_is_moved_by_thing_and_place(client: Client, plant: House) -> None:
    lot = received(plant)
    said = client.post("/floor/moves/", {"lot": lot.number, "to": "A-01", "key": "k1"}, follow=True)
    assert f"{lot.number} stands at A-01 now." in plain(said.content.decode())
    assert where(lot) == {("A-01", 0): 800_000_000}
    assert "take back F8" in plain(said.content.decode())
    assert not verify(plant.station).differences


def test_a_bag_is_moved_by_its_label(client: Client, plant: House) -> None:
    lot = bagged(plant, received(plant, "109"), count=4, part_bag="9")
    client.post("/floor/moves/", {"lot": f"{lot.number}/3", "to": "A-01", "key": "k1"})
    assert where(lot)[("A-01", 3)] == 25_000_000
    assert ("F-1", 2) in where(lot)


def test_a_lot_in_bags_moves_with_all_of_them(client: Client, plant: House) -> None:
    lot = bagged(plant, received(plant, "109"), count=4, part_bag="9")
    client.post("/floor/moves/", {"lot": lot.number, "to": "A-01", "key": "k1"})
    assert {place for place, _bag in where(lot)} == {"A-01"}
    assert len(where(lot)) == 5


def test_two_lots_in_a_row_are_asked_about_and_nothing_moves(client: Client, plant: House) -> None:
    first, second = received(plant), received(plant, plot="ST24-N-1-2")
    said = client.post("/floor/moves/", {"lot": first.number, "to": second.number, "key": "k1"}).content.decode()
    assert f"You scanned {first.number} and then {second.number}, and no place." in plain(said)
    assert f'href="/lots/{second.number}/"' in said
    assert "Two in a row" in page(client, "/floor/moves/", lot=first.number, also=second.number)
    assert not Operation.objects.filter(kind="move").exists()


def test_what_is_wrong_with_a_move_comes_back_with_what_was_typed(client: Client, plant: House) -> None:
    lot = received(plant)
    answer = client.post("/floor/moves/", {"lot": lot.number, "to": "Z-99", "key": "k1"})
    assert answer.status_code == 422
    assert "'Z-99' is not a place we know" in plain(answer.content.decode())
    assert f'value="{lot.number}"' in answer.content.decode()


@pytest.mark.parametrize("typed", [{}, {"lot": "x" * 300, "to": "A-01"}, {"lot": "24-0001-5/99", "to": "A-01"}])
def test_anything_may_be_typed_into_a_move(client: Client, plant: House, typed: dict[str, str]) -> None:
    received(plant)
    assert client.post("/floor/moves/", {**typed, "key": "k1"}).status_code == 422


# --- still out


def test_the_last_missing_plot_is_named_in_the_sentence(client: Client, plant: House) -> None:
    for plot in ("ST24-N-1-1", "ST24-N-1-2", "ST24-N-2-1", "ST24-N-2-2", "ST24-B-1-1"):
        received(plant, "10", plot=plot)
    weigh_plots([PlotWeight(plot="ST24-B-1-2", mass="10")], station=plant.station, by=plant.breeder, now=NOW)
    said = page(client, "/floor/still-out/", season="2024")
    assert "One plot is missing: ST24-B-1-2." in said
    assert "◐ weighed, not in" in said


def test_a_delivery_that_was_taken_back_leaves_its_plot_out(client: Client, plant: House) -> None:
    received(plant)
    client.post("/do/reverse/", {"act": "#1", "reason": "wrong tag", "key": "k1"})
    assert "6 of 6 plots are missing" in page(client, "/floor/still-out/")


def test_every_plot_in_is_said_so(client: Client, plant: House) -> None:
    plots = ("ST24-N-1-1", "ST24-N-1-2", "ST24-N-2-1", "ST24-N-2-2", "ST24-B-1-1", "ST24-B-1-2")
    for plot in plots:
        received(plant, "10", plot=plot)
    assert "Every plot is in: 6 of 6." in page(client, "/floor/still-out/")


def test_the_map_is_taken_along(client: Client, plant: House) -> None:
    new = [NewPlot(code="ST25-T101", season=2025, line="N-1", site="ST", trial="ST25-T", rep=1, position=1)]
    add_plots(new, station=plant.station, by=plant.breeder, now=NOW)
    picture = client.get("/floor/still-out/", {"season": "2025", "format": "svg"})
    texts = [text.text for text in ElementTree.fromstring(picture.content).findall(".//{*}text")]  # noqa: S314 - our own picture
    assert "One plot is missing: ST25-T101." in texts
    assert "ST25-T, rep 1" in texts
    rows = client.get("/floor/still-out/", {"season": "2025", "format": "csv"}).content.decode().splitlines()
    assert rows == ["plot,trial,rep,position,seed", "ST25-T101,ST25-T,1,1,out"]


@pytest.mark.parametrize("season", ["1999", "x", "99999999999999999999", ""])
def test_a_season_that_there_is_not_opens_the_newest(client: Client, plant: House, season: str) -> None:
    assert "Still out 2024" in page(client, "/floor/still-out/", season=season)
