"""A delivery at the speed of a reader, a scale and a keypad; nothing but keys."""

import time
from datetime import UTC, datetime

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from api.tokens import make_token
from inventory.actions.places import NewContainer, add_containers
from inventory.actions.plots import PlotWeight, weigh_plots
from inventory.models import Container, Label, Lot, Place, Plot, Receipt, Stock
from inventory.rules.label_codes import LabelKind, label_code
from tests.api.asking import Program
from tests.browser.reader import scan
from tests.make import NOW, House, house

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.slow, pytest.mark.browser]
PLOT = "ST24-N-1-1"
PAGES = ("/do/receive/", "/do/receive/?from=outside", "/floor/today/", "/floor/wet/")
MOST_SECONDS = 20


@pytest.fixture
def plant() -> House:
    made = house()
    bins = [NewContainer(code="SB-07", kind="steel bin", tare="42.0", checked_on="2025-01-10")]
    add_containers(bins, station=made.station, by=made.records, now=NOW)
    weigh_plots([PlotWeight(plot=PLOT, mass="800")], station=made.station, by=made.breeder, now=NOW)
    return made


def codes() -> dict[str, str]:
    """What stands on the tags of plot, container and place."""
    return {
        "plot": label_code(LabelKind.PLOT, Plot.objects.get(code=PLOT).pk),
        "container": label_code(LabelKind.CONTAINER, Container.objects.get().pk),
        "place": label_code(LabelKind.PLACE, Place.objects.get(code="A-01").pk),
    }


def weigh(page: Page) -> None:
    """Scan the plot, press the scale's key, scan the container, type the moisture, scan the place, twice Enter."""
    tags = codes()
    scan(page, tags["plot"])
    expect(page.locator("#field-plots")).not_to_have_value("")
    scan(page, "ST,GS,+  842.0 kg")
    expect(page.locator("#field-gross")).not_to_have_value("")
    scan(page, tags["container"])
    expect(page.locator("#field-containers")).not_to_have_value("")
    page.keyboard.press("Enter")
    page.keyboard.type("15.9", delay=60)
    scan(page, tags["place"])
    expect(page.locator("#field-place")).not_to_have_value("")
    page.keyboard.press("Enter")
    page.keyboard.press("Enter")
    page.wait_for_selector(".said")


def test_a_delivery_takes_under_twenty_seconds_from_scan_to_saved(open_as, plant: House) -> None:
    page = open_as(plant.intake, "/do/receive/")
    start = time.monotonic()
    weigh(page)
    took = time.monotonic() - start
    stock = Stock.objects.get()
    assert (stock.place.code, stock.mg) == ("A-01", 800_000_000)
    assert f"Logged as {Lot.objects.get().number}" in page.inner_text(".said")
    assert took < MOST_SECONDS


def test_what_is_typed_is_looked_up_beside_it(open_as, plant: House) -> None:
    page = open_as(plant.intake, "/do/receive/")
    page.fill("#field-plots", PLOT)
    page.fill("#field-gross", "842")
    page.fill("#field-containers", "7")
    page.keyboard.press("Tab")
    page.wait_for_selector("#ahead .fine")
    assert "800.0 kg ✓ as the field said" in page.inner_text("#ahead")


def test_a_scale_that_sends_fills_the_gross_by_a_key_and_the_net_follows(open_as, plant: House) -> None:
    desk = open_as(plant.records, "/connections/devices/")
    for field, value in (("code", "scale-1"), ("name", "Scale at the pit")):
        desk.fill(f"#{field}", value)
    desk.keyboard.press("F2")
    desk.wait_for_selector(".said")
    page = open_as(plant.intake, "/do/receive/")
    page.fill("#field-plots", PLOT)
    page.fill("#field-containers", "7")
    page.keyboard.press("F7")
    expect(page.locator("#weighed")).to_contain_text("No scale sent a mass")
    secret = make_token(plant.intake, scopes=["readings:write"], days=None, now=NOW)
    raw = {
        "device_id": "scale-1",
        "reading_id": "1",
        "taken_at": datetime.now(UTC).isoformat(),
        "raw": "ST,GS,+ 842.0 kg",
    }
    Program(secret).post("/api/v1/readings", raw)
    page.keyboard.press("F7")
    expect(page.locator("#field-gross")).to_have_value("842.0 kg")
    expect(page.locator("#weighed")).to_contain_text("842.0 kg, sent by Scale at the pit at ")
    expect(page.locator("#ahead")).to_contain_text("Net 800.0 kg")
    page.keyboard.press("F2")
    page.wait_for_selector(".said")
    assert Receipt.objects.get().net_mg == 800_000_000


def test_labels_print_by_a_key_after_saving(open_as, plant: House) -> None:
    page = open_as(plant.intake, "/do/receive/")
    weigh(page)
    with page.context.expect_page():
        page.keyboard.press("F4")
    page.wait_for_timeout(500)
    assert Label.objects.get().name == Lot.objects.get().number


def test_back_after_saving_and_saving_again_logs_nothing_twice(open_as, plant: House) -> None:
    page = open_as(plant.intake, "/do/receive/")
    weigh(page)
    page.go_back()
    page.keyboard.press("F2")
    page.wait_for_load_state()
    assert Receipt.objects.count() == 1


def test_nothing_is_lost_when_the_session_ends_in_mid_form(open_as, plant: House) -> None:
    page = open_as(plant.intake, "/do/receive/")
    page.fill("#field-plots", PLOT)
    page.fill("#field-gross", "842")
    page.context.clear_cookies(name="sessionid")
    page.keyboard.press("F2")
    page.wait_for_selector("input[name=username]")
    page.fill("input[name=username]", plant.intake.username)
    page.fill("input[name=password]", "beans-and-more")
    page.click("main button")
    page.wait_for_selector("#field-plots")
    assert (page.input_value("#field-plots"), page.input_value("#field-gross")) == (PLOT, "842")


@pytest.mark.parametrize("width", [320, 1366])
def test_its_pages_have_no_serious_fault_of_access(open_as, plant: House, width: int) -> None:
    page = open_as(plant.intake, "/", width=width)
    for address in PAGES:
        page.goto(address)
        found = Axe().run(page).response["violations"]
        assert [(one["id"], one["nodes"][0]["html"]) for one in found if one["impact"] in ("serious", "critical")] == []
        assert (address, page.evaluate("document.documentElement.scrollWidth")) == (address, width)
