"""What every page owes every person: no serious fault of access, nothing that scrolls sideways, no bare None."""

import re
from collections.abc import Iterator, Sequence

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

SERIOUS = ("serious", "critical")


# What a dark theme can change: the same page stands in it, in other colours.
COLOURS = ("color-contrast", "link-in-text-block")


def faults(page: Page, address: str, widths: Sequence[int] = (), *, colours_alone: bool = False) -> list[str]:
    """Open a page and name what stands in somebody's way on it.

    Args:
        page: where somebody is signed in; its theme is the one that is looked at.
        address: a path of the site.
        widths: of the screens it is looked at [px]; the page's own alone where none is named.
        colours_alone: look at colours and widths; all else was looked at in the other theme.
    """
    answer = page.goto(address)
    if answer is None or answer.status >= 400:
        return [f"{address}: answers {answer.status if answer else 'nothing'}"]
    size = page.viewport_size or {"width": 0, "height": 768}
    found = []
    for width in widths or (size["width"],):
        page.set_viewport_size({"width": width, "height": size["height"]})
        found += _faults_at(page, address, width, COLOURS if colours_alone else ())
    if re.search(r"\bNone\b(?! found)", page.inner_text("body")):
        found.append(f"{address}: prints a bare None")
    return found


def _faults_at(page: Page, address: str, width: int, rules: Sequence[str]) -> Iterator[str]:
    asked = {"resultTypes": ["violations"], **({"runOnly": list(rules)} if rules else {})}
    for one in Axe().run(page, options=asked).response["violations"]:
        if one["impact"] in SERIOUS:
            yield f"{address} at {width} px: {one['id']} at {one['nodes'][0]['html'][:160]}"
    if (wide := page.evaluate("document.documentElement.scrollWidth")) > width:
        yield f"{address}: {wide} px wide on a screen of {width}"
