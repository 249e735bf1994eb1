"""Devices that are changed and ended: who may, what is refused, and what stays as it was."""

from decimal import Decimal
from typing import Any
from unittest import mock

import pytest
from django.db import DatabaseError, transaction

from api.readings.devices import DeviceOtherwise, change_device
from api.readings.models import Device, DeviceChange, Reading, ReadingParse
from hilum.plugins.facts import DeviceDriver, DeviceReading
from inventory.rules.mistakes import Refused
from tests.api.asking import Program
from tests.api.readings.test_readings import SCALE, key_of, send
from tests.inventory.lamp import lamp as lamp_with
from tests.make import NOW, House, house

pytestmark = pytest.mark.django_db
HERE = "/api/v1/devices/scale-1"
READINGS = "/api/v1/readings"


@pytest.fixture
def program() -> Program:
    made = key_of(house())
    made.post("/api/v1/devices", SCALE)
    return made


def tag_of(who: Program, address: str = HERE) -> str:
    tag: str = who.client.get(address, headers=who.headers)["ETag"]
    return tag


def change(who: Program, status: int = 200, seen: str = "", **words: Any) -> Any:
    answer = who.send(HERE, words, method="patch", If_Match=seen or tag_of(who))
    assert answer.status_code == status, answer.content
    return answer.json()


def glows(value: str) -> Any:
    """A plugin whose driver reads the same in everything."""
    reads = [DeviceReading("glow", Decimal(value), "lx")]
    return lamp_with(device_drivers=lambda: [DeviceDriver("lamp", "Lamp", lambda _text: reads)])


# Sent by PATCH, what is refused, and what the sentence says: the state before is the state afterwards.
REFUSED: list[tuple[dict[str, Any], int, str]] = [
    ({"driver": "telepathy"}, 422, "telepathy"),
    ({"driver": ""}, 422, "is no driver"),
    ({"unit": "stone"}, 422, "stone"),
    ({"name": ""}, 422, "0 characters"),
    ({"name": "n" * 81}, 422, "81 characters"),
    ({"name": "a\0"}, 422, "cannot be kept"),
    ({"name": "\u202eelacs"}, 422, "a sign that nobody sees"),
    ({"name": "  "}, 422, "is blank"),
    ({"name": ["a"]}, 422, "name"),
    ({"code": "scale-2"}, 422, "code"),  # what it calls itself is its identity
    ({"ended": "perhaps"}, 422, "yes or no"),
    ({"ended_at": "2025-01-01T00:00:00Z"}, 422, "ended_at"),
    ({"name": "n" * 81, "driver": "x", "unit": "y"}, 422, "81 characters"),
]


@pytest.mark.parametrize(("words", "status", "says"), REFUSED)
def test_a_change_that_cannot_be_is_refused_and_changes_nothing(
    program: Program,
    words: dict[str, Any],
    status: int,
    says: str,
) -> None:
    before = program.get(HERE)
    assert says in str(change(program, status, **words))
    assert program.get(HERE) == before


def test_everything_that_is_wrong_is_said_at_once(program: Program) -> None:
    problem = change(program, 422, name="", driver="x", unit="y")
    assert [one["field"] for one in problem["errors"]] == ["name", "driver", "unit"]


def test_a_change_names_what_its_sender_saw(program: Program) -> None:
    seen = tag_of(program)
    assert program.send(HERE, {"name": "a"}, method="patch").status_code == 428
    change(program, name="Pit scale")
    assert change(program, 412, seen, name="Another")["code"] == "changed_meanwhile"
    assert Device.objects.get().name == "Pit scale"


def test_only_records_change_and_end_a_device_and_only_their_own() -> None:
    plant = house()
    records, bench, other = key_of(plant), key_of(plant, "bench"), key_of(house("OT"))
    records.post("/api/v1/devices", SCALE)
    assert "have their readings read again" in change(bench, 403, tag_of(records), ended=True)["detail"]
    change(other, 404, '"x"', ended=True)
    assert Device.objects.get().ended_at is None


def test_what_a_device_was_is_told_and_never_changed(program: Program) -> None:
    change(program, name="Pit scale", unit="lb")
    change(program, unit="")
    told = program.get(HERE)["changes"]
    assert [(one["name"], one["unit"]) for one in told] == [
        ("Pit scale", ""), ("Pit scale", "lb"), ("Scale at the pit", "kg"),
    ]  # fmt: skip
    with pytest.raises(DatabaseError), transaction.atomic():
        DeviceChange.objects.update(unit="g")


def test_the_same_again_writes_nothing(program: Program) -> None:
    seen = tag_of(program)
    change(program, name="Scale at the pit", unit="kg", ended=False)
    assert (tag_of(program), DeviceChange.objects.count()) == (seen, 1)


def test_a_new_unit_is_for_what_comes_and_leaves_what_was_read(program: Program) -> None:
    first = send(program, raw="842,0")
    change(program, unit="lb")
    second = send(program, raw="842,0", reading_id="2")
    # 842 lb x 0.45359237 kg (the pound of 1959, exact) = 381.92477554 kg, to the milligram
    assert [one["values"][0]["kg"] for one in (first, second)] == ["842.0", "381.924776"]
    assert program.get(f"{READINGS}/{first['id']}")["values"] == first["values"]


def test_what_an_ended_device_sends_is_kept_aside_and_read_when_it_is_taken_up_again(
    program: Program,
) -> None:
    before = send(program)
    assert change(program, ended=True)["ended_at"] is not None
    told = send(program, 202, reading_id="2")
    assert (told["values"], "was ended on" in told["note"], "ended" in told["note"]) == (None, True, True)
    assert send(program, 200) == before  # what came before its end stands
    change(program, ended=False)
    assert program.get(f"{READINGS}/{told['id']}")["values"][0]["kg"] == "842.0"


def test_a_device_that_is_ended_twice_ended_once(program: Program) -> None:
    first = change(program, ended=True)
    assert change(program, ended=True) == first
    assert DeviceChange.objects.count() == 2


def test_entering_a_device_that_was_ended_takes_it_up_with_the_new_words(
    program: Program,
) -> None:
    change(program, ended=True)
    told = program.post("/api/v1/devices", {**SCALE, "name": "New scale", "unit": "lb"}, 200)
    assert (told["name"], told["unit"], told["ended_at"]) == ("New scale", "lb", None)
    assert [one["ended"] for one in program.get(HERE)["changes"]] == [False, True, False]


def test_a_page_changes_a_device_by_the_same_action() -> None:
    plant = house()
    key_of(plant).post("/api/v1/devices", SCALE)
    with pytest.raises(Refused, match="records may"):
        change_device(Device.objects.get(), DeviceOtherwise(ended=True), by=plant.bench, now=NOW)
    assert change_device(Device.objects.get(), DeviceOtherwise(ended=True), by=plant.records, now=NOW).ended_at == NOW


def test_a_reading_is_read_again_by_the_driver_that_its_device_has_now(program: Program) -> None:
    told = send(program)
    address = f"{READINGS}/{told['id']}"
    seen = tag_of(program, address)
    with glows("7.10"):
        change(program, driver="lamp")
        again = program.post(f"{address}/read-again", {}, 200)
    assert (again["raw"], again["driver"], again["values"][0]["value"]) == (told["raw"], "lamp", "7.10")
    assert [(one["driver"], one["values"]) for one in again["earlier"]] == [("scale", told["values"])]
    assert program.get(address) == again and tag_of(program, address) != seen
    assert program.get(f"{READINGS}?driver=lamp")["results"][0]["id"] == told["id"]
    assert program.get(f"{READINGS}?driver=scale")["results"] == []
    assert send(program, 200)["values"] == again["values"]  # sent again, it is told as it counts now


def test_reading_it_again_as_it_was_read_writes_nothing(program: Program) -> None:
    address = f"{READINGS}/{send(program)['id']}"
    seen = tag_of(program, address)
    program.post(f"{address}/read-again", {}, 200)
    assert (tag_of(program, address), ReadingParse.objects.count()) == (seen, 1)


def _unknown(who: Program) -> str:
    return str(send(who, 202, device_id="new")["id"])


def _ended(who: Program) -> str:
    change(who, ended=True)
    return str(send(who, 202)["id"])


def _away(who: Program) -> str:
    told = send(who)
    with glows("1"):
        change(who, driver="lamp")
    return str(told["id"])


@pytest.mark.parametrize(
    ("make", "code"), [(_unknown, "device_unknown"), (_ended, "device_ended"), (_away, "driver_away")]
)
def test_what_nothing_can_read_now_is_refused_and_left(program: Program, make: Any, code: str) -> None:
    name = make(program)
    before = program.get(f"{READINGS}/{name}")
    assert program.post(f"{READINGS}/{name}/read-again", {}, 422)["code"] == code
    assert program.get(f"{READINGS}/{name}") == before
    many = program.post(f"{READINGS}/read-again", {}, 200)
    assert many == {"looked_at": 1, "changed": 0, "aside": 1, "next": None}


def test_many_are_read_again_as_the_list_is_filtered_and_page_by_page(program: Program) -> None:
    for number in range(5):
        send(program, reading_id=str(number), kind="net" if number else "gross")
    with glows("3"), mock.patch("api.readings.parsing.MOST_AT_ONCE", 3):
        change(program, driver="lamp")
        first = program.post(f"{READINGS}/read-again?kind=net", {}, 200)
        assert (first["looked_at"], first["changed"]) == (3, 3)
        rest = program.post(first["next"].removeprefix("http://testserver"), {}, 200)
    assert rest == {"looked_at": 1, "changed": 1, "aside": 0, "next": None}
    assert [one["driver"] for one in program.get(READINGS)["results"]] == ["lamp"] * 4 + ["scale"]


@pytest.mark.parametrize("address", [f"{READINGS}/read-again", f"{READINGS}/{{id}}/read-again"])
def test_only_records_has_readings_read_again_and_only_their_own(address: str) -> None:
    plant = house()
    name = send(key_of(plant), 202)["id"]
    assert key_of(plant, "bench").post(address.format(id=name), {}, 403)["code"] == "may_not"
    other = key_of(house("OT"))
    status = 404 if "{" in address else 200
    assert other.post(address.format(id=name), {}, status).get("looked_at", 0) == 0


@pytest.mark.parametrize(
    ("query", "body", "status"),
    [
        ("?colour=red", {}, 400), ("?taken_at__gte=2025-01-01T00:00:00", {}, 400), ("?cursor=x", {}, 400),
        ("?kind=a&kind=b", {}, 400), ("?device=%00", {}, 400), ("", {"device": "a"}, 422), ("", [], 400),
        ("", "{", 400),
    ],
)  # fmt: skip
def test_a_filter_that_cannot_be_read_reads_nothing_again(
    program: Program,
    query: str,
    body: Any,
    status: int,
) -> None:
    send(program)
    assert program.send(f"{READINGS}/read-again{query}", body).status_code == status
    assert (Reading.objects.count(), ReadingParse.objects.count()) == (1, 1)


def test_many_are_read_again_by_a_bounded_number_of_queries(
    program: Program,
    django_assert_max_num_queries: Any,
) -> None:
    for number in range(4):
        send(program, reading_id=str(number))
    with django_assert_max_num_queries(8 + 2 * 4):  # of each only what counts is looked at
        program.post(f"{READINGS}/read-again", {}, 200)


def test_a_house_of_another_station_has_devices_of_the_same_code(program: Program) -> None:
    other: House = house("OT")
    key_of(other).post("/api/v1/devices", SCALE)
    change(program, ended=True)
    assert list(Device.objects.filter(ended_at__isnull=True).values_list("station__code", flat=True)) == ["OT"]


def test_a_device_is_read_and_changed_by_its_id_as_by_its_code(program: Program) -> None:
    by_code = program.get(HERE)
    where = f"/api/v1/devices/{by_code['id']}"
    assert program.get(where) == by_code
    answer = program.send(where, {"name": "Scale 2"}, method="patch", If_Match=tag_of(program, where))
    assert (answer.status_code, answer.json()["name"]) == (200, "Scale 2")
