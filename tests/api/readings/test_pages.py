"""The page on which a person enters devices and sees what they sent, letter by letter, beside what was read."""

from datetime import UTC, datetime

import pytest
from django.test import Client

from api.readings.devices import DeviceWords, enter_device
from api.readings.keeping import ReadingWords, keep_reading
from api.readings.models import Device, ReadingParse
from tests.make import NOW, House, house

pytestmark = pytest.mark.django_db
PAGE = "/connections/devices/"
SCALE = {"code": "scale-1", "driver": "scale", "name": "Scale at the pit", "unit": "kg"}
NOT_HERE = "There is no such device or reading at this station."


@pytest.fixture
def plant() -> House:
    return house()


def at(plant: House, role: str) -> Client:
    client = Client()
    client.force_login(plant.people[role])
    return client


def entered(plant: House, **more: str) -> Device:
    return enter_device(DeviceWords(**{**SCALE, **more}), station=plant.station, by=plant.records, now=NOW)[0]


def sent(plant: House, raw: str, number: str = "1", device: str = "scale-1", taken: str = "") -> str:
    now = datetime.now(UTC)
    words = ReadingWords(device_id=device, reading_id=number, taken_at=taken or now.isoformat(), raw=raw)
    return str(keep_reading(words, None, station=plant.station, by=plant.intake, now=now)[0].uid)


def text(client: Client, **asked: str) -> str:
    return client.get(PAGE, asked).content.decode().replace("&#x27;", "'")


def press(client: Client, status: int = 200, **typed: object) -> str:
    page = client.post(PAGE, typed)
    assert page.status_code == status
    return page.content.decode().replace("&#x27;", "'")


REFUSED = {
    "no code": ({**SCALE, "code": ""}, "has 0 characters"),
    "a code with a sign that nobody sees": ({**SCALE, "code": "a\0b"}, "on one line"),
    "a driver that there is not": ({**SCALE, "driver": "lamp"}, "'lamp'"),
    "a unit that there is not": ({**SCALE, "unit": "stone"}, "'stone'"),
    "a button of no device": ({"end": "-" * 36}, NOT_HERE),
    "a device that is gone": ({"change": "0" * 32, "name": "x", "driver": "scale"}, NOT_HERE),
    "a reading that is gone": ({"again": "0" * 32}, NOT_HERE),
}


@pytest.mark.parametrize("case", REFUSED)
def test_what_cannot_be_is_said_and_nothing_is_entered(plant: House, case: str) -> None:
    typed, says = REFUSED[case]
    assert says in press(at(plant, "records"), 422, **typed)
    assert not Device.objects.exists()


def test_only_records_enters_changes_and_ends(plant: House) -> None:
    intake = at(plant, "intake")
    assert "intake may not" in press(intake, 422, **SCALE)
    device = entered(plant)
    for button in ({"end": device.uid}, {"change": device.uid, "name": "mine", "driver": "scale", "unit": ""}):
        assert "intake may not" in press(intake, 422, **button)
    assert "<select" not in text(intake, of="scale-1")
    device.refresh_from_db()
    assert (device.name, device.ended_at) == ("Scale at the pit", None)


def test_a_device_is_entered_changed_ended_and_taken_up_again(plant: House) -> None:
    records = at(plant, "records")
    assert "Scale at the pit is entered." in press(records, **SCALE)
    assert "Open it in the list to change it" in press(records, 422, **{**SCALE, "name": "another"})
    uid = Device.objects.get().uid
    press(records, change=uid, name="Pit scale", driver="scale", unit="lb")
    device = Device.objects.get()
    assert (device.name, device.unit) == ("Pit scale", "lb")
    assert "Pit scale is ended." in press(records, end=uid)
    assert "ended" in text(records)
    assert "Pit scale is in use again." in press(records, resume=uid)


def test_a_text_stands_as_it_was_sent_beside_what_was_read(plant: House) -> None:
    entered(plant)
    sent(plant, "\x02ST,GS,+  12.42 lb\x03")
    sent(plant, "US,GS,+ 3.1 kg", "2")
    page = text(at(plant, "line"))
    assert "<code>‹STX›ST,GS,+  12.42 lb‹ETX›</code>" in page
    assert "gross 12.42 lb, 5.633617 kg" in page  # the pound of 1959: 0.45359237 kg exactly
    assert "still moving" in page
    assert "still moving" in text(at(plant, "line"), unread="yes")
    assert "12.42" not in text(at(plant, "line"), unread="yes")


def test_what_is_kept_aside_says_what_to_do_and_is_read_once_the_device_is_entered(plant: House) -> None:
    sent(plant, "842.0 kg")
    records = at(plant, "records")
    page = text(records)
    assert "A device that calls itself scale-1 sent 1 text that waits." in page
    assert 'href="?code=scale-1#enter"' in page
    assert 'name="code" value="scale-1"' in text(records, code="scale-1")
    press(records, **SCALE)
    assert "that waits" not in text(records)
    assert "842.0 kg</td>" in text(records).replace("\n", "")


def test_a_text_is_read_again_after_its_unit_is_given(plant: House) -> None:
    device = entered(plant, unit="")
    uid = sent(plant, "842 ??")
    records = at(plant, "records")
    assert f'name="again" value="{uid}"' in text(records)
    assert "It is read as before." in press(records, again=uid)
    assert "intake may not" in press(at(plant, "intake"), 422, again=uid)
    assert ReadingParse.objects.filter(device=device).count() == 1


def test_nothing_of_another_station_is_shown(plant: House) -> None:
    device = entered(plant)
    uid = sent(plant, "842.0 kg")
    others = at(house("OT"), "records")
    assert "842.0" not in text(others)
    assert NOT_HERE in press(others, 422, end=device.uid)
    assert NOT_HERE in press(others, 422, again=uid)


@pytest.mark.parametrize("asked", [{"of": "a\0b"}, {"of": "nothing"}, {"before": "x"}, {"before": "0" * 32}])
def test_what_an_address_asks_for_and_is_not_there_is_an_empty_page(plant: House, asked: dict[str, str]) -> None:
    assert "Nothing." in text(at(plant, "line"), **asked)


def test_many_readings_are_paged_and_ask_no_more(plant: House, django_assert_max_num_queries) -> None:
    entered(plant)
    for number in range(35):
        sent(plant, f"{number}.5 kg", str(number))
    records = at(plant, "records")
    with django_assert_max_num_queries(16):
        first = text(records)
    assert ("34.5 kg" in first, " 4.5 kg" in first) == (True, False)
    before = first.partition("?before=")[2].partition('"')[0]
    assert "<code>4.5 kg</code>" in text(records, before=before)
