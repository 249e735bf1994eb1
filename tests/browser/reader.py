"""A reader in keyboard mode: key events with times of their own, so that a busy computer does not slow it."""

import time

from playwright.sync_api import Page

GAP = 0.005  # seconds between two signs
HAND = 120  # ms from a key to the reader: a test types and scans quicker than any hand, and that would be one burst


def scan(page: Page, code: str) -> None:
    """Type a code as a reader does, with Enter behind."""
    page.wait_for_timeout(HAND)
    door = page.context.new_cdp_session(page)
    start = time.time()
    for place, sign in enumerate(code):
        key = {"type": "keyDown", "key": sign, "text": sign, "timestamp": start + place * GAP}
        door.send("Input.dispatchKeyEvent", key)
        door.send("Input.dispatchKeyEvent", {**key, "type": "keyUp"})
    enter = {"key": "Enter", "code": "Enter", "text": "\r", "windowsVirtualKeyCode": 13}
    door.send("Input.dispatchKeyEvent", {"type": "keyDown", **enter, "timestamp": start + len(code) * GAP})
    door.detach()
