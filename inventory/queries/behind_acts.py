"""Where an act's numbers come from: the words as they were typed, and the sheet's cells they were read from."""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from inventory.models import Operation


@dataclass(frozen=True)
class Origin:
    """The source of an act.

    Args:
        typed: (name, as typed) in the order in which the form asks.
        cells: (cell, what stood there), where it came from a sheet.
        load, file, sheet, rows: of that sheet; "" and none else.
    """

    typed: tuple[tuple[str, str], ...]
    cells: tuple[tuple[str, str], ...] = ()
    load: str = ""
    file: str = ""
    sheet: str = ""
    rows: tuple[int, ...] = ()


def origin_of(act: Operation) -> Origin:
    """Read an act's origin from its own text (1 query where it was loaded)."""
    facts: Mapping[str, Any] = json.loads(act.content).get("facts", {})
    source: Mapping[str, Any] = facts.get("source") or {}
    return Origin(
        typed=tuple(_lines(facts.get("typed") or {})),
        cells=tuple((str(cell), str(value)) for cell, value in (source.get("cells") or {}).items()),
        load=str(act.load or ""),
        file=act.load.file_name if act.load else "",
        sheet=str(source.get("sheet", "")),
        rows=tuple(source.get("rows", ())),
    )


def _lines(typed: Mapping[str, Any], before: str = "") -> Iterator[tuple[str, str]]:
    for name, value in typed.items():
        words = f"{before}{name.replace('_', ' ')}"
        if isinstance(value, Mapping):
            yield from _lines(value, f"{words}, ")
        elif value not in (None, "", [], ()):
            yield words, _text(value)


def _text(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Mapping):
        return ", ".join(f"{name} {_text(each)}" for name, each in value.items() if each not in (None, ""))
    return "; ".join(map(_text, value)) if isinstance(value, list) else str(value)
