"""The home page: what waits, today's kilos, and the thirteen questions, each answered in two steps."""

import re
from datetime import date
from zoneinfo import ZoneInfo

import pytest
from django.test import Client

from inventory.actions.reversing import reverse
from inventory.importing.acts import book
from inventory.models import DataMark, Operation
from tests.make import NOW, House, house, received

pytestmark = pytest.mark.django_db
TODAY = date(2025, 6, 1)


@pytest.fixture
def plant() -> House:
    made = house()
    DataMark.objects.create(is_demo=True, today=TODAY)
    return made


@pytest.fixture
def html(client: Client, plant: House):
    client.force_login(plant.intake)

    def read(address: str = "/", status: int = 200) -> str:
        answer = client.get(address, follow=True)
        assert answer.status_code == status, answer.content.decode()
        return re.sub(r"\s+", " ", answer.content.decode())

    return read


def plain(html: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html))


def test_it_draws_what_came_in_and_went_out_today_on_one_scale(html, plant: House) -> None:
    received(plant, "800", at="2025-05-31")
    lot = received(plant, "400", at="2025-06-01", place="A-01")
    shipping = {"code": "S1", "recipient": "a shed", "items": {"1": {"lot": lot.number, "mass": "100"}}}
    book("ship", shipping, by=plant.intake, station=plant.station, now=NOW, answers={"not_sampled": "test"})
    page = html()
    assert "400.0 kg came in, 100.0 kg went out." in plain(page)
    assert 'width="1000.00"' in page
    assert 'width="250.00"' in page
    assert f"{lot.number} 400.0" in plain(page)
    assert "S1 100.0" in plain(page)
    picture, table = html("/?format=svg"), html("/?format=csv")
    assert 'width="1000.00"' in picture and 'width="250.00"' in picture
    assert f"In {lot.number} #2 400.0" in plain(picture)
    assert f"In,{lot.number},#2,400.0 Out,S1,#3,100.0" in table


def test_what_was_taken_back_is_not_counted(html, plant: House) -> None:
    received(plant, "400", at="2025-06-01")
    reverse(Operation.objects.get(), station=plant.station, by=plant.intake, reason="wrong tag", now=NOW)
    assert "Nothing came in or went out today." in plain(html())


def test_on_a_quiet_day_it_says_which_lot_came_last(html, plant: House) -> None:
    lot = received(plant)
    assert "Nothing came in or went out today." in plain(html())
    assert f'Last lot in: <a href="/lots/{lot.number}/">' in html()


def test_every_question_leads_to_a_page_that_answers(html, plant: House) -> None:
    received(plant)
    listed = re.search(r'<ol class="questions">(.*?)</ol>', html())[1]
    assert listed.count("<li>") == 13
    addresses = re.findall(r'href="([^"]+)"', listed)
    assert len(addresses) == 13
    for address in addresses:
        html(address.replace("&amp;", "&"))


def test_a_question_that_nothing_answers_says_so(html, plant: House, monkeypatch) -> None:
    received(plant)
    monkeypatch.setattr("inventory.pages.questions.lot_questions", lambda _station: ())
    assert plain(html()).count("no part of this site keeps what that would need") >= 2


def test_what_changed_names_who_and_why_and_strikes_what_was_taken_back(html, plant: House) -> None:
    received(plant)
    reverse(Operation.objects.get(), station=plant.station, by=plant.intake, reason="wrong tag", now=NOW)
    page = html("/changes/?since=2025-06-01")
    assert "<s>receive #1 of 2024-09-24</s>" in page
    assert "taken back: receive #1 of 2024-09-24" in plain(page)
    assert "intake-st: wrong tag" in page
    assert "Nothing was written down since then." in html("/changes/?since=2100-01-01")


def test_changes_go_on_behind_a_page(html, plant: House, monkeypatch) -> None:
    monkeypatch.setattr("inventory.pages.changes.MOST", 2)
    for index in range(3):
        received(plant, str(800 + index * 10))
    page = html("/changes/?since=2025-06-01")
    assert page.count('href="/booked/') == 2
    following = re.search(r'href="(\?[^"]+)">Earlier', page)[1].replace("&amp;", "&")
    assert 'href="/booked/1/"' in html(f"/changes/{following}")


@pytest.mark.parametrize("since", ["", "yesterday", "2025-13-01"])
def test_a_day_that_cannot_be_read_is_yesterday(html, plant: House, since: str) -> None:
    assert "Written down since 31 May 2025" in plain(html(f"/changes/?since={since}"))


@pytest.mark.parametrize(("way", "says"), [("back", "Where 24-0001-5 came from"), ("on", "What came of 24-0001-5")])
def test_a_trace_is_asked_for_and_drawn(html, plant: House, way: str, says: str) -> None:
    received(plant)
    assert "Lot, bag, plot, line, cross, shipment or sender" in html("/trace/")
    assert says in html(f"/trace/?of=2400015&way={way}")


def test_what_cannot_be_traced_is_a_sentence_beside_what_was_typed(html, plant: House) -> None:
    page = html("/trace/?of=nonsense", 404)
    assert 'value="nonsense"' in page
    assert 'role="alert"' in page


def test_what_is_weighed_in_on_a_page_of_the_demo_came_in_today(client: Client, html, plant: House) -> None:
    typed = {"plots": "ST24-N-1-1", "net": "640", "moisture": "17.8", "place": "F-1", "key": "one"}
    assert client.post("/do/receive/", {**typed, "answer.field_differs": "a part of it"}).status_code == 302
    assert "640.0 kg came in" in plain(html())
    assert "1 lot is too wet to keep just now" in plain(html())
    assert "Nothing came in today" not in html("/floor/today/")


def test_a_wait_in_the_demo_is_counted_to_the_demos_day(html, plant: House) -> None:
    received(plant, "640", moisture="17.8", at="2025-05-20")
    assert re.search(r"1 lot is too wet to keep 1[12] days", plain(html()))


def test_hours_are_those_of_the_stations_clocks_on_every_page(client: Client, plant: House) -> None:
    records = plant.people["records"]
    client.force_login(records)
    records.refresh_from_db()
    hour = records.last_login.astimezone(ZoneInfo(plant.station.zone)).strftime("%H:%M")
    assert hour in client.get("/records/people/").content.decode()


@pytest.mark.parametrize(
    ("role", "words"),
    [
        ("intake", "Weigh in Move seed Load a shipment Labels and papers"),
        ("line", "Cleaning line Bag off Blend lots"),
        ("bench", "Pan: work a sample"),
        ("breeder", "Take seed for sowing Promise seed Decide about a line"),
        ("records", "Sheets in Look at these Records: sheets, lines, people"),
    ],
)
def test_each_role_begins_its_work_from_the_home_page(client: Client, plant: House, role: str, words: str) -> None:
    client.force_login(plant.people[role])
    assert words in plain(client.get("/").content.decode())


def test_the_records_desk_leads_to_the_rules(client: Client, plant: House) -> None:
    client.force_login(plant.people["records"])
    assert 'href="/records/rules/"' in client.get("/records/").content.decode()
