"""What the records desk sets up: lines, word lists, people, the station, the practice copy."""

import re
import subprocess
from datetime import date
from types import SimpleNamespace

import pytest
from django.contrib.auth.models import User
from django.test import Client

from inventory.models import Container, DataMark, Lot, Operation, Standing, Station
from inventory.queries.verifying import verify
from tests.make import House, house, received

pytestmark = pytest.mark.django_db
PAGES = (
    "/records/",
    "/records/lines/",
    "/records/lists/",
    "/records/people/",
    "/records/station/",
    "/records/practice/",
)


@pytest.fixture
def plant() -> House:
    return house()


@pytest.fixture
def desk(client: Client, plant: House) -> Client:
    client.force_login(plant.people["records"])
    return client


def text(answer) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


@pytest.mark.parametrize("role", ["records", "bench", "stranger"])
@pytest.mark.parametrize("address", PAGES)
def test_everyone_signed_in_may_read_what_is_set_up(client: Client, plant: House, address: str, role: str) -> None:
    Container.objects.create(station=plant.station, code="bin 7", kind="steel bin", tare_mg=42_000_000)
    client.force_login(plant.people[role])
    answer = client.get(address)
    assert answer.status_code == 200
    assert "None" not in text(answer)


def test_each_link_of_the_desk_and_its_pages_opens(desk: Client, plant: House) -> None:
    Container.objects.create(station=plant.station, code="bin 7", kind="steel bin", tare_mg=42_000_000)
    for address in PAGES:
        html = desk.get(address).content.decode()
        main = html.partition("<main")[2]
        for link in re.findall(r'href="(/[^"]+)"', main):
            assert desk.get(link.replace("&amp;", "&"), follow=True).status_code == 200, link


def test_what_a_merge_takes_over_is_said_before_it_is_done(desk: Client, plant: House) -> None:
    received(plant, plot="ST24-N-2-1", mass="640")
    shown = text(desk.get("/records/lines/", {"line": "n-2", "into": "N-1"}))
    assert "N-2 into N-1: what follows" in shown
    assert "1 lot, 640.0 kg in store, goes over: 24-0001-5" in shown
    assert "2 plots go over: ST24-N-2-1, ST24-N-2-2" in shown
    assert Operation.objects.filter(kind="rename").count() == 0
    sent = {"line": "N-2", "into": "N-1", "reason": "one seed, two names", "key": "k1"}
    assert desk.post("/do/merge/", sent).status_code == 302
    assert Standing.objects.get(lot__number="24-0001-5").line.name == "N-1"
    assert desk.get("/find", {"q": "N-2"}).status_code == 302
    listed = desk.get("/records/lines/").content.decode()
    assert "rename/?line=N-2" not in listed
    assert "N-2" in text(desk.get("/records/lines/"))
    assert verify(plant.station).differences == []


def test_lots_that_would_change_their_class_are_called_out(desk: Client) -> None:
    assert "market class, navy to black" in text(desk.get("/records/lines/", {"line": "N-2", "into": "B-1"}))


@pytest.mark.parametrize("typed", [{"line": "X-9", "into": "N-1"}, {"line": "N-1", "into": "\x00"}])
def test_a_line_that_is_not_known_is_said(desk: Client, typed: dict[str, str]) -> None:
    answer = desk.get("/records/lines/", typed)
    assert answer.status_code == 200
    assert "These two are not merged" in text(answer)


def test_a_new_password_is_shown_once_and_lets_its_person_in(desk: Client, plant: House) -> None:
    shown = desk.post("/records/people/", {"person": "bench-st"})
    password = re.search(r'<p class="big">([a-z0-9-]+)</p>', shown.content.decode())
    assert password
    assert password[1] not in text(desk.get("/records/people/"))
    assert Client().login(username="bench-st", password=password[1])


def test_passwords_are_given_by_records_to_people_of_the_station_alone(
    client: Client, plant: House, desk: Client
) -> None:
    User.objects.filter(username="bench-st").update(is_superuser=True)
    for name in ("bench-st", "stranger-st", "", "\x00"):
        answer = desk.post("/records/people/", {"person": name})
        assert answer.status_code == 422, name
        assert '<p class="big">' not in answer.content.decode()
    other = Client()
    other.force_login(plant.intake)
    refused = other.post("/records/people/", {"person": "line-st"})
    assert refused.status_code == 422
    assert "may not give people their roles" in text(refused)


def test_a_person_sets_another_password(client: Client, plant: House) -> None:
    user = plant.people["bench"]
    user.set_password("beans-and-more")
    user.save()
    client.force_login(user)
    wrong = client.post("/preferences/password/", {"old_password": "no", "new_password1": "a", "new_password2": "b"})
    assert wrong.status_code == 422
    new = "a-lamp-over-the-pan"
    sent = {"old_password": "beans-and-more", "new_password1": new, "new_password2": new}
    assert client.post("/preferences/password/", sent).status_code == 302
    assert Client().login(username="bench-st", password=new)


def test_the_stations_usual_places_are_set_and_stand_in_the_books(desk: Client, plant: House) -> None:
    sent = {"name": "Lower Meadow", "floor": "a-01", "line_end": "L-1", "key": "k1"}
    assert desk.post("/records/station/", sent).status_code == 302
    station = Station.objects.get()
    assert (station.name, station.floor, station.line_end) == ("Lower Meadow", "A-01", "L-1")
    assert desk.post("/records/station/", {**sent, "floor": "Z-9", "key": "k2"}).status_code == 422
    assert Operation.objects.filter(kind="origin").count() == 1
    assert verify(station).differences == []


def test_real_books_are_never_started_over(desk: Client, plant: House, monkeypatch) -> None:
    received(plant)
    monkeypatch.setattr(subprocess, "run", lambda *_, **__: pytest.fail("nothing may be run"))
    assert "These are real books with 1 lot" in text(desk.get("/records/practice/"))
    answer = desk.post("/records/practice/", {"what": "nothing", "password": "beans-and-more"})
    assert answer.status_code == 422
    assert "nothing of it is deleted or filled from here" in text(answer)
    assert Lot.objects.count() == 1


@pytest.mark.parametrize(
    ("what", "words"),
    [("lines", ["--fresh", "--practice"]), ("season", ["--fresh"]), ("nothing", ["--delete"])],
)
def test_a_practice_copy_is_started_over_by_what_bin_demo_runs(
    desk: Client, monkeypatch, what: str, words: list[str]
) -> None:
    asked = []

    def run(command, **how):
        asked.append((command[1:], how["env"]["HILUM_DEMO_PASSWORD"]))
        return SimpleNamespace(returncode=0)

    DataMark.objects.create(is_demo=True, banner="Practice", today=date(2026, 3, 1))
    monkeypatch.setattr(subprocess, "run", run)
    answer = desk.post("/records/practice/", {"what": what, "password": "beans-and-more", "sure": "yes"})
    assert answer["Location"] == "/sign-in/"
    assert asked == [(["-m", "fixtures_demo", *words], "beans-and-more")]


@pytest.mark.parametrize(
    "sent", [{"what": "lines", "password": "short"}, {"what": "moon", "password": "x" * 20}, {}, {"what": "nothing"}]
)
def test_a_practice_copy_is_not_touched_by_half_a_form(desk: Client, monkeypatch, sent: dict[str, str]) -> None:
    DataMark.objects.create(is_demo=True, banner="Practice")
    monkeypatch.setattr(subprocess, "run", lambda *_, **__: pytest.fail("nothing may be run"))
    assert desk.post("/records/practice/", sent).status_code == 422


def test_the_demo_has_a_way_to_be_deleted_whole_and_refuses_real_books(plant: House, capsys) -> None:
    from fixtures_demo.telling import delete_whole  # noqa: PLC0415 - the demo is asked in this test alone

    assert delete_whole() == 2
    assert Station.objects.count() == 1
