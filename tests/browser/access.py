"""What every page owes every person: no serious fault of access, nothing that scrolls sideways, no bare None."""

import re

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

SERIOUS = ("serious", "critical")


def faults(page: Page, address: str) -> list[str]:
    """Open a page and name what stands in somebody's way on it.

    Args:
        page: where somebody is signed in; its width and theme are those that are looked at.
        address: a path of the site.
    """
    answer = page.goto(address)
    if answer is None or answer.status >= 400:
        return [f"{address}: answers {answer.status if answer else 'nothing'}"]
    found = [
        f"{address}: {one['id']} at {one['nodes'][0]['html'][:160]}"
        for one in Axe().run(page).response["violations"]
        if one["impact"] in SERIOUS
    ]
    width = page.viewport_size["width"] if page.viewport_size else 0
    if (wide := page.evaluate("document.documentElement.scrollWidth")) > width:
        found.append(f"{address}: {wide} px wide on a screen of {width}")
    if re.search(r"\bNone\b(?! found)", page.inner_text("body")):
        found.append(f"{address}: prints a bare None")
    return found
