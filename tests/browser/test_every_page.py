"""Every page, at three widths and in both themes, on the demo's books.

With HILUM_PICTURES=FOLDER set it also writes a picture of each, so that one command shows all pages as they are now:
`HILUM_PICTURES=pictures bin/test tests/browser/test_every_page.py`.
"""

import os
import re
from pathlib import Path

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from fixtures_demo.telling import build
from tests.browser.access import faults
from tests.browser.addresses import addresses
from tests.browser.connected import connected
from tests.browser.heavy import heavy_pages

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.slow, pytest.mark.browser]
WIDTHS = (360, 800, 1366)
MOST_QUERIES = 30
FIRST_PAGE_KB = 200


@pytest.fixture
def records() -> User:
    build()
    connected()
    return User.objects.get(username="records")


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_no_page_stands_in_anybodys_way(open_as, records: User, *, dark: bool) -> None:
    page = open_as(records, "/", dark=dark)
    found = []
    for address in addresses():
        found += faults(page, address, WIDTHS, colours_alone=dark)
        _pictures(page, address, "dark" if dark else "light")
    assert found == []


def test_nothing_scrolls_sideways_on_the_narrowest_screen(open_as, records: User) -> None:
    page = open_as(records, "/", width=320)
    wide = {}
    for address in addresses():
        page.goto(address)
        wide[address] = page.evaluate("document.documentElement.scrollWidth")
    assert {address: width for address, width in wide.items() if width > 320} == {}


def test_no_page_asks_the_books_more_than_thirty_times(client: Client, records: User, settings, tmp_path) -> None:
    settings.DATA_DIR = tmp_path
    client.force_login(records)
    asked, heavy = {}, heavy_pages(client)
    for address in (*addresses(), *heavy):
        with CaptureQueriesContext(connection) as queries:
            client.get(address)
        asked[address] = len(queries)
    assert {address: times for address, times in asked.items() if times > MOST_QUERIES} == {}
    assert "which is darker" in client.get(heavy[2]).content.decode()


def test_the_first_page_is_light(open_as, records: User) -> None:
    page = open_as(records, "/lots/")
    sizes: list[int] = []
    page.on("response", lambda answer: sizes.append(len(answer.body())))
    page.goto("/")
    page.wait_for_load_state("networkidle")
    assert sum(sizes) < FIRST_PAGE_KB * 1000, sizes


def _pictures(page, address: str, theme: str) -> None:
    folder = os.environ.get("HILUM_PICTURES")
    name = re.sub(r"[^a-z0-9]+", "-", address.casefold()).strip("-") or "home"
    for width in WIDTHS if folder else ():
        page.set_viewport_size({"width": width, "height": 768})
        page.screenshot(path=Path(folder) / f"{name}-{width}-{theme}.png", full_page=True)
