"""What every program of your own needs: lists page by page, acts that are safe to send twice, problems to read.

Copy it beside your program. Python alone, no packages. HILUM_URL is the address of the site, HILUM_KEY a key from the
page Connections.

    from hilum_client import Stopped, act, ask, rows
    navy = list(rows("lots", **{"class": "navy", "left__gte": "100"}))
    act("move", {"lot": "24-0016-5", "to": "A-05"})
"""

import json
import os
import time
import urllib.error
import urllib.parse
import urllib.request
import uuid
from collections.abc import Iterator, Mapping
from typing import Any

SITE = os.environ.get("HILUM_URL", "http://127.0.0.1:8000").rstrip("/")
KEY = os.environ.get("HILUM_KEY", "")
TRIES = 5
AGAIN = (429, 502, 503, 504)  # everything else is told in a sentence and will not go away


class Stopped(Exception):  # noqa: N818 - it is an answer, not a fault
    """The site refused, or asks something: branch on `code` or those of `errors`, never on the sentence."""

    def __init__(self, status: int, problem: Mapping[str, Any]) -> None:
        super().__init__(problem.get("detail") or f"The site answered {status}.")
        self.status, self.code = status, problem.get("code", "")
        self.errors: list[dict[str, Any]] = problem.get("errors", [])

    @property
    def asks(self) -> dict[str, str]:
        """What goes through once a person says why: code -> sentence; send those codes as `answers` of `act`."""
        return {one["code"]: one["detail"] for one in self.errors if one.get("answer")} if self.status == 409 else {}


def ask(address: str, body: Any = None, *, method: str = "", **headers: str) -> Any:
    """Get an address, or send a body; a lost answer is asked for again with the same headers.

    Args:
        headers: further ones, their hyphens as underscores: if_match="…".
    """
    url = address if address.startswith("http") else f"{SITE}{address}"
    told = {"Authorization": f"Bearer {KEY}", "Accept": "application/json"}
    told |= {name.replace("_", "-"): value for name, value in headers.items()}
    sent = None if body is None else body if isinstance(body, bytes) else json.dumps(body).encode()
    told.setdefault("Content-Type", "application/json") if sent is not None else None
    wanted = urllib.request.Request(url, sent, told, method=method or ("GET" if sent is None else "POST"))
    for attempt in range(TRIES):
        is_last = attempt == TRIES - 1
        try:
            with urllib.request.urlopen(wanted, timeout=30) as answer:
                return json.loads(answer.read() or b"null")
        except urllib.error.HTTPError as refused:
            if refused.code not in AGAIN or is_last:
                raise Stopped(refused.code, _problem(refused)) from None
            time.sleep(int(refused.headers.get("Retry-After") or 2**attempt))
        except OSError as lost:
            if is_last:
                raise Stopped(0, {"detail": f"{url} did not answer {TRIES} times: {lost}"}) from None
            time.sleep(2**attempt)
    return None


def rows(name: str, **filters: Any) -> Iterator[dict[str, Any]]:
    """Read a list whole: each page names the next one. Filters are those that /api/docs names for the list."""
    following: str | None = f"/api/v1/{name}?{urllib.parse.urlencode(filters)}"
    while following:
        page = ask(following)
        yield from page["results"]
        following = page["next"]


def acts_after(number: int) -> Iterator[dict[str, Any]]:
    """Read all acts behind a number, in their order; keep the last one's `seq`, and ask again from there."""
    page = ask(f"/api/v1/changes?after={number}")
    yield from page["results"]
    while page["more"]:
        page = ask(page["next"])
        yield from page["results"]


def act(verb: str, words: Mapping[str, Any], *, answers: Mapping[str, str] | None = None, once: str = "") -> Any:
    """Book an act: `GET /api/v1/acts` names them with their fields.

    Args:
        answers: code of a question -> why to go on, after `Stopped.asks`.
        once: its Idempotency-Key. One that you keep beside the act makes it safe to send again after your own
            program was stopped: it is done once, whatever happens.
    """
    body = {**words, **({"answers": dict(answers)} if answers else {})}
    address = f"/api/v1/acts/{verb.replace(' ', '-')}"
    return ask(address, body, Idempotency_Key=once or str(uuid.uuid4()))


def _problem(refused: urllib.error.HTTPError) -> dict[str, Any]:
    try:
        told = json.load(refused)
    except ValueError:  # not from the site: a proxy between
        return {"detail": f"{refused.code} {refused.reason}"}
    return told if isinstance(told, dict) else {}
