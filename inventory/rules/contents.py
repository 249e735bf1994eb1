"""Read an operation's canonical text again, and say nothing about one that does not have its shape."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

_LARGEST = 2**63 - 1  # what a whole number in the database can be
_ENTRY = (int | None, int | None, int, str, str, int)
_LINK = (int, int, int, int, bool, bool)


@dataclass(frozen=True)
class Content:
    """The text of an operation, read: columns beside entries, links and rows."""

    columns: Mapping[str, Any]
    entries: Sequence[Sequence[Any]]
    links: Sequence[Sequence[Any]]
    rows: Sequence[tuple[str, Mapping[str, Any]]]
    facts: Mapping[str, Any]
    lots: Mapping[int, tuple[str, str]]  # the lots that were made: their numbers and uids

    @property
    def lot_ids(self) -> list[int]:
        """The lots that a hold or a lifting names."""
        named = self.facts.get("lot_ids", [])
        return [key for key in named if _is_whole(key)] if isinstance(named, list) else []


def read_content(text: str) -> Content | None:
    """Read a canonical text; None where it is no JSON or not of our shape, which somebody must have changed."""
    try:
        read = json.loads(text)
    except (ValueError, RecursionError):
        return None
    if not isinstance(read, dict) or not _is_ours(read):
        return None
    rows = [(label, columns) for label, columns in read["rows"]]
    lots = {int(key): (number, uid) for key, (number, uid) in read.get("lots", {}).items()}
    return Content(read, read["entries"], read["links"], rows, read["facts"], lots)


def _is_ours(read: Mapping[str, Any]) -> bool:
    lists = [read.get(name) for name in ("entries", "links", "rows")]
    if not all(isinstance(part, list) and all(isinstance(row, list) for row in part) for part in lists):
        return False
    return (
        isinstance(read.get("facts"), dict)
        and _are_lots(read.get("lots", {}))
        and all(_fits(row, _ENTRY) for row in read["entries"])
        and all(_fits(row, _LINK) for row in read["links"])
        and all(len(row) == 2 and isinstance(row[0], str) and isinstance(row[1], dict) for row in read["rows"])
        and all(_names_its_lot(*row) for row in read["rows"])
    )


def _fits(row: Sequence[Any], kinds: Sequence[Any]) -> bool:
    return len(row) == len(kinds) and all(
        isinstance(cell, kind) and (not isinstance(cell, int) or abs(cell) <= _LARGEST)
        for cell, kind in zip(row, kinds, strict=True)
    )


def _are_lots(lots: Any) -> bool:
    return isinstance(lots, dict) and all(
        key.isdecimal() and int(key) <= _LARGEST and isinstance(row, list) and _fits(row, (str, str))
        for key, row in lots.items()
    )


def _names_its_lot(label: str, columns: Mapping[str, Any]) -> bool:
    """What the fold reads of a row: an identity or a treatment is of a lot."""
    return label not in ("inventory.Identity", "inventory.Treatment") or _is_whole(columns.get("lot_id"))


def _is_whole(value: Any) -> bool:
    return isinstance(value, int) and abs(value) <= _LARGEST
