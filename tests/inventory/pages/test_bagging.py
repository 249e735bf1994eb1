"""The bag-off counter: counted with and without a script, held against what is there, booked once."""

from typing import Any

import pytest
from django.test import Client

from inventory.models import Entry, Operation
from inventory.queries.verifying import verify
from tests.inventory.pages.test_line import text, value
from tests.make import House, bagged, house, received

pytestmark = pytest.mark.django_db
BAGGING = "/line/bagging/"
LOT = {"lot": "24-0001-5", "bag_mass": "25.0", "unit": "kg", "key": "k"}


@pytest.fixture
def plant() -> House:
    made = house()
    received(made, "610")
    return made


@pytest.fixture
def line(client: Client, plant: House) -> Client:
    client.force_login(plant.line)
    return client


def test_it_counts_without_a_script(line: Client) -> None:
    shown = line.post(BAGGING, {**LOT, "count": "3", "step": "more"})
    assert value(shown, "count") == "4"
    assert "4 × 25.0 = 100.0 kg" in text(shown)
    assert value(line.post(BAGGING, {**LOT, "count": "3", "step": "back"}), "count") == "2"
    assert value(line.post(BAGGING, {**LOT, "count": "0", "step": "back"}), "count") == "0"
    assert Operation.objects.count() == 1


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"count": "24"}, "10.0 kg are left loose: less than a bag. Weigh it as the part bag."),
        ({"count": "24", "part_bag": "10"}, "It adds up: nothing is left loose."),
        ({"count": "24", "part_bag": "9"}, "1.0 kg are left, within what bagging may spill (0.2 %)."),
        ({"count": "25"}, "25 × 25.0 = 625.0 kg, but only 610.0 kg were there. Is one a part bag?"),
        ({"count": "3"}, "535.0 kg are left loose: 21 more bags"),
        ({"count": "many", "bag_mass": "a sack", "part_bag": "-1"}, "610.0 kg are left loose"),
        ({"lot": "24-0001-6"}, "does not check"),
    ],
)
def test_what_is_filled_is_held_against_what_is_there_while_it_is_counted(
    line: Client, typed: dict[str, str], says: str
) -> None:
    assert says in text(line.get(f"{BAGGING}look", {**LOT, **typed}))


def test_bags_are_booked_with_the_part_bag_last_and_once(line: Client, plant: House) -> None:
    sent = {**LOT, "count": "24", "part_bag": "10", "at": "2024-12-02"}
    assert len({line.post(BAGGING, sent)["Location"] for _ in range(2)}) == 1
    bags = Entry.objects.filter(bag_no__gt=0).order_by("bag_no").values_list("bag_no", "mg")
    assert (len(bags), bags[0], bags[24]) == (25, (1, 25_000_000), (25, 10_000_000))
    assert verify(plant.station).is_whole


def test_numbers_go_on_from_the_highest_bag(line: Client, plant: House) -> None:
    bagged(plant, Entry.objects.filter(lot__isnull=False)[0].lot, count=6)  # type: ignore[arg-type]
    assert "They are numbered from 7 on." in text(line.get(f"{BAGGING}?lot=24-0001-5&count=1"))


def test_more_bags_than_seed_are_refused_with_what_was_typed(line: Client) -> None:
    answer = line.post(BAGGING, {**LOT, "count": "25"})
    assert answer.status_code == 422
    assert "Is one a part bag?" in text(answer)
    assert value(answer, "count") == "25"


def test_an_empty_page_asks_for_the_lot(line: Client) -> None:
    said = text(line.get(BAGGING))
    assert "Scan the lot that is bagged." in said
    assert "None" not in said


def test_the_counter_costs_a_few_queries(line: Client, django_assert_max_num_queries: Any) -> None:
    with django_assert_max_num_queries(30):
        line.get(f"{BAGGING}?lot=24-0001-5&count=3")
