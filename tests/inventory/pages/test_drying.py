"""A drying on its page: what the lot should weigh stands beside the form before it is weighed."""

import re

import pytest
from django.test import Client

from tests.make import House, house, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant(client: Client) -> House:
    made = house()
    client.force_login(made.intake)
    received(made, "900", moisture="17.4")
    return made


def look(client: Client, **typed: str) -> str:
    html = client.get("/floor/dry/look", typed).content.decode()
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html))


def test_it_says_what_the_lot_should_weigh(client: Client, plant: House) -> None:
    said = look(client, lot="24-0001-5", after="15.2")
    assert "900.0 kg of it stand loose. It read 17.4 % before." in said
    assert "Should weigh 876.65 kg" in said  # 900 × (100 − 17.4) / (100 − 15.2) = 876.65


def test_it_says_how_far_the_scale_is_from_it(client: Client, plant: House) -> None:
    assert "The scale shows 3.35 kg more." in look(client, lot="24-0001-5", after="15.2", weighed="880")
    assert "The scale shows 6.65 kg less." in look(client, lot="24-0001-5", after="15.2", weighed="870")


def test_what_is_not_drier_is_said(client: Client, plant: House) -> None:
    assert "That is not drier than before." in look(client, lot="24-0001-5", after="18")


@pytest.mark.parametrize(
    "typed",
    [{}, {"lot": "x"}, {"lot": "24-0001-5", "after": "wet"}, {"after": "-3"}, {"weighed": "1e999", "lot": "\0"}],
)
def test_anything_may_be_typed(client: Client, plant: House, typed: dict[str, str]) -> None:
    assert "By its dry matter" in look(client, **typed)


def test_the_page_books_it(client: Client, plant: House) -> None:
    assert "Should weigh" in client.get("/do/dry/", {"lot": "24-0001-5", "after": "15.2"}).content.decode()
    typed = {"lot": "24-0001-5", "after": "15.2", "weighed": "876.6", "key": "k1"}
    assert client.post("/do/dry/", typed).status_code == 302


def test_who_works_in_pounds_sees_pounds_beside_the_scale(client: Client, plant: House) -> None:
    client.post("/preferences/", {"unit": "lb", "language": "en"})
    assert "Gross, lb" in client.get("/do/receive/").content.decode()
    assert "Weighs afterwards, lb" in client.get("/do/dry/").content.decode()
