"""The page of a bag: where it is, by which act it left, and what went out with it."""

import re

import pytest
from django.http import HttpResponse
from django.test import Client

from inventory.importing.acts import book
from tests.make import NOW, House, bagged, house, received

pytestmark = pytest.mark.django_db
BAG = "/lots/24-0001-5/bags/2/"


@pytest.fixture
def plant() -> House:
    made = house()
    bagged(made, received(made, "100"), count=4)
    return made


@pytest.fixture
def floor(client: Client, plant: House) -> Client:
    client.force_login(plant.intake)
    return client


def text(answer: HttpResponse) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


def test_a_bag_in_store_says_where_it_stands(floor: Client) -> None:
    said = text(floor.get(BAG))
    assert "Bag 2 of 24-0001-5" in said
    assert "25.0 kg at F-1" in said
    assert "Move it" in said


def test_a_bag_that_was_shipped_says_when_to_whom_and_with_what(floor: Client, plant: House) -> None:
    shipping = {"code": "S1", "recipient": "a shed", "items": {"1": {"lot": "24-0001-5", "bags": "1-3"}}}
    book("ship", shipping, by=plant.intake, station=plant.station, now=NOW, answers={"not_sampled": "test"})
    said = text(floor.get(BAG))
    assert re.search(r"It went out on \d+ \w+ \d+ to a shed, in shipment S1 \.", said)
    assert "What went with it 24-0001-5 bags 1, 3" in said
    assert "Move it" not in said


def test_a_bag_that_was_blended_names_the_lot_it_became(floor: Client, plant: House) -> None:
    received(plant, "640", "ST24-N-1-2")
    parts = [{"lot": "24-0001-5", "bags": "2"}, {"lot": "24-0002-8"}]
    made = book("blend", {"parts": parts, "place": "B-01"}, by=plant.line, station=plant.station, now=NOW)
    said = text(floor.get(BAG))
    assert re.search(rf"Nothing is left in it since .* made {made.lots[0].number}", said)
    assert "24-0002-8 loose" in said


@pytest.mark.parametrize("typed", ["24-0001-5/2", "bag 2 of 24-0001-5", "24-0001-5 bag 2", "Bag #2 of lot 24-0001-5"])
def test_a_bag_is_found_however_people_say_it(floor: Client, typed: str) -> None:
    assert floor.get("/bags/", {"of": typed})["Location"] == BAG
    assert floor.get("/find", {"q": typed})["Location"] == BAG


@pytest.mark.parametrize(("typed", "says"), [("24-0001-5", "is no bag"), ("24-0001-5/9", "has bags 1 to 4")])
def test_what_is_no_bag_is_a_sentence(floor: Client, typed: str, says: str) -> None:
    answer = floor.get("/bags/", {"of": typed})
    assert answer.status_code == 422
    assert says in text(answer)


def test_a_bag_there_never_was_is_no_page(floor: Client) -> None:
    assert floor.get("/lots/24-0001-5/bags/9/").status_code == 404


def test_a_bag_asks_the_books_no_more_with_many_bags(floor: Client, django_assert_max_num_queries) -> None:
    with django_assert_max_num_queries(16):
        floor.get(BAG)
