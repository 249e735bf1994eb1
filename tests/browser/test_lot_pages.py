"""The pages of lots and lines in a real browser: what limits a lot, from a bag to its cross, taking back, pictures."""

import pytest

from inventory.models import Cross, Line
from tests.browser.access import faults
from tests.browser.reader import scan
from tests.grading.station import benched, row_of, station, table
from tests.make import House, bagged, cleaned, house, received

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.slow, pytest.mark.browser]
PAGES = (
    "/", "/lots/", "/lots/?that=on-hold", "/lots/24-0002-8/", "/lots/24-0002-8/pictures/kilos/", "/lines/",
    "/of/line/N-1/", "/of/line/N-2/", "/season/N-1/", "/trace/", "/trace/24-0002-8/", "/trace/24-0001-5/?forward=yes",
    "/changes/?since=2020-01-01", "/bench/graders/", "/booked/1/?take=back",
)  # fmt: skip


@pytest.fixture
def plant() -> House:
    made = house()
    cross = Cross.objects.create(
        station=made.station, code="X-1", female=Line.objects.get(name="N-2"), male=Line.objects.get(name="B-1")
    )
    Line.objects.filter(name="N-1").update(cross=cross)
    lot = cleaned(made, received(made), "798", "741.2")
    bagged(made, lot, count=3)
    return made


def test_what_limits_a_lot_is_found_by_one_scan(open_as) -> None:
    bench = station()
    bench.lots("24-0018-7")
    bench.bench(benched(row_of(table("samples"), "G04")))
    page = open_as(bench.plant.bench, "/")
    scan(page, "2400187")
    page.wait_for_url("**/lots/24-0018-7/")
    first = page.locator(".posts tbody tr").first.inner_text()
    assert "contrasting classes" in first
    assert "✕ over No. 1 by 0.12" in first
    page.get_by_text("All that was found").first.click()
    assert page.get_by_text("not an official certificate").first.is_visible()


def test_from_a_bag_to_its_cross_it_is_two_steps(open_as, plant: House) -> None:
    page = open_as(plant.breeder, "/lots/24-0002-8/")
    page.get_by_role("link", name="bag 2", exact=True).click()
    page.wait_for_url("**/trace/24-0002-8/2/")
    page.locator("svg.lineage a", has_text="X-1").click()
    page.wait_for_url("**/of/cross/X-1/")


def test_the_strip_is_filled_in_after_the_page(open_as, plant: House) -> None:
    page = open_as(plant.breeder, "/lots/24-0002-8/")
    page.locator(".strip").wait_for()
    words = page.inner_text(".strip")
    assert words.startswith("From X-1 → N-1 → ST24-N-1-1 → 24-0001-5 → this")


def test_the_newest_act_is_taken_back_in_two_keys(open_as, plant: House) -> None:
    page = open_as(plant.intake, "/lots/24-0002-8/")
    page.keyboard.press("F8")
    page.wait_for_url("**/booked/3/?take=back")
    page.keyboard.type("miscounted")
    page.keyboard.press("F8")
    page.wait_for_url("**/booked/4/")
    page.goto("/lots/24-0002-8/")
    assert "bag #3" in page.locator("table.acts s").first.inner_text()
    assert page.get_by_text("taken back").first.is_visible()


@pytest.mark.parametrize(
    "address", ["/lots/24-0002-8/pictures/kilos/", "/trace/24-0002-8/", "/season/N-1/", "/trace/N-1/?forward=yes"]
)
def test_every_picture_has_its_table_and_two_files(open_as, plant: House, address: str) -> None:
    page = open_as(plant.breeder, address)
    assert page.locator("main table tbody tr").count() >= 1
    for words, ending in (("This picture as SVG", ".svg"), ("These numbers as CSV", ".csv")):
        with page.expect_download() as taken:
            page.get_by_role("link", name=words).click()
        assert taken.value.suggested_filename.endswith(ending)


def test_ticked_lots_are_held_at_once(open_as, plant: House) -> None:
    received(plant, "900", plot="ST24-N-1-2")
    page = open_as(plant.bench, "/lots/")
    for box in page.locator("input[name=lot]").all():
        box.check()
    page.get_by_role("button", name="Hold the ticked lots").click()
    page.wait_for_url("**/do/hold/**")
    page.fill("#reason", "weevils in the bay")
    page.keyboard.press("F2")
    page.wait_for_url("**/booked/**")
    page.goto("/lots/?that=on-hold")
    assert page.locator("tbody tr").count() == 3
    assert page.get_by_text("weevils in the bay").first.is_visible()


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_no_page_stands_in_anybodys_way(open_as, plant: House, *, dark: bool) -> None:
    page = open_as(plant.intake, "/", dark=dark)
    assert [fault for address in PAGES for fault in faults(page, address, (360, 800, 1366), colours_alone=dark)] == []
