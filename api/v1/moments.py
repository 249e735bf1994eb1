"""Moments that programs send: a program may stand in any zone, so that a time without one could be any of several."""

import re
from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any

from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.reading import quoted

_DAY_AND_MORE = re.compile(r"\s*\d{4}-?\d{2}-?\d{2}[T ]\s*\d", re.ASCII | re.IGNORECASE)


class ZoneMissing(Mistake):
    """A time without its zone, or one that is none."""

    code = "zone_missing"

    def __init__(self, typed: str, field: str) -> None:
        says = "Give an instant with its zone, such as 2024-09-24T08:00:00Z, or only the day, such as 2024-09-24."
        super().__init__(f"{field} reads {quoted(typed[:60])}. {says}", field=field)


def refuse_unzoned(words: Mapping[str, Any]) -> None:
    """Refuse words in which a moment, `at` or `…_at`, has a time and no zone; days and what people type pass.

    Raises:
        Refused: each of them.
    """
    mistakes = [ZoneMissing(text, field) for field, text in _moments(words) if _is_unzoned(text)]
    if mistakes:
        raise Refused(mistakes)


def _moments(words: Any, where: str = "") -> Iterator[tuple[str, str]]:
    """Find moments at any depth; what is nested deeper than any act is refused by its own reader."""
    for name, value in words.items() if isinstance(words, Mapping) else enumerate(words, start=1):
        field = f"{where}{name}"
        if isinstance(value, str) and (name == "at" or str(name).endswith("_at")):
            yield field, value
        elif isinstance(value, Mapping | list) and field.count(".") < 5:
            yield from _moments(value, f"{field}.")


def _is_unzoned(text: str) -> bool:
    if not _DAY_AND_MORE.match(text):
        return False
    try:
        return datetime.fromisoformat(text.strip()).tzinfo is None
    except ValueError:
        return True
