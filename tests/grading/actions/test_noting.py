"""Notes of samples: each is of its lot, and says which sample was looked at."""

import pytest

from grading.actions.noting import SampleNoting, note_samples
from inventory.importing.acts import book
from inventory.models import FieldNote
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.make import NOW, House, house, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    plant = house()
    drawn = {"number": "G1", "lot": received(plant).number, "mass": "2"}
    answers = {"too_few_points": "as it was"}
    book("bench sample", drawn, station=plant.station, by=plant.bench, now=NOW, key="", answers=answers)
    return plant


def noted(plant, *notes):
    typed = [SampleNoting(**{"sample": "G1", "variable": "seed weight", **note}) for note in notes]
    return note_samples(typed, station=plant.station, by=plant.bench, now=NOW)


def test_a_note_of_a_sample_names_it_and_its_lot(plant):
    noted(plant, {"value": "19.8"}, {"sample": "g1", "variable": "seed colour", "value": "white"})
    rows = FieldNote.objects.values_list("lot__number", "sample", "value").order_by("pk")
    assert list(rows) == [("24-0001-5", "G1", "19.8"), ("24-0001-5", "G1", "1")]
    assert verify(plant.station).is_whole


@pytest.mark.parametrize(
    ("note", "says"),
    [
        ({"sample": "G9", "value": "1"}, "G9"),
        ({"variable": "standing", "value": "1"}, "of a plot, not of a sample"),
        ({"value": "198"}, "Seed weight is 198 g"),
    ],
)
def test_what_cannot_be_noted_of_a_sample_is_refused(plant, note, says):
    with pytest.raises(Refused, match=says):
        noted(plant, note)
