"""Treating marks a lot and all made from it, one way."""

from decimal import Decimal
from typing import Any

import pytest

from inventory.actions.acting import Booked
from inventory.actions.reversing import reverse
from inventory.actions.treating import Treating, treat
from inventory.models import Lot, Standing, Treatment
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.make import NOW, House, bagged, cleaned, house, kg_left, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    return house()


def treated(plant: House, lot: Lot, **more: Any) -> Booked:
    asked = Treating(
        **{"lot": lot.number, "product": "Coat A", "dose": "3 mL per kg", "caution": "Keep away from food.",
           "added": "2.4", "at": "2024-10-05", **more}
    )  # fmt: skip
    return treat(asked, station=plant.station, by=plant.line, now=NOW)


def test_the_product_stays_on_the_seed_and_its_caution_is_kept(plant: House) -> None:
    lot = received(plant)
    booked = treated(plant, lot).operations[0]
    assert kg_left(lot) == Decimal("802.4")
    assert booked.entries.get(account="treatment").mg == -2_400_000
    treatment = Treatment.objects.get()
    assert (treatment.product, treatment.dose, treatment.caution) == ("Coat A", "3 mL per kg", "Keep away from food.")


def test_it_passes_to_every_lot_made_afterwards(plant: House) -> None:
    lot = received(plant)
    treated(plant, lot)
    clean = cleaned(plant, lot, "800", "790")
    assert Standing.objects.get(lot=clean).treated
    assert verify(plant.station).differences == []


def test_it_is_not_taken_back_once_seed_was_made_from_it(plant: House) -> None:
    lot = received(plant)
    booked = treated(plant, lot)
    cleaned(plant, lot, "800", "790")
    with pytest.raises(Refused, match="was used by clean R1"):
        reverse(booked.operations[0], station=plant.station, by=plant.records, reason="slip", now=NOW)
    assert Standing.objects.get(lot=lot).treated


def test_a_lot_in_bags_is_not_treated_in_part(plant: House) -> None:
    lot = bagged(plant, received(plant, "60"), count=2)
    with pytest.raises(Refused, match="a treatment marks the whole lot"):
        treated(plant, lot)


def test_a_product_of_which_nothing_stays_on_may_be_booked(plant: House) -> None:
    lot = received(plant)
    booked = treated(plant, lot, added=None)
    assert not booked.operations[0].entries.exists()
    assert Standing.objects.get(lot=lot).treated
