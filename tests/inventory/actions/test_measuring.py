"""Moistures by meter and oven, on wet and dry basis."""

from typing import Any

import pytest

from inventory.actions.measuring import MoistureReading, read_moisture_of
from inventory.models import Moisture
from inventory.queries.moistures import newest_moisture
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Level, Refused
from tests.make import NOW, House, house, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    return house()


def read(plant: House, answers: dict[str, str] | None = None, **words: Any) -> Any:
    lot = received(plant)
    asked = MoistureReading(lot=lot.number, **words)
    return read_moisture_of([asked], station=plant.station, by=plant.bench, now=NOW, answers=answers)


def kept() -> tuple[str, str, str, str]:
    row = Moisture.objects.get()
    return row.wet_basis_pct, row.method, row.basis, row.temperature_c


def test_a_bare_reading_is_kept_as_before(plant: House) -> None:
    read(plant, moisture="15.2 %")
    assert kept() == ("15.2", "", "", "")
    assert verify(plant.station).is_whole


def test_a_meter_reading_keeps_its_method_and_temperature(plant: House) -> None:
    read(plant, moisture="15.2", method="Meter", temperature="21,5")
    assert kept() == ("15.2", "meter", "", "21.5")


def test_a_reading_on_dry_basis_is_turned_into_wet_basis_and_says_so(plant: House) -> None:
    booked = read(plant, moisture="19.05", basis="dry")
    assert kept() == ("16.00", "", "dry", "")
    assert "19.05 % on dry basis: 16.00 % on wet basis." in booked.operations[0].content
    assert str(newest_moisture(Moisture.objects.get().lot)) == "16.00"
    assert verify(plant.station).is_whole


def test_the_weights_of_the_oven_make_a_moisture(plant: House) -> None:
    booked = read(plant, wet_g="12.412", dry_g="10.855", dish_g="2.004", temperature="103")
    assert kept() == ("14.96", "oven", "", "103")  # 1.557 / 10.408 = 14.9597 %
    assert "(12.412 - 10.855) g of (12.412 - 2.004) g" in booked.operations[0].content


def test_seed_without_a_dish_is_weighed_alone(plant: House) -> None:
    read(plant, wet_g="10", dry_g="8.4")
    assert kept()[:2] == ("16.00", "oven")


@pytest.mark.parametrize(
    ("words", "field", "says"),
    [
        ({}, "moisture", "Moisture is missing"),
        ({"moisture": "NaN"}, "moisture", "cannot be read as a number"),
        ({"moisture": "15", "method": "nose"}, "method", "Give meter or oven"),
        ({"moisture": "15", "basis": "damp"}, "basis", "Give wet or dry"),
        ({"moisture": "15", "temperature": "300"}, "temperature", "up to 250 °C"),
        ({"moisture": "15", "temperature": "103", "method": "meter"}, "temperature", "up to 70 °C"),
        ({"moisture": "15", "temperature": "20", "method": "oven"}, "temperature", "from 40"),
        ({"moisture": "15", "temperature": "warm"}, "temperature", "cannot be read"),
        ({"moisture": "-1", "basis": "dry"}, "moisture", "Moisture is -1"),
        ({"moisture": "", "basis": "dry"}, "moisture", "Moisture is missing"),
        ({"wet_g": "10", "dry_g": "11"}, "dry_g", "after lies between dish and before"),
        ({"wet_g": "10", "dry_g": "8", "dish_g": "9"}, "dry_g", "after lies between dish and before"),
        ({"wet_g": "10"}, "dry_g", "Dry g is missing"),
        ({"wet_g": "10", "dry_g": "8.4", "moisture": "16"}, "moisture", "Give the one or the other"),
        ({"wet_g": "-1", "dry_g": "8.4"}, "wet_g", "Wet g is -1 g"),
    ],
)
def test_what_cannot_be_is_a_sentence_at_its_field(plant: House, words, field, says) -> None:
    with pytest.raises(Refused) as refusal:
        read(plant, **words)
    assert says in {mistake.field: mistake.says for mistake in refusal.value.mistakes}[field]
    assert not Moisture.objects.exists()


def test_a_moisture_far_from_beans_is_asked_about_however_it_was_taken(plant: House) -> None:
    with pytest.raises(Refused) as refusal:
        read(plant, wet_g="10", dry_g="5")
    assert [mistake.level for mistake in refusal.value.mistakes] == [Level.QUESTION]
    assert refusal.value.mistakes[0].code == "moisture_unlikely"


def test_an_unlikely_moisture_goes_through_with_a_reason(plant: House) -> None:
    read(plant, answers={"moisture_unlikely": "fresh from the field"}, wet_g="10", dry_g="5")
    assert kept()[0] == "50.00"
