"""What any address answers beside GET and POST, and bodies that are larger than anything that is read."""

from typing import Any

import pytest

from tests.api.asking import Program, program_of
from tests.api.paths import PATHS, address_of
from tests.make import house

pytestmark = pytest.mark.django_db


@pytest.fixture
def program() -> Program:
    return program_of(house().records)


@pytest.mark.parametrize("path", sorted(PATHS))
def test_heads_options_and_methods_that_are_not_there_are_no_fault(program: Program, path: str) -> None:
    address = address_of(path)
    send: Any = program.client
    assert send.options(address, headers=program.headers).status_code == 200
    assert send.head(address, headers=program.headers).status_code < 500
    for method in {"put", "patch", "delete"} - set(PATHS[path]):
        answer = getattr(send, method)(address, headers=program.headers)
        assert answer.status_code == 405
        assert answer["Content-Type"] == "application/problem+json"


@pytest.mark.parametrize("megabytes", [2, 10, 18])
@pytest.mark.parametrize("address", ["/api/v1/acts/receive", "/api/v1/figures/seed-weight", "/api/v1/outcome"])
def test_a_body_without_end_is_a_problem_and_not_read(program: Program, address: str, megabytes: int) -> None:
    answer = program.send(address, b'{"net": "' + b"8" * (megabytes * 1024**2) + b'"}')
    assert (answer.status_code, answer["Content-Type"]) == (413, "application/problem+json")
    assert answer.json()["code"] == "body_too_large"
