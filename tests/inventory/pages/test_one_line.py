"""A line's page and its seasons: what there is, where, and whose it is."""

import re

import pytest
from django.test import Client

from inventory.actions.bagging import Bagging, bag_off
from inventory.importing.acts import book
from inventory.models import Cross, Line, LineName
from tests.make import NOW, House, cleaned, house, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    made = house()
    cross = Cross.objects.create(
        station=made.station, code="X-1", female=Line.objects.get(name="N-2"), male=Line.objects.get(name="B-1")
    )
    Line.objects.filter(name="N-1").update(cross=cross)
    sister = Line.objects.create(station=made.station, name="N-3", cross=cross)
    LineName.objects.create(station=made.station, line=sister, name="N-3")
    return made


@pytest.fixture
def page(client: Client, plant: House):
    client.force_login(plant.breeder)

    def read(address: str, status: int = 200) -> str:
        answer = client.get(address, follow=True)
        assert answer.status_code == status, answer.content.decode()
        return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", answer.content.decode()))

    return read


def test_it_says_how_much_is_clean_raw_in_bags_and_promised_and_where(page, plant: House) -> None:
    lot = cleaned(plant, received(plant), "700", "650")
    bag_off(Bagging(lot=lot.number, count=10), station=plant.station, by=plant.intake, now=NOW)
    promise = {"lot": lot.number, "mass": "50", "recipient": "a shed"}
    book("promise", promise, by=plant.breeder, station=plant.station, now=NOW)
    words = page("/of/line/N-1/")
    assert "650.0 kg clean · 100.0 kg raw · 250.0 kg of it in bags · 50.0 kg promised" in words
    assert "From cross X-1 (N-2 × B-1)." in words
    assert "not graded" in words


def test_a_lot_split_from_a_clean_lot_is_clean(page, plant: House) -> None:
    lot = cleaned(plant, received(plant), "800", "750")
    book(
        "split",
        {"lot": lot.number, "pieces": [{"mass": "100", "place": "A-01"}]},
        by=plant.line,
        station=plant.station,
        now=NOW,
    )
    assert "750.0 kg clean · 0.0 kg raw" in page("/of/line/N-1/")


def test_a_line_without_seed_names_its_cross_and_the_sisters_that_have_some(page, plant: House) -> None:
    received(plant)
    words = page("/of/line/N-3/")
    assert "No seed of this line is recorded. It came from cross X-1; sister lines with seed: N-1 800.0 kg." in words
    assert "Its cross is not known." in page("/of/line/N-2/")


def test_any_name_of_a_line_leads_to_its_page(client: Client, plant: House) -> None:
    client.force_login(plant.breeder)
    assert client.get("/of/line/n1/")["Location"] == "/of/line/N-1/"


def test_an_unknown_line_is_a_sentence(page, plant: House) -> None:
    assert "N-9" in page("/of/line/N-9/", 404)


def test_every_line_is_listed_with_what_is_left_of_it(page, plant: House) -> None:
    received(plant)
    assert "N-1navyX-1800.0" in page("/lines/").replace(" ", "")


@pytest.mark.parametrize("ref", ["N-1", "24-0001-5"])
def test_seasons_are_drawn_with_every_act_in_the_table(page, plant: House, ref: str) -> None:
    cleaned(plant, received(plant, moisture="17.2"), "800", "750")
    words = page(f"/season/{ref}/")
    assert f"Seasons of {ref}" in words
    assert "24-0001-52024-09-24receive" in words.replace(" ", "")
    assert "24-0001-52024-10-08clean" in words.replace(" ", "")


def test_something_without_seasons_is_a_sentence(page, plant: House) -> None:
    assert "ST24-N-1-1 is a plot. Name a line or a lot to see its seasons." in page("/season/ST24-N-1-1/", 404)


def test_it_costs_the_same_for_any_number_of_lots(client: Client, plant: House, django_assert_max_num_queries) -> None:
    client.force_login(plant.breeder)
    received(plant)

    def cost(address: str) -> int:
        with django_assert_max_num_queries(30) as counted:
            client.get(address)
        return len(counted)

    few = [cost(address) for address in ("/of/line/N-1/", "/lines/", "/season/N-1/")]
    for index in range(8):
        received(plant, str(900 + 10 * index))
    assert [cost(address) for address in ("/of/line/N-1/", "/lines/", "/season/N-1/")] == few
