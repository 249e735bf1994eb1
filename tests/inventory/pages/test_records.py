"""The records desk: what to look at with its fix, the proof of the books, the backup."""

import re
import zipfile
from datetime import datetime, timedelta
from io import BytesIO
from pathlib import Path
from types import SimpleNamespace

import pytest
from django.db import connection
from django.test import Client

from inventory.actions import posting
from inventory.actions.counting import Count, Found, count
from inventory.actions.lines import rename_line
from inventory.actions.places import NewContainer, add_containers
from inventory.actions.running import Out, Run, book_run
from inventory.models import DataMark, Entry, Operation
from inventory.models.triggers import lifted
from inventory.queries import today
from tests.make import NOW, House, house, received

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def own_folder(settings, tmp_path: Path) -> Path:
    settings.DATA_DIR = tmp_path
    return tmp_path


@pytest.fixture
def plant() -> House:
    return house()


@pytest.fixture
def desk(client: Client, plant: House) -> Client:
    client.force_login(plant.people["records"])
    return client


def text(answer) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


def test_a_fresh_house_has_nothing_to_look_at(desk: Client) -> None:
    assert "Nothing looks wrong, and nothing is missing." in text(desk.get("/records/look/"))


def test_each_thing_stands_in_its_group_with_kilos_and_a_way_to_its_fix(desk: Client, plant: House) -> None:
    DataMark.objects.create(is_demo=True, today=NOW.date())
    station, records = plant.station, plant.people["records"]
    lot = received(plant)
    received(plant, plot="ST24-N-1-2", mass="100", place="A-01")
    outs = (Out(mass="450"),)
    book_run(
        Run(number="R1", feed_lot=lot.number, feed="500", machines="air-screen", outs=outs, at="2024-10-08"),
        station=station, by=plant.line, now=NOW, answers={"loss_over_allowed": "a tote is not weighed yet"},
    )  # fmt: skip
    rename_line("N-2", "Nova", station=station, by=records, reason="registered", at="2025-05-30", now=NOW)
    found = (Found(lot="24-0002-8", mass="98"),)
    count(
        Count(place="A-01", found=found, at="2025-05-31"),
        station=station,
        by=plant.intake,
        now=NOW,
        answers={"count_differs": "spilled"},
    )
    add_containers([NewContainer(code="bin 7", kind="steel bin", tare="42")], station=station, by=records, now=NOW)
    html = desk.get("/records/look/?part=all").content.decode()
    words = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html))
    for group in ("Runs that miss kilos", "No place yet", "No sample was drawn", "Tares too old"):
        assert group in words
    assert "Run R1 of 24-0001-5 misses 50.0 kg, 10.00 % of its feed." in words
    assert "N-2 is called Nova now." in words
    assert "A count of 24-0002-8 found 2.0 kg less than the books had." in words
    assert "bin 7 (steel bin): its tare was never checked." in words
    for link in re.findall(r'<li><a href="([^"]+)"', html):
        assert desk.get(link.replace("&amp;", "&")).status_code == 200, link
    one = text(desk.get("/records/look/?group=No+place+yet"))
    assert "24-0001-5 still stands on the floor (F-1)." in one
    assert "Tares too old" not in one


def test_what_was_measured_comes_after_the_page_and_is_a_link_without_script(desk: Client, plant: House) -> None:
    received(plant)
    page, piece = desk.get("/records/look/"), desk.get("/records/look/?part=measured", headers={"HX-Request": "true"})
    assert "No sample was drawn" not in text(page)
    assert 'href="/records/look/?part=all"' in page.content.decode()
    assert "No sample was drawn" in text(piece)
    assert "<h1" not in piece.content.decode()


DISAGREE = {
    "done later than written": (NOW, timedelta(minutes=40), "was done 40 minutes after it was written down"),
    "set back": (NOW - timedelta(days=3), timedelta(hours=5), "was written down 5 hours before #1, which came first"),
    "within two minutes": (NOW, timedelta(seconds=90), ""),
}


@pytest.mark.parametrize("case", DISAGREE)
def test_clocks_that_disagree_stand_on_the_list(desk: Client, plant: House, monkeypatch, case: str) -> None:
    done, back, says = DISAGREE[case]
    clock = iter([NOW, NOW - back])
    monkeypatch.setattr(posting, "datetime", SimpleNamespace(now=lambda _zone: next(clock)))
    received(plant)
    received(plant, plot="ST24-N-1-2", at=done.isoformat())
    monkeypatch.setattr(today, "datetime", type("Then", (datetime,), {"now": classmethod(lambda *_: NOW)}))
    shown = text(desk.get("/records/look/"))
    assert ("Clocks that disagree" in shown) == bool(says)
    assert says in shown


def test_the_list_asks_the_database_no_more_often_with_more_lots(
    desk: Client, plant: House, django_assert_max_num_queries
) -> None:
    for _ in range(2):
        received(plant)
    desk.get("/records/look/")
    with django_assert_max_num_queries(30):
        desk.get("/records/look/")
    for _ in range(40):
        received(plant, mass="5")
    with django_assert_max_num_queries(30):
        desk.get("/records/look/")


def test_books_are_proved_and_the_proof_is_kept(desk: Client, plant: House) -> None:
    received(plant)
    assert "were not proved from here yet" in text(desk.get("/records/verify/"))
    shown = text(desk.post("/records/verify/", follow=True))
    assert "✓ Whole: nothing differs, and the chain is unbroken." in shown
    assert Operation.objects.get().hash in shown
    received(plant, plot="ST24-N-1-2", mass="12")
    assert "Booked since 1 act" in text(desk.get("/records/verify/"))


def test_an_edit_past_the_acts_is_found_and_its_act_named(desk: Client, plant: House) -> None:
    received(plant)
    with lifted(connection):
        Entry.objects.filter(mg__gt=0).update(mg=1)
    shown = text(desk.post("/records/verify/", follow=True))
    assert "✕" in shown
    assert "receive #1" in shown


def test_a_damaged_proof_is_no_proof(desk: Client, own_folder: Path) -> None:
    desk.post("/records/verify/")
    next((own_folder / "proofs").iterdir()).write_text("{")
    assert "were not proved from here yet" in text(desk.get("/records/verify/"))


def test_a_backup_comes_whole_and_only_to_whoever_gives_roles(desk: Client, plant: House) -> None:
    received(plant)
    answer = desk.post("/records/backup")
    archive = zipfile.ZipFile(BytesIO(b"".join(answer.streaming_content)))
    assert "contents.json" in archive.namelist()
    assert archive.testzip() is None
    other = Client()
    other.force_login(plant.people["bench"])
    refused = other.post("/records/backup", follow=True)
    assert "may not give people their roles" in text(refused)
    assert "Download a backup" not in text(refused)


@pytest.mark.parametrize("address", ["/records/", "/records/look/", "/records/verify/"])
def test_everyone_signed_in_may_read_the_desk(client: Client, plant: House, address: str) -> None:
    client.force_login(plant.people["stranger"])
    answer = client.get(address)
    assert answer.status_code == 200
    assert "None" not in text(answer)
