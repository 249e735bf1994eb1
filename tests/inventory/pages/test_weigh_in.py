"""Weigh-in: what the books know beside the form, logged one after the other."""

import re

import pytest
from django.test import Client

from inventory.actions.places import NewContainer, add_containers
from inventory.actions.plots import PlotWeight, weigh_plots
from inventory.models import Lot
from tests.make import NOW, House, house, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant(client: Client) -> House:
    made = house()
    bins = [NewContainer(code="B-07", kind="steel bin", tare="42.0", checked_on="2025-01-10")]
    add_containers(bins, station=made.station, by=made.records, now=NOW)
    weights = [PlotWeight(plot="ST24-N-1-1", mass="780", is_estimate=True)]
    weigh_plots(weights, station=made.station, by=made.breeder, now=NOW)
    client.force_login(made.intake)
    return made


def text(html: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html))


def test_line_field_weight_tare_and_net_stand_beside_while_it_is_typed(client: Client, plant: House) -> None:
    asked = {"plots": "ST24-N-1-1", "gross": "  842.0 kg", "containers": "b07", "moisture": "17"}
    said = text(client.get("/weigh-in/look", asked).content.decode())
    assert "ST24-N-1-1 N-1 navy" in said
    assert "The field says about 780.0 kg." in said
    assert "B-07 steel bin 42.0 kg, checked 10 Jan 2025" in said
    assert "Net 800.0 kg" in said
    assert "DRY or COOL" in said


def test_what_cannot_be_read_yet_is_said_and_nothing_breaks(client: Client, plant: House) -> None:
    asked = {"plots": "ST24-N-9-9, ", "gross": "28", "containers": "B-07", "moisture": "wet"}
    said = text(client.get("/weigh-in/look", asked).content.decode())
    assert "is not a plot we know" in said
    assert "less than the container" in said
    assert client.get("/weigh-in/look").status_code == 200


def test_a_delivery_is_logged_and_the_page_is_open_for_the_next(client: Client, plant: House) -> None:
    typed = {
        "plots": "ST24-N-1-1",
        "gross": "842",
        "containers": "B-07",
        "moisture": "16.2",
        "key": "k1",
        "then": "again",
    }
    answer = client.post("/do/receive/", typed, follow=True)
    lot = Lot.objects.get()
    said = text(answer.content.decode())
    assert f"Logged as {lot.number}." in said
    assert f"Last five {lot.number} N-1 800.0" in said


def test_the_page_asks_the_books_no_more_with_many_deliveries_than_with_few(
    client: Client, plant: House, django_assert_max_num_queries
) -> None:
    for _ in range(8):
        received(plant)
    with django_assert_max_num_queries(20):
        client.get("/do/receive/", {"plots": "ST24-N-1-1"})
