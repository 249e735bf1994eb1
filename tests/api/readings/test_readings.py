"""Readings of devices: kept as they came, read by their driver, and told again as they were told first."""

from collections.abc import Callable, Sequence
from decimal import Decimal
from time import sleep
from typing import Any
from unittest import mock

import pytest
from django.db import DatabaseError, connection, transaction

from api.readings.models import Device, Reading, ReadingParse
from hilum.plugins import driving
from hilum.plugins.facts import DeviceDriver, DeviceReading
from hilum.plugins.host import the_host
from tests.api.asking import Program, program_of
from tests.inventory.lamp import lamp as lamp_with
from tests.make import House, house

pytestmark = pytest.mark.django_db
SCALE = {"code": "scale-1", "driver": "scale", "name": "Scale at the pit", "unit": "kg"}


def key_of(plant: House, role: str = "records") -> Program:
    return program_of(plant.people[role])


def sent(raw: Any = "842.0 kg", **more: Any) -> dict[str, Any]:
    return {"device_id": "scale-1", "reading_id": "1", "taken_at": "2025-05-30T08:00:00-05:00", "raw": raw, **more}


def send(program: Program, status: int = 201, **words: Any) -> Any:
    return program.post("/api/v1/readings", sent(**words), status)


@pytest.fixture
def program() -> Program:
    made = key_of(house())
    made.post("/api/v1/devices", SCALE)
    return made


def lamp(parse: Callable[[str], Sequence[DeviceReading]]) -> Any:
    """A plugin with one driver."""
    driver = DeviceDriver("lamp", "Lamp", parse)
    return lamp_with(device_drivers=lambda: [driver])


@pytest.mark.parametrize(
    ("raw", "mass"),
    [
        ("  842.0 kg", ("842.0", "kg", "842.0", "")),
        ("842,0", ("842.0", "kg", "842.0", "")),
        # 12.42 lb x 0.45359237 kg (the pound of 1959, exact) = 5.6336172354 kg, to the milligram
        ("ST,GS,+  12.42 lb", ("12.42", "lb", "5.633617", "gross")),
        ("\x02ST,NT,+  12.42 kg\x03\r\n", ("12.42", "kg", "12.42", "net")),
    ],
)
def test_what_a_scale_sends_is_kept_letter_by_letter_and_read_exactly(
    program: Program, raw: str, mass: tuple[str, ...]
) -> None:
    told = send(program, raw=raw, kind="gross", values={"net": 1.50})
    read = dict(zip(("quantity", "value", "unit", "kg", "weighed_as"), ("mass", *mass), strict=True))
    assert (told["raw"], told["values"], told["unread"], told["driver"]) == (raw, [read], "", "scale")
    assert (told["taken_at"], told["sent"]) == ("2025-05-30T13:00:00Z", {"net": "1.5"})
    assert program.get("/api/v1/readings?device=scale-1&kind=gross")["results"] == [told]
    assert program.get(f"/api/v1/readings/{told['id']}") == {**told, "earlier": []}


@pytest.mark.parametrize(
    ("raw", "says"),
    [
        ("US,GS,+ 12.42 lb", "still moving"),
        ("OL", "cannot be read as a number"),
        ("OL,GS,+ 99", "overloaded"),
        ("hello", "cannot be read as a number"),
        ("1,234", "Which is it?"),
        ("-3 kg", "-3"),
        ("5 stones", "stones"),
        ("9" * 3_999, "9"),
        (" ", "no number"),
        ("1e999999 kg", "1e"),
    ],
)
def test_what_cannot_be_read_is_kept_with_the_reason(program: Program, raw: str, says: str) -> None:
    told = send(program, raw=raw)
    assert (told["raw"], told["values"]) == (raw, [])
    assert says in told["unread"]


def test_a_number_without_a_unit_is_no_mass_where_its_device_has_none(program: Program) -> None:
    program.post("/api/v1/devices", {"code": "bare", "driver": "scale"})
    told = send(program, device_id="bare", raw="842,0")
    assert told["values"] == [] and "842" in told["unread"]


def test_the_same_again_is_the_same_answer_and_no_second_row(program: Program) -> None:
    first = send(program)
    assert send(program, 200) == first
    assert send(program, 200, taken_at="2025-05-30T13:00:00Z") == first  # the same instant
    assert (Reading.objects.count(), ReadingParse.objects.count()) == (1, 1)


@pytest.mark.parametrize(
    "other", [{"raw": "842.0 lb"}, {"taken_at": "2025-05-30T08:00:01-05:00"}, {"kind": "net"}, {"values": {"a": 1}}]
)
def test_other_content_under_the_same_number_is_refused_and_the_first_stays(
    program: Program, other: dict[str, Any]
) -> None:
    send(program)
    problem = send(program, 422, **other)
    assert problem["code"] == "reading_differs" and "needs a new reading_id" in problem["detail"]
    assert Reading.objects.get().raw == "842.0 kg"


def test_what_an_unknown_device_sends_is_kept_aside_and_read_when_the_device_is_entered(program: Program) -> None:
    told = send(program, 202, device_id="new")
    assert "POST /api/v1/devices" in told["note"]
    assert (told["values"], told["unread"], told["driver"]) == (None, None, None)
    assert send(program, 202, device_id="new") == told
    assert len(program.get("/api/v1/readings?read_at__isnull=true")["results"]) == 1
    program.post("/api/v1/devices", {**SCALE, "code": "new"})
    assert send(program, 200, device_id="new")["values"][0]["kg"] == "842.0"
    assert program.get("/api/v1/readings?read_at__isnull=true")["results"] == []


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ({"taken_at": "2025-05-30T08:00:00"}, "with its zone"),
        ({"taken_at": "2025-05-30"}, "with its zone"),
        ({"taken_at": "0001-01-01T00:00:00+14:00"}, "with its zone"),
        ({"taken_at": "x"}, "with its zone"),
        ({"taken_at": None}, "taken_at"),
        ({"taken_at": {}}, "taken_at"),
        ({"raw": "842\0kg"}, "cannot be kept"),
        ({"raw": "\ud800"}, "cannot be kept"),
        ({"raw": "9" * 4_001}, "4,001 characters"),
        ({"raw": ""}, "raw"),
        ({"raw": None}, "raw"),
        ({"raw": 842}, "raw"),
        ({"raw": ["842"]}, "raw"),
        ({"values": [1]}, "values"),
        ({"values": {"a": "\0"}}, "cannot be kept"),
        ({"values": {"a": "9" * 4_001}}, "characters"),
        ({"device_id": ""}, "device_id"),
        ({"device_id": "d" * 41}, "41 characters"),
        ({"device_id": "a\nb"}, "one line"),
        ({"reading_id": "r" * 201}, "201 characters"),
        ({"reading_id": []}, "reading_id"),
        ({"kind": "k" * 41}, "41 characters"),
        ({"colour": "red"}, "colour"),
    ],
)
def test_what_cannot_be_kept_is_refused_with_its_field(program: Program, words: dict[str, Any], says: str) -> None:
    problem = send(program, 422, **words)
    assert says.replace("_", " ").casefold() in problem["detail"].replace("_", " ").casefold()
    assert not Reading.objects.exists()


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ({"driver": "telepathy"}, "telepathy"),
        ({"unit": "stone"}, "stone"),
        ({"code": "c" * 41}, "41 characters"),
        ({"name": "n" * 81}, "81 characters"),
        ({"code": "\0"}, "cannot be kept"),
        ({"code": []}, "code"),
        ({"name": "Another", "code": "scale-1"}, "entered already"),
    ],
)
def test_a_device_that_cannot_be_is_refused(program: Program, words: dict[str, Any], says: str) -> None:
    problem = program.post("/api/v1/devices", {**SCALE, "code": "two", **words}, 422)
    assert says.casefold() in problem["detail"].casefold()
    assert Device.objects.count() == 1


def test_a_device_entered_twice_is_one_device(program: Program) -> None:
    again = program.post("/api/v1/devices", SCALE, 200)
    assert program.get("/api/v1/devices")["results"] == [again]
    assert [one["ended"] for one in program.get("/api/v1/devices/scale-1")["changes"]] == [False]


def test_who_has_no_part_in_a_station_sends_nothing_to_it() -> None:
    plant = house()
    assert key_of(plant, "stranger").post("/api/v1/readings", sent(), 403)["code"] == "may_not"
    key_of(plant, "bench").post("/api/v1/devices", SCALE, 403)
    key_of(plant, "bench").post("/api/v1/readings", sent(), 202)


def test_another_station_sees_nothing_and_has_devices_and_numbers_of_its_own(program: Program) -> None:
    told, other = send(program), key_of(house("OT"))
    assert other.get("/api/v1/readings")["results"] == other.get("/api/v1/devices")["results"] == []
    other.get(f"/api/v1/readings/{told['id']}", 404)
    other.get("/api/v1/devices/scale-1", 404)
    assert send(other, 202, raw="1 lb")["raw"] == "1 lb"


def test_the_driver_of_a_plugin_reads_its_device(program: Program) -> None:
    with lamp(lambda text: [DeviceReading("mass", Decimal(text), "g"), DeviceReading("glow", Decimal("7.10"), "")]):
        program.post("/api/v1/devices", {"code": "lamp-1", "driver": "lamp"})
        told = send(program, device_id="lamp-1", raw="12.50")
        assert told["values"] == [
            {"quantity": "mass", "value": "12.50", "unit": "g", "kg": "0.0125", "is_stable": True},
            {"quantity": "glow", "value": "7.10", "unit": "", "is_stable": True},
        ]
    left = send(program, 202, device_id="lamp-1", raw="13", reading_id="2")  # the plugin is gone
    assert left["values"] is None and Reading.objects.filter(raw="13").exists()


def _fails(_text: str) -> Any:
    raise ZeroDivisionError("no light")


def _refuses(_text: str) -> Any:
    raise ValueError("The lamp is dark. Light it.")


def _is_slow(_text: str) -> Any:
    sleep(0.2)
    return []


@pytest.mark.parametrize(
    ("parse", "says"),
    [
        (_fails, "no light"),
        (_refuses, "The lamp is dark. Light it."),
        (_is_slow, "longer than"),
        (lambda _text: "bright", "driver lamp"),
        (lambda _text: [DeviceReading("mass", Decimal("NaN"), "kg")], "no number"),
        (lambda _text: [DeviceReading("mass", Decimal("1E+900000"), "kg")], "no number"),
        (lambda _text: [DeviceReading("mass", 1.5, "kg")], "no number"),  # type: ignore[arg-type]  # a careless driver
    ],
)
def test_a_driver_that_fails_or_is_slow_loses_nothing(
    program: Program, parse: Callable[[str], Any], says: str, settings: Any
) -> None:
    settings.HILUM_PLUGINS_RAISE = False
    host = the_host()
    with lamp(parse), mock.patch.object(driving, "LONGEST", 0.05), mock.patch.object(host, "_raising", new=False):
        program.post("/api/v1/devices", {"code": "lamp-1", "driver": "lamp"})
        told = send(program, device_id="lamp-1", raw="12.5")
    assert (told["raw"], told["values"]) == ("12.5", [])
    assert says in told["unread"]


def test_what_was_sent_and_what_was_read_are_never_changed(program: Program) -> None:
    send(program)
    for rows, change in ((Reading.objects.all(), {"raw": "1"}), (ReadingParse.objects.all(), {"unread": "1"})):
        with pytest.raises(DatabaseError), transaction.atomic():
            rows.update(**change)


@pytest.mark.django_db(transaction=True)
def test_the_text_is_committed_before_a_driver_is_asked(program: Program) -> None:
    def crash(_device: Device, raw: str) -> Any:
        assert not connection.in_atomic_block and Reading.objects.get().raw == raw
        raise SystemExit

    with mock.patch("api.readings.parsing.read_text", crash), pytest.raises(SystemExit):
        program.send("/api/v1/readings", sent())
    assert send(program, 200)["values"][0]["kg"] == "842.0"  # what a crash left unread is read when it comes again


def test_what_the_sender_read_may_not_be_nested_deeper_than_lists_can_tell(program: Program) -> None:
    deep: Any = "1"
    for _level in range(300):
        deep = {"x": deep}
    refused = send(program, 422, values=deep)
    assert (refused["code"], refused["errors"][0]["field"]) == ("wrong_shape", "values")
    assert program.get("/api/v1/readings")["results"] == []
