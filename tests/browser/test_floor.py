"""The floor by reader and keyboard alone: moves, a count, a load; its pages in both themes and at three widths."""

import pytest
from playwright.sync_api import Page, expect

from inventory.actions.places import NewContainer, add_containers
from inventory.models import Bag, Lot, Place, Shipment, Stock
from inventory.rules.label_codes import LabelKind, label_code
from tests.browser.access import faults
from tests.browser.reader import scan
from tests.make import NOW, House, bagged, house, received

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.slow, pytest.mark.browser]
PAGES = (
    "/floor/places/", "/of/place/F-1/", "/of/container/SB-07/", "/floor/moves/", "/floor/count/?place=F-1",
    "/floor/still-out/", "/floor/holds/", "/do/hold/", "/do/lift/", "/floor/shipments/", "/floor/shipments/load/",
    "/recall/?lot=24-0001-5",
)  # fmt: skip


@pytest.fixture
def plant() -> House:
    made = house()
    bagged(made, received(made, "109"), count=4, part_bag="9")
    received(made, plot="ST24-N-1-2")
    bins = [NewContainer(code="SB-07", kind="steel bin", tare="42.0", checked_on="2025-01-10")]
    add_containers(bins, station=made.station, by=made.records, now=NOW)
    return made


def place_code(code: str) -> str:
    return label_code(LabelKind.PLACE, Place.objects.get(code=code).pk)


def bag_code(number: int) -> str:
    return label_code(LabelKind.BAG, Bag.objects.get(lot__number="24-0001-5", number=number).pk)


def scan_into(page: Page, field: str, code: str) -> None:
    """Scan, and wait until the field has what was scanned."""
    before = page.input_value(field)
    scan(page, code)
    expect(page.locator(field)).not_to_have_value(before)


def test_a_lot_is_moved_by_two_scans(open_as, plant: House) -> None:
    page = open_as(plant.intake, "/floor/moves/")
    scan_into(page, "#field-lot", "2400028")
    scan(page, place_code("A-01"))
    expect(page.locator(".said")).to_contain_text("24-0002-8 stands at A-01 now.")
    assert Stock.objects.get(lot__number="24-0002-8", mg__gt=0).place.code == "A-01"


def test_a_bag_is_moved_by_two_scans_and_the_next_after_it(open_as, plant: House) -> None:
    page = open_as(plant.intake, "/floor/moves/")
    for number in (2, 3):
        scan_into(page, "#field-lot", bag_code(number))
        scan(page, place_code("A-01"))
        expect(page.locator(".said")).to_contain_text(f"24-0001-5/{number} stands at A-01 now.")
    assert sorted(Stock.objects.filter(place__code="A-01", mg__gt=0).values_list("bag_no", flat=True)) == [2, 3]


def test_a_second_lot_in_a_row_is_asked_about(open_as, plant: House) -> None:
    page = open_as(plant.intake, "/floor/moves/")
    scan_into(page, "#field-lot", "2400028")
    scan(page, bag_code(1))
    expect(page.locator("h1")).to_have_text("Two in a row")
    page.get_by_role("link", name="Open 24-0001-5/1").click()
    page.wait_for_url("**/lots/24-0001-5/bags/1/")
    assert not Stock.objects.filter(place__code="A-01", mg__gt=0).exists()


def test_a_place_is_counted_by_keyboard_alone(open_as, plant: House) -> None:
    page = open_as(plant.intake, "/floor/count/")
    scan(page, place_code("F-1"))
    page.wait_for_selector(".counted")
    for number in (1, 2, 3, 4):
        scan_into(page, "#scanned", bag_code(number))
    page.focus("[name='row.5.mass']")
    page.keyboard.type("9", delay=60)
    page.keyboard.press("Tab")
    page.focus("[name='row.6.mass']")
    page.keyboard.type("799.5", delay=60)
    page.keyboard.press("F2")
    expect(page.locator(".errors")).to_contain_text("-0.5 less")
    page.focus("#answer-count_differs")
    page.keyboard.type("mice", delay=60)
    page.keyboard.press("F2")
    page.wait_for_url("**/booked/*/")
    assert Stock.objects.get(lot__number="24-0002-8").mg == 799_500_000


def test_a_shipment_is_loaded_by_scanning_its_bags(open_as, plant: House) -> None:
    page = open_as(plant.intake, "/floor/shipments/load/")
    page.fill("#field-recipient", "A grower")
    for number in (1, 5):
        scan_into(page, "#scanned", bag_code(number))
    expect(page.locator("#load")).to_contain_text("2 bags, 34.0 kg")
    page.keyboard.press("F2")
    page.wait_for_url("**/booked/*/")
    assert Shipment.objects.get().recipient == "A grower"
    assert sum(row.mg for row in Stock.objects.filter(lot=Lot.objects.get(number="24-0001-5"))) == 75_000_000


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_its_pages_stand_in_nobodys_way(open_as, plant: House, *, dark: bool) -> None:
    page = open_as(plant.intake, "/", dark=dark)
    assert [fault for address in PAGES for fault in faults(page, address, (320, 800, 1366), colours_alone=dark)] == []
