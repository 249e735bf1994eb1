"""The list of lots in store: questions with one press, narrowing, pages, acts on many."""

import csv
import re

import pytest
from django.test import Client

from hilum.plugins import LotQuestion
from inventory.importing.acts import book
from inventory.models import Lot
from inventory.pages import lot_list
from tests.make import NOW, House, cleaned, house, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    return house()


@pytest.fixture
def page(client: Client, plant: House):
    client.force_login(plant.intake)

    def read(address: str) -> str:
        answer = client.get(address, follow=True)
        assert answer.status_code == 200, answer.content.decode()
        return re.sub(r"\s+", " ", answer.content.decode())

    return read


def numbers(html: str) -> list[str]:
    return re.findall(r'<th scope="row"><a href="/lots/([-0-9]+)/">', html)


def plain(html: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", html))


def hold(plant: House, lot: Lot) -> None:
    book("hold", {"lots": lot.number}, by=plant.bench, reason="weevils", station=plant.station, now=NOW)


def test_every_lot_with_seed_is_listed_newest_first(page, plant: House) -> None:
    lot = received(plant)
    made = cleaned(plant, lot, "798", "741.2")
    assert numbers(page("/lots/")) == [made.number, lot.number]


def test_one_press_shows_the_lots_on_hold_and_why(page, plant: House) -> None:
    lots = [received(plant, "800"), received(plant, "900")]
    hold(plant, lots[0])
    html = page("/lots/?that=on-hold")
    assert numbers(html) == [lots[0].number]
    assert "weevils" in plain(html)
    assert "▬ hold" in plain(html)
    assert 'aria-current="true">on hold</a>' in html


@pytest.mark.parametrize(
    ("that", "why"),
    [("too-wet", "17.5 % since 2024-09-24"), ("no-place", "still at F-1"), ("promised", "50.0 kg for a shed")],
)
def test_the_books_alone_answer_what_they_know(page, plant: House, that: str, why: str) -> None:
    wet = received(plant, moisture="17.5")
    dry = received(plant, "900", moisture="14.0", place="A-01")
    promise = {"lot": wet.number, "mass": "50", "recipient": "a shed"}
    book("promise", promise, by=plant.breeder, station=plant.station, now=NOW)
    html = page(f"/lots/?that={that}")
    assert numbers(html) == [wet.number]
    assert why in plain(html)
    assert dry.number in numbers(page("/lots/"))


def test_a_question_without_lots_says_so_and_offers_the_next_one(page, plant: House, monkeypatch) -> None:
    received(plant)
    asked = (
        LotQuestion("below", "below 85 %", "No lot is below 85 %.", lambda _station, _person: {}, "never"),
        LotQuestion("never", "never tested", "All were.", lambda _station, _person: {"24-0001-5": "never tested"}),
    )
    monkeypatch.setattr(lot_list, "lot_questions", lambda _station: asked)
    assert "No lot is below 85 %. Show those that are: never tested" in plain(page("/lots/?that=below"))
    assert numbers(page("/lots/?that=never")) == ["24-0001-5"]


@pytest.mark.parametrize(
    ("narrowed", "found"),
    [("line=n1", 1), ("class=black", 1), ("place=A-01", 1), ("line=n1&place=A-01", 0), ("that=no-place&class=navy", 1)],
)
def test_it_narrows_by_line_class_and_place_as_forgivingly_as_people_type(page, plant: House, narrowed, found) -> None:
    received(plant)
    received(plant, "500", plot="ST24-B-1-1", place="A-01")
    html = page(f"/lots/?{narrowed}")
    assert len(numbers(html)) == found
    assert found or "Nothing of that is in store." in html


def test_a_line_that_is_unknown_is_a_sentence_and_keeps_what_was_typed(page, plant: House) -> None:
    received(plant)
    html = page("/lots/?line=N-9")
    assert 'role="alert"' in html
    assert "N-9" in plain(html)
    assert 'value="N-9"' in html


def test_pages_follow_each_other_without_a_gap(page, plant: House, monkeypatch) -> None:
    monkeypatch.setattr(lot_list, "MOST", 2)
    made = [received(plant, str(800 + 10 * index)).number for index in range(5)]
    seen: list[str] = []
    address = "/lots/"
    while address:
        html = page(address)
        seen += numbers(html)
        following = re.search(r'href="(\?[^"]+)">Older lots', html)
        address = f"/lots/{following[1].replace('&amp;', '&')}" if following else ""
    assert seen == made[::-1]


@pytest.mark.parametrize("after", ["x", "2024-01-01", "2024-01-01T00:00:00_1", "_", "2024-01-01T00:00:00+00:00_x"])
def test_a_cursor_that_cannot_be_read_begins_at_the_newest(page, plant: House, after: str) -> None:
    received(plant)
    assert len(numbers(page(f"/lots/?after={after}"))) == 1


def test_ticked_lots_lead_to_the_page_of_the_act(page, client: Client, plant: House) -> None:
    first, second = received(plant, "800"), received(plant, "900")
    html = page(f"/lots/act/?lot={first.number}&lot={second.number}&act=hold")
    assert f"{first.number}, {second.number}" in html
    assert client.get("/lots/act/?act=hold")["Location"] == "/lots/"
    assert client.get(f"/lots/act/?lot={first.number}&act=ship")["Location"] == "/lots/"


def test_the_list_is_a_file_for_spreadsheets(client: Client, plant: House) -> None:
    lot = received(plant, "1800")
    client.force_login(plant.intake)
    rows = list(csv.DictReader(client.get("/lots/?format=csv").content.decode().splitlines()))
    assert [(row["lot"], row["line"], row["kg"], row["place"]) for row in rows] == [
        (lot.number, "N-1", "1800.0", "F-1")
    ]


def test_ribbons_share_one_scale_until_each_is_asked_to_fill_its_row(page, plant: House) -> None:
    received(plant, "1000")
    received(plant, "500", plot="ST24-N-1-2")
    assert 'width="500.00"' in page("/lots/")
    assert 'width="500.00"' not in page("/lots/?scale=own")


def test_it_costs_the_same_for_any_number_of_lots(page, plant: House, django_assert_max_num_queries) -> None:
    def cost(address: str) -> int:
        with django_assert_max_num_queries(30) as counted:
            page(address)
        return len(counted)

    received(plant)
    few = [cost(address) for address in ("/lots/", "/lots/?that=no-place", "/lots/?that=no-sample")]
    for index in range(12):
        received(plant, str(900 + 10 * index))
    assert [cost(address) for address in ("/lots/", "/lots/?that=no-place", "/lots/?that=no-sample")] == few
