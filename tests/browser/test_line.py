"""The cleaning line in a real browser: one run by keys alone, one left open, two people at one, bags by scans."""

import pytest

from inventory.actions.drafting import Filling, RunStart, fill_run, start_run
from inventory.models import RunDraft, RunRecord
from inventory.queries.runs import run_balance
from tests.browser.access import faults
from tests.browser.reader import scan
from tests.make import House, house, received, run

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.slow, pytest.mark.browser]
R14 = "/line/runs/R14/"
PAGES = (
    "/line/",
    "/line/?feed_lot=24-0001-5&machine=air-screen",
    R14,
    "/line/runs/R02/",
    "/line/bagging/?lot=24-0001-5&count=3",
    "/line/losses/?to=2024-10",
    "/line/order/?least=1",
    "/do/treat/?lot=24-0001-5",
    "/do/blend/?parts.1.lot=24-0001-5&parts.2.lot=24-0002-8",
)


@pytest.fixture
def plant() -> House:
    made = house()
    received(made, "1130")
    return made


def started(plant: House, **spouts: str) -> None:
    start = RunStart(feed_lot="24-0001-5", machines="air-screen", number="R14", feed="1130")
    start_run(start, station=plant.station, by=plant.line)
    if spouts:
        fill_run("R14", Filling(spouts=spouts), station=plant.station, by=plant.line)


def said(page, words: str) -> None:
    page.wait_for_function("words => document.querySelector('#flow').textContent.includes(words)", arg=words)


def test_a_run_goes_from_the_scanned_bin_to_the_books_by_keys_alone(open_as, plant: House) -> None:
    page = open_as(plant.line, "/line/")
    scan(page, "2400015")
    page.wait_for_function("() => document.querySelector('#field-feed_lot').value === '24-0001-5'")
    page.wait_for_selector("text=F-1: 1,130.0 kg")
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    page.keyboard.press("Space")  # air-screen
    page.focus("#field-feed")
    page.keyboard.type("1130")
    page.keyboard.press("F2")
    page.wait_for_url("**/line/runs/R01/")
    page.focus("#field-outs-1-mass")
    page.keyboard.type("1041")
    for _ in range(3):
        page.keyboard.press("Enter")
    said(page, "1,041.0 are weighed")
    for stream, mass in (("scalpings", "12"), ("throughs", "56"), ("liftings", "16.5")):
        page.focus(f"#field-spouts-{stream}")
        page.keyboard.type(mass)
        page.keyboard.press("Enter")
    said(page, "4.5 unaccounted (0.40 %, allowed 1.0)")
    page.keyboard.press("F6")
    assert page.evaluate("document.activeElement.id") == "field-change"
    page.keyboard.type("air at 7")
    page.keyboard.press("F9")
    page.wait_for_selector("text=R01 is booked. Out came")
    assert run_balance(plant.station, "R01").unaccounted_mg == 4_500_000
    assert "air at 7" in page.inner_text("main")


def test_a_branch_opens_its_weight_field(open_as, plant: House) -> None:
    started(plant, throughs="56")
    page = open_as(plant.line, R14)
    page.click(".flow a[href='#field-spouts-liftings'] text >> nth=0")
    assert page.evaluate("document.activeElement.id") == "field-spouts-liftings"


def test_a_run_that_misses_a_tote_is_left_open_and_redrawn_when_it_is_found(open_as, plant: House) -> None:
    started(plant, scalpings="12", throughs="38.5", liftings="16.5")
    page = open_as(plant.line, R14)
    page.fill("#field-outs-1-mass", "1041")
    page.keyboard.press("F9")
    page.wait_for_selector("text=22.0 kg of 1,130.0 are missing (1.95 %, allowed 1.0)")
    page.fill("#reason", "the throughs tote")
    page.click("text=Leave open")
    page.wait_for_selector("text=R14 is booked")
    said(page, "22.0 are missing")
    page.select_option("#stream", "throughs")
    page.fill("#mass", "17.5")
    page.keyboard.press("F2")
    page.wait_for_selector("text=Added to R14")
    said(page, "4.5 unaccounted (0.40 %, allowed 1.0)")


def test_two_people_fill_one_run_and_nothing_is_lost(open_as, plant: House) -> None:
    started(plant)
    one, other = open_as(plant.line, R14), open_as(plant.records, R14)
    one.fill("#field-spouts-throughs", "56")
    one.keyboard.press("Enter")
    said(one, "56.0 are weighed")
    other.bring_to_front()
    other.fill("#field-spouts-liftings", "16.5")
    other.keyboard.press("Enter")
    said(other, "72.5 are weighed")
    one.bring_to_front()
    one.fill("#field-outs-1-mass", "1041")
    one.fill("#field-spouts-scalpings", "12")
    one.keyboard.press("F9")
    one.wait_for_selector("text=R14 is booked")
    other.keyboard.press("F9")
    other.wait_for_selector("text=R14 is booked. Add what was found later")
    assert RunRecord.objects.count() == 1
    assert run_balance(plant.station, "R14").unaccounted_mg == 4_500_000


def test_a_double_press_starts_one_run_and_closes_it_once(open_as, plant: House) -> None:
    page = open_as(plant.line)
    page.goto("/line/?feed_lot=24-0001-5&machine=air-screen")
    page.fill("#field-feed", "1130")
    page.dblclick("button[data-key=F2]")
    page.wait_for_url("**/line/runs/R01/")
    page.fill("#field-outs-1-mass", "1125")
    page.dblclick("button[data-key=F9]")
    page.wait_for_selector("text=R01 is booked")
    assert (RunDraft.objects.count(), RunRecord.objects.count()) == (1, 1)


def test_bags_are_counted_by_scans_of_their_lot_and_booked(open_as, plant: House) -> None:
    received(plant, "60", plot="ST24-B-1-1")
    page = open_as(plant.line, "/line/bagging/")
    for _ in range(3):
        scan(page, "2400028")
        page.wait_for_timeout(300)
    assert page.input_value("#field-count") == "2"  # the first scan names the lot
    scan(page, "2400015")
    page.wait_for_selector("text=That is another lot, and was not counted: 24-0001-5")
    page.keyboard.press("F7")
    page.wait_for_selector("text=3 × 25.0 = 75.0 kg, but only 60.0 kg were there. Is one a part bag?")
    page.keyboard.press("F8")
    page.fill("#field-part_bag", "10")
    page.keyboard.press("Enter")
    page.wait_for_selector("text=It adds up: nothing is left loose.")
    page.keyboard.press("F2")
    page.wait_for_url("**/booked/*/")
    assert "3 bags were filled" in page.inner_text("main")


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_no_page_of_the_line_stands_in_anybodys_way(open_as, plant: House, *, dark: bool) -> None:
    run(plant, received(plant, "400"), "400", "390", number="R02", settings="air at 6")
    started(plant, throughs="38.5")
    page = open_as(plant.line, "/", dark=dark)
    assert [fault for address in PAGES for fault in faults(page, address, (320, 360, 1366), colours_alone=dark)] == []


def test_lots_that_are_scanned_one_after_the_other_each_get_a_field_of_a_blend(open_as, plant: House) -> None:
    received(plant, "640", "ST24-N-1-2")
    page = open_as(plant.line, "/do/blend/?parts.2.lot=")
    for code, place in (("2400015", 1), ("24-0002-8", 2)):
        scan(page, code)
        page.wait_for_function("n => document.querySelector(`#field-parts-${n}-lot`).value", arg=place)
    assert page.input_value("#field-parts-1-lot") == "24-0001-5"
    assert page.input_value("#field-parts-2-lot") == "24-0002-8"
    page.wait_for_selector("text=Goes in: 1,770.0 kg")
