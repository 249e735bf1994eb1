"""A grader's own tray: order, letters and switches, kept for that person alone."""

import pytest
from django.test import Client

from tests.grading.pages.bench import a_bench, drawn, text
from tests.grading.station import Bench

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench(client: Client) -> Bench:
    made = a_bench()
    drawn(made)
    client.force_login(made.plant.bench)
    return made


def order_on(page: str) -> list[str]:
    """The letters of the dishes from top to bottom."""
    return [part[0] for part in page.split('data-letter="')[1:]]


def test_the_pan_follows_the_order_that_was_set_once(client: Client, bench: Bench) -> None:
    assert order_on(client.get("/bench/pan/G01/").content.decode())[0] == "S"
    client.post("/bench/tray/", {"place.stones": "1", "place.splits": "2", "letter.stones": "x", "uses_letters": "yes"})
    assert order_on(client.get("/bench/pan/G01/").content.decode())[:2] == ["X", "S"]


def test_another_person_keeps_their_own(client: Client, bench: Bench) -> None:
    client.post("/bench/tray/", {"place.stones": "1"})
    client.force_login(bench.plant.records)
    assert order_on(client.get("/bench/pan/G01/").content.decode())[0] == "S"


def test_letters_can_be_switched_off(client: Client, bench: Bench) -> None:
    assert 'data-letters="yes"' in client.get("/bench/pan/G01/").content.decode()
    client.post("/bench/tray/", {})
    assert 'data-letters="no"' in client.get("/bench/pan/G01/").content.decode()


def test_one_letter_for_two_dishes_is_refused_and_comes_back(client: Client, bench: Bench) -> None:
    answer = client.post("/bench/tray/", {"letter.splits": "Q", "letter.stones": "q", "place.stones": "1"})
    assert answer.status_code == 422
    assert "Q stands for" in text(answer)
    assert 'value="q"' in answer.content.decode()


@pytest.mark.parametrize("typed", ["7", "é", "ab", "\x00"])
def test_what_is_no_letter_is_refused(client: Client, bench: Bench, typed: str) -> None:
    assert client.post("/bench/tray/", {"letter.splits": typed}).status_code == 422


def test_a_place_that_is_no_number_goes_to_the_end(client: Client, bench: Bench) -> None:
    assert client.post("/bench/tray/", {"place.splits": "first", "place.stones": "1"}).status_code == 302
