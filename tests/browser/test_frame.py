"""The frame of every page in a real browser: keys, scans, both themes, narrow screens."""

import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.browser.reader import scan
from tests.make import House, house, received

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.slow, pytest.mark.browser]
PAGES = ("/", "/lots/", "/lots/24-0001-5/", "/area/floor/", "/do/receive/", "/do/clean/", "/do/", "/preferences/")


@pytest.fixture
def plant() -> House:
    made = house()
    received(made)
    return made


def test_a_move_is_saved_by_keyboard_alone_and_taken_back_in_two_keys(open_as, plant: House) -> None:
    page = open_as(plant.intake, "/do/move/")
    page.focus("#field-lot")
    page.keyboard.type("24-0001-5")
    page.keyboard.press("Enter")
    page.fill("#field-to", "A-01")
    page.keyboard.press("F2")
    page.wait_for_url("**/booked/2/")
    page.focus("#reason")
    page.keyboard.type("wrong bay")
    page.keyboard.press("F8")
    page.wait_for_url("**/booked/3/")


def test_enter_goes_to_the_next_field_and_sends_nothing(open_as, plant: House) -> None:
    page = open_as(plant.intake, "/do/move/")
    page.focus("#field-lot")
    page.keyboard.press("Enter")
    assert page.url.endswith("/do/move/")
    assert page.evaluate("document.activeElement.id") != "field-lot"


@pytest.mark.parametrize("dark", [False, True])
@pytest.mark.parametrize("width", [360, 800, 1366])
def test_no_page_has_a_serious_fault_of_access(open_as, plant: House, width: int, *, dark: bool) -> None:
    page = open_as(plant.intake, "/", width=width, dark=dark)
    for address in PAGES:
        page.goto(address)
        found = Axe().run(page).response["violations"]
        assert [(one["id"], one["nodes"][0]["html"]) for one in found if one["impact"] in ("serious", "critical")] == []


def test_nothing_scrolls_sideways_on_the_narrowest_screen(open_as, plant: House) -> None:
    page = open_as(plant.intake, "/", width=320)
    for address in PAGES:
        page.goto(address)
        assert (address, page.evaluate("document.documentElement.scrollWidth")) == (address, 320)


@pytest.mark.parametrize("address", PAGES)
def test_a_reader_opens_the_lot_from_every_page(open_as, plant: House, address: str) -> None:
    page = open_as(plant.intake, address)
    scan(page, "2400015")
    page.wait_for_url("**/lots/24-0001-5/")


def test_a_burst_inside_a_field_is_lifted_out_of_it(open_as, plant: House) -> None:
    page = open_as(plant.intake, "/do/move/")
    page.fill("#field-to", "A-0")
    page.focus("#field-to")
    scan(page, "2400015")
    page.wait_for_url("**/lots/24-0001-5/")


def test_slow_typing_in_a_field_is_left_alone(open_as, plant: House) -> None:
    page = open_as(plant.intake, "/do/move/")
    page.focus("#field-lot")
    page.keyboard.type("2400015", delay=80)
    page.keyboard.press("Enter")
    assert page.url.endswith("/do/move/")
    assert page.input_value("#field-lot") == "2400015"


def test_a_reader_on_another_keyboard_opens_the_lot_and_says_so(open_as, plant: House) -> None:
    page = open_as(plant.intake, "/lots/")
    scan(page, "é'ààà&(")
    page.wait_for_url("**/lots/24-0001-5/")
    assert "another keyboard" in page.inner_text(".said")
