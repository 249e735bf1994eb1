"""Each problem leads to what its code means, and names the request that met it."""

import pytest
from django.test import Client

from api.registry import problem_types
from tests.api.asking import Program, program_of
from tests.make import house

pytestmark = pytest.mark.django_db


@pytest.fixture
def program() -> Program:
    return program_of(house().records)


def test_the_type_of_a_problem_is_read_without_a_key(program: Program) -> None:
    problem = program.get("/api/v1/lots?lien=x", 400)
    told = Client().get(problem["type"].removeprefix("http://testserver")).json()
    assert (told["code"], told["type"]) == ("unknown_word", problem["type"])
    assert problem["title"] in told["means"]


@pytest.mark.parametrize(
    ("address", "status"),
    [("/api/v1/lots?limit=x", 400), ("/api/v1/nothing", 404), ("/api/v1/lots/x", 404), ("/api/v1/lots/receive", 405)],
)
def test_every_type_is_registered(program: Program, address: str, status: int) -> None:
    problem = program.get(address, status)
    assert Client().get(f"/api/problems/{problem['code']}").status_code == 200


def test_all_types_are_listed_with_what_they_mean() -> None:
    listed = Client().get("/api/problems").json()["results"]
    assert {one["code"] for one in listed} == set(problem_types())
    assert all(one["title"] and one["means"] for one in listed)
    assert [word for one in listed for word in (one["title"], *one["means"]) if " " not in word] == []
    asks = {one["code"] for one in listed if one["asks"]}
    assert "kind_asked" in asks and "key_missing" not in asks


def test_an_unknown_type_names_the_nearest() -> None:
    assert "unknown_word" in Client().get("/api/problems/unknown_wort").json()["detail"]


@pytest.mark.parametrize(
    ("sent", "is_kept"), [("trace-1", True), ("", False), ("a b", False), ("x" * 200, False), ("é", False)]
)
def test_a_request_keeps_the_id_it_brings_or_gets_one(program: Program, sent: str, is_kept: bool) -> None:
    answer = program.client.get("/api/v1/lots", headers={**program.headers, "X-Request-ID": sent})
    assert (answer["X-Request-ID"] == sent) == is_kept
    assert len(answer["X-Request-ID"]) > 5
