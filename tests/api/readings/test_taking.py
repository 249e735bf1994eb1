"""The button that fills a mass with what a scale sent last; nothing is booked by it."""

from datetime import UTC, datetime, timedelta
from urllib.parse import quote

import pytest
from django.test import Client

from api.readings.devices import DeviceOtherwise, DeviceWords, change_device, enter_device
from api.readings.keeping import ReadingWords, keep_reading
from api.readings.models import Device
from inventory.models import Lot, Operation
from tests.make import NOW, House, house

pytestmark = pytest.mark.django_db
PAGE = "/do/receive/"
BUTTON = "Take the newest reading"
NOTHING = "No scale sent a mass in the last 10 minutes. Press its key, or type what it shows."


@pytest.fixture
def plant(client: Client) -> House:
    made = house()
    client.force_login(made.intake)
    return made


def scale(plant: House, code: str = "scale-1") -> Device:
    words = DeviceWords(code=code, driver="scale", name="Scale at the pit", unit="kg")
    return enter_device(words, station=plant.station, by=plant.records, now=NOW)[0]


def sent(plant: House, raw: str, number: str = "1", *, ago: timedelta = timedelta(), device: str = "scale-1") -> None:
    now = datetime.now(UTC)
    words = ReadingWords(device_id=device, reading_id=number, taken_at=(now - ago).isoformat(), raw=raw)
    keep_reading(words, None, station=plant.station, by=plant.intake, now=now)


def take(client: Client, where: str = "receive/gross", **typed: str) -> str:
    answer = client.post(f"/connections/scales/{where}", typed, follow=True)
    assert answer.status_code == 200
    return answer.content.decode().replace("&#x27;", "'")


REFUSED = {
    "nothing": ([], NOTHING),
    "something of an hour ago": ([("842.0 kg", timedelta(hours=1))], NOTHING),
    "something of tomorrow": ([("842.0 kg", timedelta(days=-1))], NOTHING),
    "a mass that moved": ([("842.0 kg", timedelta(minutes=1)), ("US,GS,+ 843 kg", timedelta())], "still moving at 843"),
    "a net weight": ([("ST,NT,+ 800.0 kg", timedelta())], "the scale took its own tare off already"),
    "an overload": ([("OL,GS,+ 0 kg", timedelta())], "it is overloaded"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_what_may_not_be_taken_is_said_and_what_was_typed_stays(client: Client, plant: House, case: str) -> None:
    texts, says = REFUSED[case]
    scale(plant)
    for number, (raw, ago) in enumerate(texts):
        sent(plant, raw, str(number), ago=ago)
    page = take(client, gross="1", plots="ST24-N-1-1")
    assert says in page
    assert 'name="gross" value="1"' in page
    assert 'name="plots" value="ST24-N-1-1"' in page


def test_the_newest_mass_fills_the_field_exactly_and_says_from_where_and_when(client: Client, plant: House) -> None:
    scale(plant)
    sent(plant, "842.0 kg", ago=timedelta(minutes=2))
    sent(plant, "ST,GS,+  1856.35 lb", "2")
    page = take(client, plots="ST24-N-1-1", reason="the pit was wet", **{"from": "outside"})
    assert 'name="gross" value="1856.35 lb"' in page
    assert "1856.35 lb, sent by Scale at the pit at " in page
    assert 'name="reason" value="the pit was wet"' in page
    assert not Lot.objects.exists()
    assert not Operation.objects.filter(kind="receive").exists()
    assert "sent by" not in client.get(PAGE).content.decode()  # it is said once


def test_a_net_weight_is_taken_where_a_net_weight_belongs(client: Client, plant: House) -> None:
    scale(plant)
    sent(plant, "ST,NT,+ 800.0 kg")
    assert 'name="weighed" value="800.0 kg"' in take(client, "dry/weighed")
    assert 'name="mass" value="800.0 kg"' in take(client, "return/mass")


def test_seed_from_outside_comes_back_on_its_own_page(client: Client, plant: House) -> None:
    scale(plant)
    sent(plant, "842.0 kg")
    assert "Weigh in seed from outside" in take(client, "receive/gross?from=outside", sender="A grower")


def test_there_is_no_button_without_a_scale_in_use(client: Client, plant: House) -> None:
    assert BUTTON not in client.get(PAGE).content.decode()
    device = scale(plant)
    assert BUTTON in client.get(PAGE).content.decode()
    change_device(device, DeviceOtherwise(ended=True), by=plant.records, now=NOW)
    assert BUTTON not in client.get(PAGE).content.decode()
    assert NOTHING in take(client)


def test_a_scale_of_another_station_is_not_taken_from(client: Client, plant: House) -> None:
    other = house("OT")
    scale(other)
    sent(other, "842.0 kg")
    scale(plant)
    assert NOTHING in take(client)


@pytest.mark.parametrize("where", ["eat/gross", "receive/colour", "receive/__class__", quote("re\0/gross")])
def test_a_form_or_field_that_there_is_not_is_not_found(client: Client, plant: House, where: str) -> None:
    assert client.post(f"/connections/scales/{where}").status_code == 404
