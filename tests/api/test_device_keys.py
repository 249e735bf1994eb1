"""Keys that are bound to one device: what they open, what they do not, when they end, how they are made."""

import io
import json
from typing import Any

import pytest
from django.core.management import call_command
from django.test import Client

from api.models import Device, Reading, Token
from api.readings.devices import DeviceOtherwise, DeviceWords, change_device, enter_device
from api.tokens import make_token
from inventory.rules.mistakes import Refused
from tests.api.asking import Program, program_of
from tests.api.paths import PATHS, address_of
from tests.make import NOW, House, house

pytestmark = pytest.mark.django_db
SENT = {"device_id": "B1", "reading_id": "1", "taken_at": "2025-05-30T08:00:00Z", "raw": "842.0 kg"}
READINGS = "/api/v1/readings"


@pytest.fixture
def plant() -> House:
    plant = house()
    for code in ("B1", "B2"):
        enter_device(
            DeviceWords(code=code, driver="scale", unit="kg"), station=plant.station, by=plant.records, now=NOW
        )
    return plant


def key_of(plant: House, role: str = "bench", code: str = "B1", **more: Any) -> str:
    device = Device.objects.get(code=code, station=plant.station)
    return make_token(plant.people[role], **{"scopes": (), "days": None, "now": NOW, "device": device, **more})


def command(*words: str) -> str:
    out = io.StringIO()
    call_command("token", *words, stdout=out, stderr=out)
    return out.getvalue()


def test_it_sends_readings_of_its_device_and_reads_whose_it_is(plant: House) -> None:
    program = Program(key_of(plant, name="floor scale"))
    assert program.post(READINGS, SENT)["values"][0]["kg"] == "842.0"
    me = program.get("/api/v1/me")
    assert (me["device"], me["scopes"], me["key"]) == ("B1", ["readings:write"], "floor scale")


@pytest.mark.parametrize("device_id", ["B2", "nobody's", "b1", "B1 "])
def test_a_reading_of_another_device_is_refused_and_not_kept(plant: House, device_id: str) -> None:
    problem = Program(key_of(plant)).post(READINGS, {**SENT, "device_id": device_id}, 403)
    assert problem["code"] == "of_another_device"
    assert "'B1'" in problem["detail"] and device_id.strip() in problem["detail"]
    assert not Reading.objects.exists()


def test_every_other_address_is_closed_to_it_whatever_its_account_may_do(plant: House) -> None:
    program, opened = Program(key_of(plant, "records")), {}
    for path, methods in PATHS.items():
        for method in methods:
            more = {"content_type": "application/json", "headers": {**program.headers, "If-Match": "*"}}
            answer = getattr(program.client, method)(address_of(path), **more)
            if answer.status_code != 403 or "'B1'" not in answer.content.decode():
                opened[f"{method} {path}"] = answer.status_code
    assert set(opened) == {"post /api/v1/readings", "get /api/v1/me"}


@pytest.mark.parametrize(
    ("method", "address"),
    [
        ("get", READINGS), ("get", f"{READINGS}/export?format=csv"), ("head", READINGS), ("options", READINGS),
        ("put", "/api/v1/me"), ("get", "/api/v1/no-such-thing"), ("get", "/brapi/v2/serverinfo"),
        ("get", "/brapi/v2/seedlots"), ("post", "/brapi/v2/observations"), ("get", "/api/v1/x/soaking/table"),
    ],
)  # fmt: skip
def test_addresses_beside_the_description_are_closed_too(plant: House, method: str, address: str) -> None:
    answer = Program(key_of(plant, "records")).send(address, "", method=method)
    assert answer.status_code == 403
    assert method == "head" or "'B1'" in answer.content.decode()


def test_its_keys_end_with_their_device_and_do_not_come_back_with_it(plant: House) -> None:
    program, other = Program(key_of(plant)), Program(key_of(plant, code="B2"))
    device = Device.objects.get(code="B1")
    change_device(device, DeviceOtherwise(ended=True), by=plant.records, now=NOW)
    program.get("/api/v1/me", 401)
    program.post(READINGS, SENT, 401)
    change_device(device, DeviceOtherwise(ended=False), by=plant.records, now=NOW)
    program.get("/api/v1/me", 401)
    other.get("/api/v1/me")
    Program(key_of(plant)).post(READINGS, SENT)


@pytest.mark.parametrize("scopes", [("read",), ("write",), ("readings:write", "lots:read"), ("everything",)])
def test_a_key_of_a_device_is_given_nothing_beside_its_readings(plant: House, scopes: tuple[str, ...]) -> None:
    with pytest.raises(Refused, match=r"opens nothing else|no scope"):
        key_of(plant, scopes=scopes)
    assert not Token.objects.exists()


def test_no_key_is_made_for_an_ended_device_or_for_one_where_its_account_does_not_work(plant: House) -> None:
    with pytest.raises(Refused, match="does not work at"):
        make_token(house("OT").bench, scopes=(), days=None, now=NOW, device=Device.objects.get(code="B1"))
    stale = Device.objects.get(code="B1")
    change_device(stale, DeviceOtherwise(ended=True), by=plant.records, now=NOW)
    for device in (Device.objects.get(code="B1"), stale):  # also where it ended while the key was thought of
        with pytest.raises(Refused, match="was ended"):
            make_token(plant.bench, scopes=(), days=None, now=NOW, device=device)
    assert not Token.objects.exists()


def test_who_has_no_part_in_readings_sends_none_by_a_device_either(plant: House) -> None:
    secret = key_of(plant)
    Token.objects.update(user=plant.people["stranger"])
    answer = Program(secret).send(READINGS, SENT)
    assert answer.status_code == 403


def test_the_command_makes_one(plant: House) -> None:
    told = json.loads(command("bench-st", "--device", "B1", "--json"))
    assert (told["device"], told["scopes"]) == ("B1", ["readings:write"])
    Program(told["secret"]).post(READINGS, SENT)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--device", "B9"), "Nobody entered the device 'B9'"),
        (("--device", "B\0"), "Nobody entered the device"),
        (("--device", "B1", "--scopes", "read"), "opens nothing else"),
        (("--device", "B1", "--days", "0"), "A key cannot last 0 days"),
    ],
)
def test_words_of_the_command_that_cannot_be_used_are_a_sentence(
    plant: House, words: tuple[str, ...], says: str
) -> None:
    out = io.StringIO()
    with pytest.raises(SystemExit) as refusal:
        call_command("token", "bench-st", *words, stdout=out, stderr=out)
    assert (refusal.value.code, says in out.getvalue()) == (2, True)
    assert not Token.objects.exists()


def test_the_page_makes_one_and_says_so(plant: House) -> None:
    client = Client()
    client.force_login(plant.bench)
    assert 'value="B1"' in client.get("/connections/").content.decode()
    made = client.post("/connections/", {"name": "scale", "device": "B1", "scopes": ["read"]}).content.decode()
    assert "send readings of B1" in made
    assert (Token.objects.get().device, Token.objects.get().given) == (
        Device.objects.get(code="B1"), ["readings:write"]
    )  # fmt: skip


@pytest.mark.parametrize("code", ["B9", "B\0", "x" * 400])
def test_the_page_makes_none_for_a_device_that_is_not_there(plant: House, code: str) -> None:
    client = Client()
    client.force_login(plant.bench)
    page = client.post("/connections/", {"device": code, "scopes": ["read"]})
    assert (page.status_code, Token.objects.count()) == (422, 0)
    assert "Nobody entered the device" in page.content.decode()


@pytest.mark.parametrize("name", ["%00", "a%00b", "B9", "%ED%A0%80", "x" * 500])
def test_a_device_that_nobody_can_have_entered_is_not_there(plant: House, name: str) -> None:
    program = program_of(plant.records)
    program.get(f"/api/v1/devices/{name}", 404)
    assert program.send(f"/api/v1/devices/{name}", {}, method="patch", If_Match="*").status_code == 404
