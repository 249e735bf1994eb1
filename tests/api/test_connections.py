"""The page on which a person makes and ends the keys of their programs."""

import re

import pytest
from django.test import Client

from api.models import Token
from api.tokens import make_token
from tests.api.asking import Program
from tests.make import NOW, House, house

pytestmark = pytest.mark.django_db
PAGE = "/connections/"


@pytest.fixture
def plant() -> House:
    return house()


def at(plant: House, role: str) -> Client:
    client = Client()
    client.force_login(plant.people[role])
    return client


def test_a_key_is_shown_once_and_opens_what_was_ticked(plant: House) -> None:
    bench = at(plant, "bench")
    made = bench.post(PAGE, {"name": "colour meter", "days": "30", "scopes": ["samples:write", "read"]})
    secret = re.search(r"hilum_[\w-]{43}", made.content.decode())
    assert secret is not None
    assert made["Cache-Control"] == "max-age=0, no-cache, no-store, must-revalidate, private"
    assert Program(secret[0]).get("/api/v1/me")["scopes"] == ["read", "samples:write"]
    again = bench.get(PAGE).content.decode()
    assert secret[0] not in again
    assert secret[0][:10] in again
    assert Token.objects.get().station == plant.station


def test_a_key_is_ended_with_one_press(plant: House) -> None:
    secret = make_token(plant.bench, scopes=["read"], days=None, now=NOW, name="old script")
    page = at(plant, "bench").post(PAGE, {"end": str(Token.objects.get().uid)})
    assert "old script is ended. It opens nothing any more." in page.content.decode()
    Program(secret).get("/api/v1/me", 401)


def test_records_sees_and_ends_every_key_of_the_station_and_others_only_their_own(plant: House) -> None:
    make_token(plant.bench, scopes=["read"], days=None, now=NOW, name="bench script")
    uid = str(Token.objects.get().uid)
    page = at(plant, "intake").post(PAGE, {"end": uid})
    assert page.status_code == 422
    assert "This key is not one of yours" in page.content.decode()
    assert "bench script" not in page.content.decode()
    assert "bench script" in at(plant, "records").get(PAGE).content.decode()
    assert at(plant, "records").post(PAGE, {"end": uid}).status_code == 200
    other = at(house("OT"), "records")
    make_token(plant.bench, scopes=["read"], days=None, now=NOW, name="another")
    assert "another" not in other.get(PAGE).content.decode()


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({}, "is no scope"),
        ({"scopes": ["everything"]}, "is no scope"),
        ({"scopes": ["read"], "days": "soon"}, "is no number of days. Give 90, or leave it empty."),
        ({"scopes": ["read"], "days": "0"}, "A key cannot last 0 days."),
        ({"scopes": ["read"], "name": "x" * 81}, "has 81 characters"),
        ({"end": "not-a-key"}, "This key is not one of yours"),
        ({"end": "-" * 36}, "This key is not one of yours"),
        ({"end": "0" * 36}, "This key is not one of yours"),
        ({"scopes": ["read"], "name": "yield\0script"}, "holds the character U+0000, which cannot be kept"),
    ],
)
def test_what_cannot_be_used_is_said_and_no_key_is_made(plant: House, typed: dict[str, object], says: str) -> None:
    page = at(plant, "bench").post(PAGE, typed)
    assert page.status_code == 422
    assert says in page.content.decode()
    assert not Token.objects.exists()


def test_it_is_found_from_the_records_and_the_floor(plant: House) -> None:
    records = at(plant, "records")
    assert f'href="{PAGE}"' in records.get("/records/").content.decode()
    assert f'href="{PAGE}"' in records.get("/area/floor/").content.decode()
