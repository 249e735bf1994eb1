"""The addresses of the committed description with the examples that stand in it, as tests ask them."""

from typing import Any

import yaml

from api.pages import DOCUMENT
from api.v1.shelves import SHELVES
from tests.api.asking import Program

COMMITTED: dict[str, Any] = yaml.safe_load(DOCUMENT.read_text(encoding="utf-8"))
PATHS: dict[str, dict[str, Any]] = COMMITTED["paths"]
_NAMED_BY = {shelf.name: shelf.named_by for shelf in SHELVES}
WORKED_OUT = ("/api/v1/figures", "/api/v1/outcome")  # posted because it is long; nothing is kept
# Lists that are empty on the demo season, until the examples of acts are done; the last three also then.
EMPTY_IN_THE_SEASON = tuple(
    f"/api/v1/{name}/"
    for name in (
        "treatments", "pollinations", "purity-tests", "health-tests", "variety-tests", "trays", "file-samples",
        "card-judgements", "seed-limits", "weather", "plot-stages", "feedback", "labels", "plants",
        "photos", "measurements", "senders",
    )
)  # fmt: skip
NEVER_THERE = EMPTY_IN_THE_SEASON[-3:]
_NAMED_BY_KEY = [
    shelf.name for shelf in SHELVES if shelf.named_by == "id" and shelf.name != "sheets"
]  # rows that have no name but their key


def address_of(path: str) -> str:
    """Fill an address with the examples of its parts and of the parameters it cannot do without."""
    methods = PATHS[path]
    told = methods.get("get") or next(iter(methods.values()))
    for one in told.get("parameters", ()):
        if one["in"] == "path":
            path = path.replace(f"{{{one['name']}}}", str(one.get("example")))
    return path + _query(methods.get("get", {}))


def address_for(who: Program, path: str) -> str:
    """Fill an address as `who` would: rows without a name by one that is there, as keys count on between tests."""
    kind = path.removeprefix("/api/v1/").partition("/")[0]
    named_by = _NAMED_BY.get(kind, "") if path.startswith(EMPTY_IN_THE_SEASON) or kind in _NAMED_BY_KEY else ""
    if "{name}" in path and named_by:
        for row in who.get(f"/api/v1/{kind}?limit=1")["results"]:
            return path.replace("{name}", str(row[named_by]))
    return address_of(path)


def send_example(who: Program, address: str, told: dict[str, Any], method: str) -> Any:
    """Send the example of a write with the example of each header that it needs."""
    needed = [one for one in told["parameters"] if one["in"] == "header" and one.get("required")]
    headers = {one["name"].replace("-", "_"): one["example"] for one in needed}
    key = headers.pop("Idempotency_Key", "")
    content = told.get("requestBody", {}).get("content", {}).get("application/json", {})
    return who.send(address, content.get("example", ""), key, method, **headers)


def body_of(answer: Any) -> bytes:
    """Read an answer whole, also one that streams."""
    return b"".join(answer.streaming_content) if answer.streaming else bytes(answer.content)


def only_asks(path: str) -> bool:
    """Say whether a post to an address keeps nothing."""
    return path.startswith(WORKED_OUT) or path.endswith("/outcome")


def _query(told: dict[str, Any]) -> str:
    needed = [one for one in told.get("parameters", ()) if one["in"] == "query" and one.get("required")]
    said = "&".join(f"{one['name']}={one.get('example') or one['schema']['enum'][0]}" for one in needed)
    return f"?{said}" if said else ""
