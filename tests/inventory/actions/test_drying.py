"""Drying by dry matter."""

from decimal import Decimal

import pytest

from inventory.actions.drying import Drying, dry
from inventory.actions.reversing import reverse
from inventory.models import Moisture
from inventory.queries.moistures import newest_moisture
from inventory.rules.drying import drying_mistakes
from inventory.rules.mistakes import Refused
from tests.make import NOW, cleaned, house, kg_left, received

KG = 1_000_000


@pytest.mark.django_db
def test_drying_books_the_water_and_keeps_what_was_expected() -> None:
    plant = house()
    lot = received(plant, "900", moisture="17.4")
    drying = Drying(lot=lot.number, weighed="876.4", after="15.2", at="2024-10-03")
    booked = dry(drying, station=plant.station, by=plant.line, now=NOW).operations[0]
    assert kg_left(lot) == Decimal("876.4")
    assert booked.entries.get(account="moisture").mg == 23_600_000
    assert '"expected_mg":876650943' in booked.content.replace(" ", "")
    assert newest_moisture(lot) == Decimal("15.2")


@pytest.mark.django_db
def test_a_moisture_before_is_asked_for_where_none_is_in_the_books() -> None:
    plant = house()
    lot = received(plant, "900")
    drying = Drying(lot=lot.number, weighed="876.4", after="15.2")
    with pytest.raises(Refused, match="No moisture of 24-0001-5 is in the books"):
        dry(drying, station=plant.station, by=plant.line, now=NOW)


@pytest.mark.django_db
def test_a_far_weight_goes_through_with_a_why() -> None:
    plant = house()
    lot = received(plant, "900", moisture="17.4")
    drying = Drying(lot=lot.number, weighed="850", after="15.2")
    answers = {"drying_differs": "a bin leaked"}
    booked = dry(drying, station=plant.station, by=plant.line, answers=answers, now=NOW).operations[0]
    assert "a bin leaked" in booked.content
    assert kg_left(lot) == 850


@pytest.mark.django_db
def test_a_drying_is_not_taken_back_once_the_dried_seed_was_used() -> None:
    plant = house()
    lot = received(plant, "900", moisture="17.4")
    drying = Drying(lot=lot.number, weighed="876.4", after="15.2", at="2024-10-03")
    dried = dry(drying, station=plant.station, by=plant.line, now=NOW).operations[0]
    cleaned(plant, lot, "876.4", "822")
    with pytest.raises(Refused, match="was used by clean R1"):
        reverse(dried, station=plant.station, by=plant.records, reason="typed wrongly", now=NOW)
    assert Moisture.objects.filter(lot=lot).count() == 2


@pytest.mark.parametrize(
    ("weighed", "codes"),
    [
        ("876.65", []),
        ("881.15", []),  # 4.5 kg above the expected 876.650943, 0.5 % of 900: still near
        ("881.16", ["drying_differs"]),
        ("872.15", ["drying_differs"]),
        ("872.16", []),
        ("900", ["drying_differs"]),
        ("900.001", ["gained_by_drying"]),
    ],
)
def test_half_a_percent_of_the_mass_before_is_where_it_asks(weighed: str, codes: list[str]) -> None:
    mg = int(Decimal(weighed) * KG)
    found = drying_mistakes(900 * KG, mg, Decimal("17.4"), Decimal("15.2"))
    assert [mistake.code for mistake in found] == codes
