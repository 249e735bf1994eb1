"""Books that somebody else holds for longer than a request waits."""

from unittest import mock

import pytest
from django.db import OperationalError

from tests.api.asking import Program, program_of
from tests.make import house

pytestmark = pytest.mark.django_db
LOCKED = OperationalError("database is locked")


@pytest.fixture
def program() -> Program:
    return program_of(house().records)


def test_a_program_is_told_to_come_again_and_not_that_something_broke(program: Program) -> None:
    with mock.patch("api.readings.device_views.enter_device", side_effect=LOCKED):
        answer = program.send("/api/v1/devices", {"code": "b1", "driver": "scale"})
    assert (answer.status_code, answer["Content-Type"]) == (503, "application/problem+json")
    assert answer["Retry-After"] == "10"
    assert answer.json()["code"] == "service_unavailable"
    assert answer.json()["detail"].endswith("send the same again in a while.")


def test_the_breeding_api_says_so_in_its_own_form(program: Program) -> None:
    with mock.patch("api.brapi.serverinfo.call_of", side_effect=LOCKED):
        answer = program.client.get("/brapi/v2/serverinfo", headers=program.headers)
    assert answer.status_code == 503
    assert "Nothing was done" in answer.json()


def test_another_fault_of_the_database_stays_one(program: Program) -> None:
    program.client.raise_request_exception = False
    with mock.patch("api.readings.device_views.enter_device", side_effect=OperationalError("disk is full")):
        assert program.send("/api/v1/devices", {"code": "b1", "driver": "scale"}).status_code == 500
