"""What a hostile or clumsy program sends to devices, readings, webhooks and jobs, and with its keys."""

import json
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.test import Client

from api.models import Device, Job, Reading, Token, Webhook
from api.tokens import make_token, revoke
from hilum.settings.networks import networks_from
from inventory.rules.mistakes import Refused
from tests.api.asking import Program, program_of
from tests.make import House, house

pytestmark = pytest.mark.django_db
READING = {"device_id": "B1", "reading_id": "1", "taken_at": "2025-05-30T08:00:00Z", "raw": "842.0 kg"}
GOOD = {
    "/api/v1/readings": READING,
    "/api/v1/devices": {"code": "B9", "driver": "scale", "unit": "kg"},
    "/api/v1/webhooks": {"name": "board", "url": "http://127.0.0.1:8080/told", "kinds": ["receive"]},
    "/api/v1/jobs": {"kind": "export", "asked": {"list": "lots", "filters": ["hold=false"]}},
}
ROWS = {"/api/v1/readings": Reading, "/api/v1/devices": Device, "/api/v1/webhooks": Webhook, "/api/v1/jobs": Job}
EACH = pytest.mark.parametrize("address", GOOD)


def nested(depth: int, opens: str = '{"a":', shuts: str = "}") -> str:
    return opens * depth + "1" + shuts * depth


# What stands in the place of a value, each as it is written in JSON.
VALUES = {
    "nothing": "null", "a list": "[]", "a list of lists": "[[[]]]", "an object": "{}", "yes": "true", "minus": "-1",
    "NaN": "NaN", "infinity": "-Infinity", "a huge number": "1e999999999", "huge and kept": "1e99999",
    "many digits": "9" * 5_000, "tiny": "1e-99999", "a NUL": r'"a\u0000b"', "half a pair": r'"\ud800"',
    "a line end": r'"a\r\nX-Y: z"', "right to left": r'"\u202e842"', "long": '"' + "x" * 100_000 + '"',
    "deep": nested(300), "deeper": nested(800), "far too deep": nested(100_000), "lists": nested(900, "[", "]"),
    "many": "[" + ",".join(map(str, range(50_000))) + "]",
}  # fmt: skip


BODIES = (b"", b"{", b"[]", b"null", b"1", b'"a"', b"\xff\xfe", b'{"a":1,"a":2}', b"{}{}", b"\x00", b"{" * 100_000)
TIMES = (
    "2025-05-30T08:00", "2025-05-30 08:00:00", "20250530T080000", "2025-05-30T25:00:00Z", "2025-02-30T08:00:00Z",
    "9999-12-31T23:59:59-14:00", "0001-01-01T00:00:00+14:00", "2025-05-30T08:00:00+99:00", "now", "0", "",
    "2025-05-30T08:00:00 America/Chicago", "1748592000", "٢٠٢٥-05-30T08:00:00Z", "2025-05-30T08:00:00Z" * 50,
)  # fmt: skip


@pytest.fixture
def plant(settings: Any) -> House:
    settings.HILUM_WEBHOOK_NETWORKS = networks_from("127.0.0.0/8")
    return house()


@pytest.fixture
def program(plant: House) -> Program:
    return key_of(plant)


def key_of(plant: House, role: str = "records") -> Program:
    return program_of(plant.people[role])


def said(answer: Any) -> bool:
    """It is an answer of ours: a row, or a problem with a sentence."""
    body = json.loads(answer.content)
    return bool(answer.status_code < 500 and (answer.status_code < 400 or body["detail"]))


@EACH
def test_no_value_in_any_field_is_a_fault_of_ours(program: Program, address: str) -> None:
    unsaid = {}
    for field in [*GOOD[address], "values"]:
        for name, value in VALUES.items():
            body = json.dumps({**GOOD[address], "reading_id" if "raw" in GOOD[address] else field: name, field: "HERE"})
            answer = program.send(address, body.replace('"HERE"', value))
            if not said(answer):
                unsaid[f"{field}: {name}"] = answer.status_code
        for model in (Webhook, Job):  # of which there is an end
            model.objects.all().delete()
    assert unsaid == {}


@EACH
def test_no_body_is_a_fault_of_ours_and_none_is_kept(program: Program, address: str) -> None:
    for body in BODIES:
        answer = program.send(address, body)
        assert said(answer) and 400 <= answer.status_code < 500, body[:20]
    assert not ROWS[address].objects.exists()


@EACH
def test_ten_megabytes_are_not_read(program: Program, address: str) -> None:
    body = json.dumps(GOOD[address]).replace("{", '{"more": "' + "x" * 10_000_000 + '", ', 1)
    answer = program.send(address, body)
    assert (answer.status_code, answer.json()["code"]) == (413, "body_too_large")


@EACH
def test_each_is_taken_as_it_is_meant(program: Program, address: str) -> None:
    assert program.send(address, GOOD[address]).status_code in (201, 202)  # else the cases above prove nothing


def test_a_time_that_is_none_or_has_no_zone_is_refused_at_its_field(program: Program) -> None:
    for taken_at in TIMES:
        problem = program.post("/api/v1/readings", {**READING, "taken_at": taken_at}, 422)
        assert [one["field"] for one in problem["errors"]] == ["taken_at"], taken_at


def test_no_secret_is_a_fault_of_ours(plant: House) -> None:
    for scheme in ("Bearer", "bearer", "Basic", "", "Token"):
        for secret in ("", " ", "hilum_", "x" * 10_000, "é", "null", "hilum_\x7f", "Bearer Bearer x"):
            answer = Client().get("/api/v1/me", headers={"Authorization": f"{scheme} {secret}"})
            assert (answer.status_code, answer["WWW-Authenticate"]) == (401, 'Bearer realm="hilum"')


def test_a_key_whose_time_is_over_opens_nothing_and_is_ended_once(plant: House) -> None:
    now = datetime.now(UTC)
    old = make_token(plant.records, scopes=("read", "write"), days=1, now=now - timedelta(days=1, seconds=1))
    for address, body in GOOD.items():
        Program(old).post(address, body, 401)
        Program(old).get(address, 401)
    made = make_token(plant.records, scopes=("read", "write"), days=None, now=now)
    uid = str(Token.objects.latest("pk").uid)
    revoke(uid, by=plant.records, all_of=None, now=now)
    Program(made).get("/api/v1/me", 401)
    with pytest.raises(Refused, match="was ended already"):
        revoke(uid, by=plant.records, all_of=None, now=now)


def test_what_is_ended_twice_is_not_there_the_second_time(program: Program) -> None:
    hook = f"/api/v1/webhooks/{program.post('/api/v1/webhooks', GOOD['/api/v1/webhooks'])['id']}"
    job = f"/api/v1/jobs/{program.post('/api/v1/jobs', GOOD['/api/v1/jobs'], 202)['id']}"
    assert program.send(job, "", method="delete").status_code == 200  # it waits no more
    for address in (hook, job):
        assert [program.send(address, "", method="delete", If_Match="*").status_code for _time in "12"] == [204, 404]


def test_ids_of_another_station_are_not_there_by_whatever_method(plant: House, program: Program) -> None:
    device = program.post("/api/v1/devices", {**GOOD["/api/v1/devices"], "code": "B1"})["device"]
    ids = {
        "devices": device,
        "readings": program.post("/api/v1/readings", READING)["id"],
        "webhooks": program.post("/api/v1/webhooks", GOOD["/api/v1/webhooks"])["id"],
        "jobs": program.post("/api/v1/jobs", GOOD["/api/v1/jobs"], 202)["id"],
    }
    other, opened = key_of(house("OT")), {}
    for kind, name in ids.items():
        for method in ("get", "patch", "delete"):
            more = {"content_type": "application/json", "headers": {**other.headers, "If-Match": "*"}}
            answer = getattr(other.client, method)(f"/api/v1/{kind}/{name}", **more)
            if answer.status_code not in (404, 405):
                opened[f"{method} {kind}"] = answer.status_code
    for address in (f"readings/{ids['readings']}/read-again", f"webhooks/{ids['webhooks']}/secret"):
        other.post(f"/api/v1/{address}", {}, 404)
    other.get(f"/api/v1/jobs/{ids['jobs']}/result", 404)
    assert opened == {}


def test_a_reading_number_belongs_to_its_device_and_station_alone(plant: House, program: Program) -> None:
    for code in ("B1", "B2"):
        program.post("/api/v1/devices", {**GOOD["/api/v1/devices"], "code": code})
        program.post("/api/v1/readings", {**READING, "device_id": code, "raw": f"{len(code)} kg"})
    key_of(house("OT")).post("/api/v1/readings", {**READING, "raw": "7 kg"}, 202)
    program.post("/api/v1/readings", {**READING, "raw": "7 kg"}, 422)
    assert sorted(Reading.objects.values_list("raw", flat=True)) == ["2 kg", "2 kg", "7 kg"]
