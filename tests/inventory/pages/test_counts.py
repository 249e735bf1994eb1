"""A count on a page: the books beside what is found, differences seen before they become entries."""

import re
from collections.abc import Callable

import pytest
from django.http import HttpResponse
from django.test import Client

from inventory.models import Entry, Operation, Stock
from inventory.queries.verifying import verify
from tests.make import House, bagged, house, kg_left, received

pytestmark = pytest.mark.django_db
Count = Callable[..., HttpResponse]


@pytest.fixture
def plant(client: Client) -> House:
    made = house()
    client.force_login(made.intake)
    return made


@pytest.fixture
def count(client: Client, plant: House) -> Count:
    return lambda **typed: client.post(
        "/floor/count/",
        {"place": "F-1", "unit": "kg", "key": "k1", **{k.replace("_", "."): v for k, v in typed.items()}},
    )


def plain(answer: HttpResponse) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode())).replace("&#x27;", "'")


def one_row(mass: str) -> dict[str, str]:
    return {"row_1_lot": "24-0001-5", "row_1_mass": mass}


def counts() -> int:
    return Operation.objects.filter(kind="count").count()


def test_the_sheet_has_what_the_books_say(client: Client, plant: House) -> None:
    received(plant)
    bagged(plant, received(plant, "109", plot="ST24-N-1-2"), count=4, part_bag="9")
    said = plain(client.get("/floor/count/", {"place": "f1"}))
    assert "24-0001-5 loose N-1 800.0" in said
    assert "24-0002-8 /5 N-1 9.0" in said


def test_it_asks_for_a_place_first(client: Client, plant: House) -> None:
    assert "scan its label, or type it" in plain(client.get("/floor/count/"))
    answer = client.get("/floor/count/", {"place": "Z-99"})
    assert "'Z-99' is not a place we know" in plain(answer)


def test_a_count_as_the_books_say_is_kept_without_masses(count: Count, plant: House) -> None:
    received(plant)
    assert count(**one_row("800")).status_code == 302
    assert counts() == 1
    assert not Entry.objects.filter(operation__kind="count").exists()


def test_a_difference_is_seen_first_and_nothing_is_booked(count: Count, plant: House) -> None:
    lot = received(plant)
    answer = count(**one_row("790.5"))
    assert answer.status_code == 422
    assert "24-0001-5 800.0 790.5 -9.5 less" in plain(answer)
    assert "Nothing is booked yet." in plain(answer)
    assert 'value="790.5"' in answer.content.decode()
    assert (counts(), kg_left(lot)) == (0, 800)


def test_it_is_booked_with_its_reason(client: Client, count: Count, plant: House) -> None:
    lot = received(plant)
    client.post(
        "/floor/count/",
        {"place": "F-1", "unit": "kg", "key": "k1", "row.1.lot": lot.number, "row.1.mass": "790.5",
         "answer.count_differs": "birds"},
    )  # fmt: skip
    assert float(kg_left(lot)) == 790.5
    assert Operation.objects.get(kind="count").reason == "birds"
    assert not verify(plant.station).differences


def test_bags_are_ticked_weighed_or_scanned(count: Count, plant: House) -> None:
    bagged(plant, received(plant, "109"), count=4, part_bag="9")
    bags = {f"row_{bag}_lot": "24-0001-5" for bag in (1, 2)} | {"row_1_bag": "1", "row_2_bag": "2"}
    answer = count(**bags, row_1_there="yes", row_2_mass="25", scanned="24-0001-5/3, 24-0001-5/4")
    assert answer.status_code == 302, plain(answer)
    answer = count(**bags, row_2_mass="24.0", key="k2")
    assert "bag 24-0001-5/2 25.0 24.0 -1.0 less" in plain(answer)


def test_what_was_not_found_is_gone_only_where_somebody_says_so(client: Client, plant: House) -> None:
    received(plant)
    bagged(plant, received(plant, "109", plot="ST24-N-1-2"), count=4, part_bag="9")
    sheet = {"place": "F-1", "unit": "kg", "key": "k1", "row.1.lot": "24-0001-5", "row.1.mass": "800"}
    answer = client.post("/floor/count/", {**sheet, "is_all": "yes"})
    assert "bag 24-0002-8/1 25.0 0.0 -25.0 less" in plain(answer)
    assert client.post("/floor/count/", {**sheet, "is_all": "no", "key": "k2"}).status_code == 302


def test_a_lot_that_the_books_have_elsewhere_is_found_here(count: Count, plant: House) -> None:
    received(plant)
    answer = count(place="A-01", row_100001_lot="24-0001-5", row_100001_mass="12")
    assert "24-0001-5 0.0 12.0 +12.0 more" in plain(answer)


def test_a_page_sent_twice_counts_once(count: Count, plant: House) -> None:
    received(plant)
    count(**one_row("800"))
    count(**one_row("800"))
    assert counts() == 1


@pytest.mark.parametrize(
    "typed", [{}, {"row_x_lot": "1"}, {"row_1_lot": "x", "row_1_mass": "y"}, {"scanned": "///,,x"}, {"place": "Z-99"}]
)
def test_anything_may_be_typed_into_a_count(count: Count, plant: House, typed: dict[str, str]) -> None:
    received(plant)
    assert count(**typed).status_code in (200, 422)
    assert Stock.objects.get().mg == 800_000_000


@pytest.mark.parametrize("many", [2, 30])
def test_the_sheet_asks_the_books_no_more_for_many_bags_than_for_few(
    client: Client, plant: House, django_assert_max_num_queries, many: int
) -> None:
    bagged(plant, received(plant, "800"), count=many)
    with django_assert_max_num_queries(16):
        client.get("/floor/count/", {"place": "F-1"})
