"""The line's pages: a run is started, filled by whoever weighs, closed once, and redrawn when a tote is found."""

import csv
import io
import re
import xml.etree.ElementTree as ET
from typing import Any

import pytest
from django.http import HttpResponse
from django.test import Client

from inventory.actions.drafting import Filling, RunStart, fill_run, start_run
from inventory.models import DataMark, Operation, Preference, RunDraft, RunRecord
from inventory.queries.runs import run_balance
from inventory.queries.verifying import verify
from tests.make import NOW, House, cleaned, house, received, run

pytestmark = pytest.mark.django_db
R14 = "/line/runs/R14/"
SPOUTS = {"spouts.scalpings": "12.0", "spouts.throughs": "56.0", "spouts.liftings": "16.5"}
DAY = {"words.at": "2024-10-16"}


@pytest.fixture
def plant() -> House:
    made = house()
    received(made, "1130")
    return made


@pytest.fixture
def line(client: Client, plant: House) -> Client:
    client.force_login(plant.line)
    return client


def text(answer: HttpResponse) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


def value(answer: HttpResponse, name: str) -> str:
    found = re.search(rf'name="{re.escape(name)}" value="([^"]*)"', answer.content.decode())
    assert found, name
    return found[1]


def started(plant: House, **more: Any) -> None:
    start = RunStart(**{"feed_lot": "24-0001-5", "machines": "air-screen", "number": "R14", "feed": "1130", **more})
    start_run(start, station=plant.station, by=plant.line, now=NOW)


def kept(**part: str) -> dict[str, str]:
    return dict(RunDraft.objects.get().typed[next(iter(part))])


def test_an_idle_line_asks_for_a_bin(line: Client) -> None:
    said = text(line.get("/line/"))
    assert "The line is idle. Scan the bin to be fed." in said
    assert "No run is in the books yet." in said
    assert "None" not in said


def test_a_run_starts_from_what_was_scanned_and_its_page_opens(line: Client) -> None:
    number = value(line.get("/line/"), "number")
    sent = {"do": "start", "number": number, "feed_lot": "F-1", "machine": ["gravity", "air-screen"], "feed": "1130"}
    answer = line.post("/line/", {**sent, "is_cleaned_out": "yes"})
    assert answer["Location"] == "/line/runs/R01/"
    draft = RunDraft.objects.get()
    assert (draft.feed_lot.number, draft.typed["words"]["machines"]) == ("24-0001-5", "air-screen + gravity")
    assert draft.typed["words"]["feed_place"] == "F-1"
    assert "Clean-out ticked by line-st" in text(line.get("/line/runs/R01/"))


def test_the_same_start_sent_twice_starts_one_run(line: Client) -> None:
    sent = {"do": "start", "number": "R01", "feed_lot": "24-0001-5", "machine": "air-screen", "feed": "1130"}
    assert [line.post("/line/", sent)["Location"] for _ in range(2)] == ["/line/runs/R01/"] * 2
    assert RunDraft.objects.count() == 1


def test_two_people_who_start_at_once_get_two_runs(line: Client, plant: House) -> None:
    started(plant, number="R01")
    line.force_login(plant.records)
    sent = {"do": "start", "number": "R01", "feed_lot": "24-0001-5", "machine": "gravity", "feed": "100"}
    assert line.post("/line/", sent)["Location"] == "/line/runs/R02/"


@pytest.mark.parametrize(
    ("sent", "says"),
    [
        ({"feed_lot": ""}, "Feed lot is missing"),
        ({"feed_lot": "24-0001-6"}, "does not check"),
        ({"feed_lot": "A-01"}, "Nothing stands at A-01. Scan the bin that is fed."),
        ({"feed": "many"}, "many"),
    ],
)
def test_what_stands_in_the_way_of_a_start_is_said_and_nothing_is_lost(
    line: Client, sent: dict[str, str], says: str
) -> None:
    whole = {"do": "start", "number": "R01", "feed_lot": "24-0001-5", "machine": "air-screen", "settings": "air at 6"}
    answer = line.post("/line/", {**whole, **sent})
    assert answer.status_code == 422
    assert says in text(answer)
    assert value(answer, "settings") == "air at 6"
    assert 'value="air-screen" checked' in answer.content.decode()
    assert not RunDraft.objects.exists()


def test_a_place_with_several_lots_asks_for_the_lot(line: Client, plant: House) -> None:
    received(plant, "10", plot="ST24-B-1-1")
    said = text(line.post("/line/", {"do": "start", "feed_lot": "F-1", "machine": "air-screen"}))
    assert "At F-1 stand 24-0001-5 and 24-0002-8. Scan the lot that is fed." in said


def test_dark_seed_left_in_the_line_is_said_before_a_light_lot_is_fed(line: Client, plant: House) -> None:
    run(plant, received(plant, "500", plot="ST24-B-1-1"), "500", "480", number="R06")
    said = text(line.get("/line/look", {"feed_lot": "24-0001-5", "machine": "air-screen"}))
    assert "R06 (B-1 black, 24-0002-8) went over these machines and no clean-out was ticked since." in said
    assert "Its seed is darker and shows in this lot." in said


def test_seed_of_the_same_line_or_another_machine_is_no_matter(line: Client, plant: House) -> None:
    run(plant, received(plant, "500"), "500", "480", number="R06")
    run(plant, received(plant, "500", plot="ST24-B-1-1"), "500", "480", number="R07", machines="gravity")
    said = text(line.get("/line/look", {"feed_lot": "24-0001-5", "machine": "air-screen"}))
    assert "no clean-out was ticked since" not in said


def test_light_seed_before_a_dark_lot_is_said_without_alarm(line: Client, plant: House) -> None:
    run(plant, received(plant, "500"), "500", "480", number="R06")
    received(plant, "300", plot="ST24-B-1-1")
    said = text(line.get("/line/look", {"feed_lot": "24-0004-4", "machine": "air-screen"}))
    assert "◐ R06" in said
    assert "darker" not in said


def test_the_last_good_settings_of_the_line_are_offered_and_taken_with_one_press(line: Client, plant: House) -> None:
    lot = received(plant, "900")
    run(plant, lot, "400", "390", number="R02", settings="top 18/64, air at 6")
    sent = {"feed_lot": "24-0001-5", "machine": "air-screen"}
    said = text(line.get("/line/look", sent))
    assert "R02 of 8 Oct 2024 (N-1) ran well with: top 18/64, air at 6" in said
    taken = line.post("/line/", {**sent, "do": "look", "take": "settings=top 18/64, air at 6"})
    assert value(taken, "settings") == "top 18/64, air at 6"


def test_settings_of_a_run_that_lost_too_much_are_not_offered(line: Client, plant: House) -> None:
    lot = received(plant, "900")
    from inventory.actions.running import Out, Run, book_run  # noqa: PLC0415 - this test alone books with an answer

    bad = Run(number="R02", machines="air-screen", feed_lot=lot.number, feed="400", outs=(Out(mass="300"),),
              settings="air at 9", at="2024-10-08")  # fmt: skip
    book_run(bad, station=plant.station, by=plant.line, now=NOW, answers={"loss_over_allowed": "spilled"})
    assert "air at 9" not in text(line.get("/line/look", {"feed_lot": "24-0001-5", "machine": "air-screen"}))


def test_what_is_weighed_is_kept_and_drawn(line: Client, plant: House) -> None:
    started(plant)
    line.post(R14, {"do": "keep", "spouts.throughs": "38.5", "was.spouts.throughs": ""})
    shown = line.get(R14)
    assert kept(spouts="") == {"throughs": "38.5"}
    assert "1,130.0 kg went in and 38.5 are weighed: 1,091.5 still to weigh." in text(shown)
    assert 'href="#field-spouts-throughs"' in shown.content.decode()
    assert 'id="field-spouts-throughs"' in shown.content.decode()


def test_the_line_shows_the_open_run_drawn_with_its_spouts_to_fill(line: Client, plant: House) -> None:
    started(plant)
    shown = line.get("/line/")
    assert 'href="/line/runs/R14/#field-spouts-throughs"' in shown.content.decode()
    assert "The line is idle" not in text(shown)


def test_htmx_gets_the_picture_alone(line: Client, plant: House) -> None:
    started(plant)
    answer = line.post(R14, {"do": "keep", "spouts.throughs": "38.5"}, headers={"HX-Request": "true"})
    assert answer.status_code == 200
    assert "<h1>" not in answer.content.decode()
    assert value(answer, "was.spouts.throughs") == "38.5"
    piece = line.get(f"{R14}?piece=flow").content.decode()
    assert piece.lstrip().startswith('<div class="flow-told" id="flow"')


def test_what_another_filled_in_meanwhile_is_not_overwritten_by_a_stale_page(line: Client, plant: House) -> None:
    started(plant)
    fill_run("R14", Filling(spouts={"throughs": "56"}), station=plant.station, by=plant.records, now=NOW)
    stale = {"spouts.throughs": "", "was.spouts.throughs": "", "spouts.scalpings": "12", "was.spouts.scalpings": ""}
    line.post(R14, {"do": "keep", **stale})
    assert kept(spouts="") == {"throughs": "56", "scalpings": "12"}
    said = text(line.get(R14))
    assert "records-st" in said
    assert "line-st" in said


def test_two_who_write_the_same_spout_are_told_and_the_second_press_stands(line: Client, plant: House) -> None:
    started(plant)
    fill_run("R14", Filling(spouts={"throughs": "56"}), station=plant.station, by=plant.records, now=NOW)
    mine = {"do": "keep", "spouts.throughs": "38.5", "was.spouts.throughs": ""}
    answer = line.post(R14, mine)
    assert answer.status_code == 422
    assert "records-st wrote 56 as Throughs meanwhile; you wrote 38.5." in text(answer)
    assert (value(answer, "spouts.throughs"), kept(spouts="")) == ("38.5", {"throughs": "56"})
    line.post(R14, {**mine, "was.spouts.throughs": value(answer, "was.spouts.throughs")})
    assert kept(spouts="") == {"throughs": "38.5"}


def test_what_cannot_be_read_stands_by_its_field(line: Client, plant: House) -> None:
    started(plant)
    answer = line.post(R14, {"do": "keep", "spouts.lights": "-1", "spouts.stones": "2"})
    assert answer.status_code == 422
    assert 'href="#field-spouts-lights"' in answer.content.decode()
    assert kept(spouts="") == {}


def test_a_bare_number_is_in_the_unit_the_person_works_in(line: Client, plant: House) -> None:
    Preference.objects.create(user=plant.line, unit="lb")
    started(plant)
    line.post(R14, {"do": "keep", "spouts.throughs": "100", "spouts.lights": "2 kg"})
    assert kept(spouts="") == {"throughs": "100 lb", "lights": "2 kg"}


def test_a_change_of_settings_is_written_behind_the_others_with_its_time(line: Client, plant: House) -> None:
    started(plant, settings="air at 6")
    line.post(R14, {"do": "keep", "change": "air at 7", "words.settings": "air at 6", "was.words.settings": "air at 6"})
    assert re.fullmatch(r"air at 6; \d\d:\d\d air at 7", kept(words="")["settings"])
    assert value(line.get(R14), "change") == ""


def close(line: Client, **more: str) -> HttpResponse:
    key = value(line.get(R14), "key") if RunDraft.objects.filter(booked=None).exists() else "late"
    return line.post(R14, {"do": "close", "key": key, "outs.1.mass": "1041", **SPOUTS, **DAY, **more})


def test_closing_keeps_what_was_typed_books_and_shows_the_ledgers_picture(line: Client, plant: House) -> None:
    started(plant, is_cleaned_out=True)
    assert close(line)["Location"] == R14
    balance = run_balance(plant.station, "R14")
    assert (balance.outs, balance.unaccounted_mg) == ((("24-0002-8", 1_041_000_000),), 4_500_000)
    said = text(line.get(R14))
    assert "1,130.0 kg went in and 1,125.5 came out: 4.5 unaccounted (0.40 %, allowed 1.0)." in said
    assert "24-0002-8" in said
    assert verify(plant.station).is_whole


def test_a_close_sent_twice_books_once_and_answers_the_same(line: Client, plant: House) -> None:
    started(plant)
    key = value(line.get(R14), "key")
    assert [close(line, key=key)["Location"] for _ in range(2)] == [R14, R14]
    assert RunRecord.objects.count() == 1


def test_whoever_closes_second_is_told_that_it_is_booked(line: Client, plant: House) -> None:
    started(plant)
    close(line)
    answer = close(line, key="another page")
    assert answer.status_code == 422
    assert "R14 is booked. Add what was found later as a late addition" in text(answer)
    assert RunRecord.objects.count() == 1


def test_a_spout_weighed_after_the_run_was_booked_is_not_swallowed(line: Client, plant: House) -> None:
    started(plant)
    close(line)
    answer = line.post(R14, {"do": "keep", "spouts.stones": "1"})
    assert answer.status_code == 422
    assert "R14 was booked meanwhile. Nothing of this was saved." in text(answer)


def test_a_field_that_arrives_after_the_close_it_went_with_says_nothing(line: Client, plant: House) -> None:
    started(plant)
    close(line)
    htmx = {"HX-Request": "true"}
    assert line.post(R14, {"do": "keep", **SPOUTS}, headers=htmx).status_code == 204
    other = line.post(R14, {"do": "keep", **SPOUTS, "spouts.stones": "1"}, headers=htmx)
    assert other.status_code == 422
    assert "R14 was booked meanwhile. Nothing of this was saved." in text(other)
    assert "R14 is booked. Out came 24-0002-8" in text(line.get(R14))


def test_missing_kilos_are_asked_for_and_the_run_may_be_left_open(line: Client, plant: House) -> None:
    started(plant)
    asked = close(line, **{"spouts.throughs": "38.5"})
    assert asked.status_code == 422
    assert "22.0 kg of 1,130.0 are missing (1.95 %, allowed 1.0)" in text(asked)
    assert Operation.objects.count() == 1
    sent = {"do": "park", "key": value(asked, "key"), "reason": "the throughs tote"}
    assert line.post(R14, sent)["Location"] == R14
    said = text(line.get(R14))
    assert "✕ 1,130.0 kg went in and 1,108.0 came out: 22.0 are missing (1.95 %, allowed 1.0)." in said
    assert "22.0 missing (1.95 %, allowed 1.0)" in text(line.get("/line/"))
    DataMark.objects.create(is_demo=True, today=Operation.objects.latest("at").at.date())
    assert "Run R14 of 24-0001-5 misses 22.0 kg" in text(line.get("/"))


def test_a_late_tote_is_offered_the_spouts_of_its_machines_first(line: Client, plant: House) -> None:
    started(plant, machines="gravity")
    line.post(R14, {"do": "park", "key": "k", "outs.1.mass": "1041", "reason": "the lights", **DAY})
    assert re.findall(r"<option[^>]*>(\w+)</option>", line.get(R14).content.decode())[0] == "lights"


def test_leaving_open_wants_to_know_what_is_looked_for(line: Client, plant: House) -> None:
    started(plant)
    answer = line.post(R14, {"do": "park", "key": "k", "outs.1.mass": "1041", **DAY})
    assert answer.status_code == 422
    assert "Write why" in text(answer)
    assert kept(outs="") == {"1": {"mass": "1041"}}


def test_a_late_tote_redraws_the_run(line: Client, plant: House) -> None:
    started(plant)
    close(line, **{"spouts.throughs": "38.5", "answer.loss_over_allowed": "looked for"})
    late = {"do": "late", "stream": "throughs", "mass": "17.5", "at": "2024-10-17", "key": "k2"}
    assert [line.post(R14, late)["Location"] for _ in range(2)] == [R14, R14]
    said = text(line.get(R14))
    assert "1,125.5 came out: 4.5 unaccounted (0.40 %, allowed 1.0)" in said
    assert "56.0" in said


@pytest.mark.parametrize(
    ("sent", "says"), [({"mass": "99"}, "but only 4.5 kg of it are missing"), ({"mass": ""}, "missing")]
)
def test_a_late_tote_that_cannot_be_is_refused_with_what_was_typed(
    line: Client, plant: House, sent: dict[str, str], says: str
) -> None:
    started(plant)
    close(line)
    answer = line.post(R14, {"do": "late", "stream": "lights", "at": "2024-10-17", "key": "k", **sent})
    assert answer.status_code == 422
    assert says in text(answer)
    assert value(answer, "at") == "2024-10-17"


def test_more_out_than_in_is_too_much_and_cannot_be_booked(line: Client, plant: House) -> None:
    started(plant)
    answer = close(line, **{"outs.1.mass": "1053"})
    assert answer.status_code == 422
    assert "7.5 too much" in text(answer)
    assert "Spouts add up to 7.5 kg more than was fed" in text(answer)


def test_a_run_can_be_thrown_away(line: Client, plant: House) -> None:
    started(plant)
    assert line.post(R14, {"do": "discard"})["Location"] == "/line/"
    assert not RunDraft.objects.exists()
    assert line.get(R14).status_code == 404


def test_who_may_not_clean_reads_a_run_and_is_told_when_pressing(line: Client, plant: House) -> None:
    started(plant)
    line.force_login(plant.bench)
    assert 'name="spouts.throughs"' not in line.get(R14).content.decode()
    answer = line.post(R14, {"do": "keep", "spouts.throughs": "1"})
    assert answer.status_code == 422
    assert "may not clean a lot" in text(answer)


def test_the_table_downloads_with_exact_kilograms(line: Client, plant: House) -> None:
    started(plant)
    close(line)
    rows = list(csv.reader(io.StringIO(line.get(f"{R14}?format=csv").content.decode())))
    assert rows[0] == ["run", "way out", "lot", "kg", "percent of feed", "filled in by"]
    assert rows[1][:5] == ["R14", "feed", "24-0001-5", "1130.0", "100.00"]
    assert rows[2][:5] == ["R14", "clean", "24-0002-8", "1041.0", "92.12"]
    assert rows[-1][:5] == ["R14", "unaccounted", "", "4.5", "0.40"]
    assert sum(float(row[3]) for row in rows[2:]) == pytest.approx(1130)


def test_the_picture_downloads_as_a_file_of_its_own(line: Client, plant: House) -> None:
    started(plant)
    answer = line.get(f"{R14}?format=svg")
    assert answer["Content-Type"].startswith("image/svg+xml")
    root = ET.fromstring(answer.content)  # noqa: S314 - our own file
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    assert len(root.findall(".//{http://www.w3.org/2000/svg}path[@class]")) > 3


def test_a_run_that_is_not_there_is_said_to_be_so(line: Client) -> None:
    assert line.get("/line/runs/R99/").status_code == 404
    assert line.post("/line/runs/R99/", {"do": "keep"}).status_code == 404


@pytest.mark.parametrize("many", [1, 25])
def test_more_runs_cost_no_more_queries(
    line: Client, plant: House, django_assert_max_num_queries: Any, many: int
) -> None:
    lot = received(plant, "5000")
    for number in range(many):
        cleaned(plant, lot, str(100 + number), "90", number=f"R{number + 20}")
    started(plant)
    for address in ("/line/", R14, f"/line/runs/R{many + 19}/", "/line/look?feed_lot=24-0002-8&machine=air-screen"):
        with django_assert_max_num_queries(30):
            assert line.get(address).status_code == 200
