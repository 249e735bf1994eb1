"""The records desk in a real browser: a kept sheet from drop to saved and back, and pages nobody stumbles over."""

from base64 import b64encode
from pathlib import Path

import pytest
from django.contrib.auth.models import User
from playwright.sync_api import Page, expect

from fixtures_demo.dirty_sheet import PATH
from fixtures_demo.practice import practice_copy
from inventory.models import Load, Lot, Receipt, SheetDraft, Stock
from tests.browser.access import faults

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.slow, pytest.mark.browser]
DROP = """([name, bytes]) => {
  const held = new DataTransfer();
  held.items.add(new File([Uint8Array.from(atob(bytes), (one) => one.charCodeAt(0))], name));
  document.dispatchEvent(new DragEvent("drop", { dataTransfer: held, bubbles: true, cancelable: true }));
}"""


@pytest.fixture(autouse=True)
def own_folder(settings, tmp_path: Path) -> None:
    settings.DATA_DIR = tmp_path


@pytest.fixture
def records() -> User:
    practice_copy()
    return User.objects.get(username="records")


def drop(page: Page) -> None:
    page.evaluate(DROP, [PATH.name, b64encode(PATH.read_bytes()).decode()])
    page.wait_for_url("**/records/sheets/*-*/")


def test_a_kept_sheet_is_dropped_answered_saved_and_taken_back(open_as, records: User) -> None:
    page = open_as(records, "/records/sheets/")
    drop(page)
    assert "7 things to decide" in page.inner_text("#sheet")
    page.click("text=E7")
    assert page.evaluate("document.querySelector('#c-E7').getBoundingClientRect().top") < 768
    for left in range(6, -1, -1):
        page.locator(".asked form.choices button").first.click()
        expect(page.locator(".asked")).to_have_count(left)
    expect(page.locator("#sheet button[data-key=F2]")).to_be_focused()
    page.keyboard.press("F2")
    page.wait_for_url("**/records/loads/L1/")
    assert "Saved 13 rows as load L1." in page.inner_text("main")
    assert (Receipt.objects.count(), Receipt.objects.get(lot__number="24-0003-1").net_mg) == (13, 720_032_528)
    page.fill("#reason", "the wrong year")
    page.keyboard.press("F8")
    page.wait_for_selector("text=is taken back")
    assert not Stock.objects.filter(mg__gt=0).exists()
    assert Load.objects.get().unloaded_at is not None


def test_an_answer_of_ones_own_is_typed_with_its_reason(open_as, records: User) -> None:
    page = open_as(records, "/records/sheets/")
    drop(page)
    asked = page.locator(".asked", has_text="H8")
    asked.locator("summary").click()
    asked.locator("input[name=value]").fill("16,4")
    asked.get_by_role("button", name="Read it so").click()
    expect(page.locator(".asked")).to_have_count(6)
    assert "read as 16,4" in page.inner_text("#sheet")
    page.get_by_role("button", name="Ask again: row 8 Moist").click()
    expect(page.locator(".asked")).to_have_count(7)


def test_a_file_that_is_too_large_is_named_before_it_is_sent(open_as, records: User) -> None:
    page = open_as(records, "/records/sheets/")
    page.set_input_files("#file", {"name": "year.csv", "mimeType": "text/csv", "buffer": b"x" * (17 * 1024**2)})
    page.click("form.drop button")
    assert "more than 16 MB, so it was not sent" in page.inner_text("#file-error")
    assert page.url.endswith("/records/sheets/")
    assert SheetDraft.objects.count() == 0


def test_without_script_a_sheet_is_answered_and_saved(browser, live_server, records: User) -> None:
    records.set_password("beans-and-more")
    records.save()
    context = browser.new_context(base_url=live_server.url, java_script_enabled=False)
    page = context.new_page()
    page.goto("/sign-in/?next=/records/sheets/")
    page.fill("input[name=username]", "records")
    page.fill("input[name=password]", "beans-and-more")
    page.click("main button")
    page.set_input_files("#file", str(PATH))
    page.click("form.drop button")
    for _ in range(7):
        page.locator(".asked form.choices button").first.click()
    page.click("text=Save 13 rows")
    assert "Saved 13 rows as load L1." in page.inner_text("main")
    assert Lot.objects.count() == 13
    context.close()


@pytest.mark.parametrize("dark", [False, True])
@pytest.mark.parametrize("width", [360, 800, 1366])
def test_a_sheet_that_is_being_answered_stands_in_nobodys_way(
    open_as, records: User, width: int, *, dark: bool
) -> None:
    page = open_as(records, "/records/sheets/", width=width, dark=dark)
    drop(page)
    assert faults(page, page.url) == []
