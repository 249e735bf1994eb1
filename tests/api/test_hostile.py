"""What nobody means well with: whatever is sent or asked, it is a problem of the sender's and no fault of ours."""

import json
from collections.abc import Iterator
from typing import Any

import pytest
from django.db import transaction
from django.test import override_settings
from pytest_django.plugin import DjangoDbBlocker

from inventory.models import Operation
from inventory.queries.verifying import verify
from tests.api.asking import Program, program_of
from tests.inventory.actions.floor import Floor, everything, floor
from tests.make import house

pytestmark = pytest.mark.django_db
WRITES = (
    "/api/v1/acts/receive", "/api/v1/acts/clean", "/api/v1/acts/bulk", "/api/v1/lots/receive", "/api/v1/outcome",
    "/api/v1/figures/seed-weight", "/api/v1/sheets", "/api/v1/sheets/x/answers", "/api/v1/sheets/x/save",
    "/api/v1/loads/L1/unload",
)  # fmt: skip
BODIES: dict[str, str | bytes] = {
    "no JSON": "{", "a list": "[]", "nothing": "", "null": "null", "a number": "1", "twice": '{"a": 1, "a": 2}',
    "no text": b"\xff\xfe", "a BOM in UTF-16": '{"a": 1}'.encode("utf-16"),
    "10,000 brackets": "[" * 10_000, "10,000 closed brackets": "[" * 10_000 + "]" * 10_000,
    "deep objects": '{"a":' * 10_000 + "1" + "}" * 10_000, "900 deep": '{"gross":' * 900 + "1" + "}" * 900,
    "not a number": '{"gross": NaN}', "infinite": '{"gross": Infinity}', "huge": '{"gross": 1e400}',
    "hugest": '{"gross": 1e999999999999}', "many digits": '{"gross": ' + "9" * 5000 + "}",
    "tiny": '{"gross": 1e-400}', "NUL": '{"gross": "1\\u0000"}', "NUL in a name": '{"gr\\u0000oss": "1"}',
    "half a character": '{"gross": "\\ud800"}', "half a character in a name": '{"\\udfff": "1"}',
    "wrong types": '{"plots": 3, "gross": [], "tare": {}, "at": {"x": 1}, "items": 3, "answers": "x", "text": []}',
    "unknown field": '{"gros": "842"}', "no such day": '{"at": "2024-02-31", "gross": "1"}',
    "far off": '{"at": "9999-12-31T23:59:59Z", "gross": "1"}', "before all": '{"at": "0001-01-01T00:00:00+14:00"}',
}  # fmt: skip


@pytest.fixture(scope="module")
def plant(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Floor]:
    with django_db_blocker.unblock(), override_settings(DATA_DIR=tmp_path_factory.mktemp("data")):
        block = transaction.atomic()
        block._from_testcase = True  # type: ignore[attr-defined]  # so that durable acts may stand inside, as in a test
        with block:
            yield floor(house())
            transaction.set_rollback(True)


@pytest.fixture
def program(plant: Floor) -> Program:
    return program_of(plant.house.records)


def is_problem(answer: Any) -> bool:
    """A 4xx with all fields of a problem."""
    body = json.loads(answer.content)
    fields = {"type", "title", "status", "detail", "instance", "code", "request_id"}
    return 400 <= answer.status_code < 500 and fields <= set(body) and body["status"] == answer.status_code


@pytest.mark.parametrize("address", WRITES)
def test_no_body_is_a_fault_of_ours_and_none_is_half_done(program: Program, plant: Floor, address: str) -> None:
    before, count = everything(plant.house), Operation.objects.count()
    for name, body in BODIES.items():
        answer = program.send(address, body)
        assert is_problem(answer), (name, answer.status_code, answer.content[:500])
    assert (everything(plant.house), Operation.objects.count()) == (before, count)
    assert verify(plant.house.station).is_whole


@pytest.mark.parametrize("address", WRITES)
def test_a_body_of_another_kind_is_said(program: Program, address: str) -> None:
    for kind in ("text/plain", "application/xml", "application/x-www-form-urlencoded", "x"):
        answer = program.client.post(address, b"a=1", content_type=kind, headers=program.headers)
        assert is_problem(answer), (kind, answer.content[:300])


ASKED = (
    "/api/v1", "/api/v1/lots", "/api/v1/operations/1", "/api/v1/lots/export", "/api/v1/trace", "/api/v1/recall",
    "/api/v1/sheets", "/api/v1/loads", "/api/v1/rule-sets", "/api/v1/machines", "/api/v1/acts", "/api/v1/figures",
)  # fmt: skip
WORDS = ("%00", "%ff", "%ed%a0%80", "x" * 3000, "9" * 400, "1e400", "NaN", "%F0%9F%98%80", "'--", "[]", "%0a")
NAMES = (
    "limit",
    "cursor",
    "fields",
    "include",
    "q",
    "format",
    "of",
    "forward",
    "lot__in",
    "left__gte",
    "made_at__gte",
    "no\0",
)


@pytest.mark.parametrize("address", ASKED)
def test_no_parameter_is_a_fault_of_ours(program: Program, address: str) -> None:
    for name in NAMES:
        for word in WORDS:
            answer = program.client.get(f"{address}?{name}={word}".replace("\0", "%00"), headers=program.headers)
            assert answer.status_code == 200 or is_problem(answer), (name, word, answer.content[:300])


@pytest.mark.parametrize("word", ["%00", "%ff", "%ed%a0%80", "..%2f..", "x" * 3000, "%0d%0aX:1", "%F0%9F%98%80"])
def test_no_name_in_an_address_is_a_fault_of_ours(program: Program, word: str) -> None:
    for part in ("lots", "bags", "operations", "sheets", "loads", "rule-sets", "samples", "holds", "runs", "acts"):
        for end in ("", "/trace", "/outcome", "/findings", "/epcis"):
            answer = program.client.get(f"/api/v1/{part}/{word}{end}", headers=program.headers)
            assert is_problem(answer), (part, end, answer.content[:300])


@pytest.mark.parametrize("why", [1, None, True, [], {}, 0.5])
def test_an_answer_to_a_question_is_a_text_and_nothing_else(program: Program, why: Any) -> None:
    said = program.post("/api/v1/acts/add-class", {"name": "Navy", "answers": {"bare_name": why}}, 422)
    assert [(one["code"], one["pointer"]) for one in said["errors"]] == [("wrong_shape", "/answers/bare_name")]
    assert said["errors"][0]["detail"].endswith("Give a text.")


@pytest.mark.parametrize("key", ["", " ", '""', "k" * 201, "é", "k\t1", '"a" "b"', "\x7f"])
def test_no_key_is_a_fault_of_ours(program: Program, key: str) -> None:
    headers = {**program.headers, "Idempotency-Key": key}
    answer = program.client.post("/api/v1/acts/receive", "{}", content_type="application/json", headers=headers)
    assert is_problem(answer), answer.content


def test_what_is_far_too_heavy_is_asked_about_or_refused(program: Program) -> None:
    """Pounds as kilograms: a container of 800 kg of beans weighs 1,764 lb."""
    delivery = {"plots": ["ST24-N-2-1"], "gross": "1764", "tare": "1800", "place": "F-1", "at": "2024-09-24"}
    assert is_problem(program.send("/api/v1/lots/receive", delivery))


@pytest.mark.parametrize(
    "at", ["2024-09-24T08:00:00", "2024-09-24 08:00", "2024-09-24T25:00:00Z", "24 Foo 2024", 5, True, []]
)
def test_a_moment_that_is_none_or_has_no_zone_is_refused_at_its_field(program: Program, at: Any) -> None:
    delivery = {"plots": ["ST24-N-2-1"], "gross": "842", "tare": "42", "place": "F-1", "at": at}
    answer = program.send("/api/v1/lots/receive", delivery)
    assert is_problem(answer), answer.content
    assert "at" in [error["field"] for error in answer.json()["errors"]]
