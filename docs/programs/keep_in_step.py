"""A program of your own: read a list page by page, book an act that is safe to send twice, and keep in step.

Python alone, no packages. HILUM_URL is the address of the site, HILUM_KEY a key from the page Connections:

    HILUM_URL=http://127.0.0.1:8000 HILUM_KEY=hilum_… python docs/programs/keep_in_step.py 24-0016-5 A-05
"""

import json
import os
import sys
import time
import urllib.error
import urllib.request
import uuid
from collections.abc import Iterator
from typing import Any

SITE = os.environ.get("HILUM_URL", "http://127.0.0.1:8000")
KEY = os.environ.get("HILUM_KEY", "")
TRIES = 5


def ask(address: str, body: dict[str, Any] | None = None, once: str = "") -> Any:
    """Get an address, or post a body; a lost answer is asked for again with the same Idempotency-Key."""
    url = address if address.startswith("http") else f"{SITE}{address}"
    headers = {"Authorization": f"Bearer {KEY}", "Content-Type": "application/json"}
    if once:
        headers["Idempotency-Key"] = once
    sent = None if body is None else json.dumps(body).encode()
    for attempt in range(TRIES):
        try:
            with urllib.request.urlopen(urllib.request.Request(url, sent, headers), timeout=30) as answer:
                return json.load(answer)
        except urllib.error.HTTPError as problem:
            if problem.code not in (429, 502, 503):  # everything else is told in a sentence and will not go away
                raise SystemExit(json.load(problem)["detail"]) from None
            time.sleep(int(problem.headers.get("Retry-After") or 2**attempt))
        except OSError:
            time.sleep(2**attempt)
    raise SystemExit(f"{url} did not answer {TRIES} times. Is the site there?")


def rows(address: str) -> Iterator[dict[str, Any]]:
    """Read a list whole: each page names the next one."""
    following: str | None = address
    while following:
        page = ask(following)
        yield from page["results"]
        following = page["next"]


def main(lot: str, place: str) -> None:
    """Say what is in store, move a lot, and tell what that changed."""
    print(f"{len(list(rows('/api/v1/stock?limit=20')))} rows of stock")
    before = [act["seq"] for act in follow(0)][-1]
    booked = ask("/api/v1/acts/move", {"lot": lot, "to": place}, once=str(uuid.uuid4()))
    print(f"moved: act {booked['operations'][0]['number']}")
    for act in follow(before):
        print(f"{act['seq']} {act['kind']} by {act['by']}")


def follow(after: int) -> Iterator[dict[str, Any]]:
    """Read all acts behind a number; keep the last one's, and ask again from there."""
    page = ask(f"/api/v1/changes?after={after}")
    yield from page["results"]
    while page["more"]:
        page = ask(page["next"])
        yield from page["results"]


if __name__ == "__main__":
    main(*sys.argv[1:3])
