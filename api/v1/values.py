"""Values as programs read them: exact masses with their unit, instants in UTC with Z."""

import json
import re
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from inventory.actions.acting import UnkeptCharacter
from inventory.rules.mass import kg_text
from inventory.rules.mistakes import Refused
from inventory.rules.reading import UNKEPT

MassOut = dict[str, str]


def mass(mg: int | None) -> MassOut | None:
    """Write a mass [mg] as an exact decimal text in kilograms with its unit; nothing stays nothing."""
    return None if mg is None else {"value": kg_text(mg), "unit": "kg"}


def instant(moment: datetime | None) -> str | None:
    """Write an instant in UTC with Z (RFC 3339)."""
    return None if moment is None else moment.astimezone(UTC).isoformat().replace("+00:00", "Z")


def in_utc(facts: Mapping[str, Any]) -> dict[str, Any]:
    """Write the instants of what was booked as every other instant here is."""
    acts = [{**act, "at": instant(datetime.fromisoformat(act["at"]))} for act in facts["operations"]]
    return {**facts, "operations": acts}


def as_kept(sent: Any) -> Any:
    """Write what was sent as it is kept beside the books: plain JSON, exact numbers as text.

    Raises:
        Refused: a character that no database keeps is in it.
    """
    text = json.dumps(sent, default=str, ensure_ascii=False)
    if found := UNKEPT.search(text) or re.search(r"(?<!\\)(?:\\\\)*\\u0000", text):
        raise Refused([UnkeptCharacter("\0" if len(found[0]) > 1 else found[0])])
    return json.loads(text)
