"""A plugin moves seed by the acts of the site alone: the same rights, questions and guard, and the act names it."""

import json

import pytest

from hilum.plugins.books import NotBooked, books
from inventory.models import Operation
from inventory.queries.verifying import verify
from tests.inventory.lamp import lamp
from tests.make import House, house, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    return house()


def facts_of_last() -> dict[str, object]:
    facts: dict[str, object] = json.loads(Operation.objects.order_by("-seq")[0].content)["facts"]
    return facts


def test_the_act_names_the_plugin_that_booked_it_and_the_next_one_does_not(plant: House) -> None:
    lot = received(plant).number
    words = {"lot": lot, "to": "A-01"}
    with lamp():
        books().book("move", words, station="ST", person="intake-st", plugin="lamp", key="one")
        assert facts_of_last()["plugin"] == "lamp"
        books().book("move", words, station="ST", person="intake-st", plugin="lamp", key="one")
        books().book("move", {**words, "to": "B-01"}, station="ST", person="intake-st")
    assert "plugin" not in facts_of_last()
    assert Operation.objects.count() == 3
    assert verify(plant.station).is_whole


@pytest.mark.parametrize(
    ("words", "person", "code"),
    [
        ({"to": "A-01"}, "bench-st", "may_not"),
        ({"to": "nowhere"}, "intake-st", "code_unknown"),
        ({"to": "A-01", "mass": "900"}, "intake-st", "not_enough"),
    ],
)
def test_it_may_no_more_than_the_person_for_whom_it_books(
    plant: House, words: dict[str, str], person: str, code: str
) -> None:
    lot = received(plant).number
    with lamp(), pytest.raises(NotBooked) as stopped:
        books().book("move", {"lot": lot, **words}, station="ST", person=person, plugin="lamp")
    assert [one.code for one in stopped.value.wrong] == [code]
    assert Operation.objects.count() == 1


def test_a_plugin_that_is_off_or_is_none_books_nothing(plant: House) -> None:
    words = {"lot": received(plant).number, "to": "A-01"}
    with lamp(("ST",)):
        for name in ("lamp", "other"):
            with pytest.raises(NotBooked, match=f"The plugin {name} is off at ST"):
                books().book("move", words, station="ST", person="intake-st", plugin=name)
    assert Operation.objects.count() == 1
