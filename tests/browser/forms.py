"""Fill a form as a hand does and save it by its key."""

from playwright.sync_api import Page


def fill(page: Page, **fields: str) -> None:
    """Fill fields by their names; a double underscore stands for the dot between the parts of one."""
    for name, value in fields.items():
        page.locator(f"[name='{name.replace('__', '.')}']").first.fill(value)


def save(page: Page, address: str = "", *, reason: str = "", **fields: str) -> str:
    """Open a form, fill it, save it by F2, and give the words of the page that answers."""
    if address:
        page.goto(address)
    # What is folded away is filled in like the rest.
    page.evaluate("document.querySelectorAll('main details').forEach((one) => { one.open = true; })")
    fill(page, **fields)
    if reason:
        page.locator("#reason").first.fill(reason)
    with page.expect_navigation():
        page.keyboard.press("F2")
    return page.inner_text("main")
