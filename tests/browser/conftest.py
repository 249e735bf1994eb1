"""A real browser for tests: the system's Chromium, found by its path; a person signed in at a live server."""

import os
import shutil
from collections.abc import Callable, Iterator

import pytest
from django.contrib.auth.models import User
from playwright.sync_api import Browser, Page, sync_playwright

# The browser's own loop runs in this thread, and Django would refuse its database beside it.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
NAMES = ("chromium", "chromium-browser", "google-chrome")
PASSWORD = "beans-and-more"  # of accounts that live as long as a test
Open = Callable[..., Page]


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Start the system's Chromium once."""
    path = next((found for name in NAMES if (found := shutil.which(name))), None)
    if path is None:
        pytest.skip(f"no browser: none of {', '.join(NAMES)} is on PATH")
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=path, args=["--no-sandbox"])
        yield started
        started.close()


@pytest.fixture
def open_as(browser: Browser, live_server) -> Iterator[Open]:
    """Give a page of the live server on which somebody is signed in: `open_as(user, "/lots/", width=360)`."""
    contexts = []

    def open_(user: User, address: str = "/", *, width: int = 1366, height: int = 768, dark: bool = False) -> Page:
        user.set_password(PASSWORD)
        user.save()
        context = browser.new_context(
            base_url=live_server.url, viewport={"width": width, "height": height},
            color_scheme="dark" if dark else "light", reduced_motion="reduce",
        )  # fmt: skip
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(10_000)
        page.goto(f"/sign-in/?next={address}")
        page.fill("input[name=username]", user.username)
        page.fill("input[name=password]", PASSWORD)
        page.click("main button")
        page.wait_for_url(lambda url: "/sign-in/" not in url)
        return page

    yield open_
    for context in contexts:
        context.close()
