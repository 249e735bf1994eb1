"""How values stand in an answer: nothing empty, instants with zone, extra facts as texts, ids of what has no row."""

from collections.abc import Mapping
from datetime import UTC, date, datetime, time
from typing import Any
from uuid import UUID, uuid5

from inventory.rules import taxon

CROP = taxon.CROP  # one word for the crop at every address, since clients join by it
_MADE = UUID("6b1f6c0e-2f0b-5f6e-9a55-6f0c1d0f7c11")  # at random, once; the ids below hang on it


def without_empty(value: Any) -> Any:
    """Leave out what is None or an empty text, however deep: v2.1 knows no null. Empty lists stay."""
    if isinstance(value, Mapping):
        told = {str(key): without_empty(one) for key, one in value.items()}
        return {key: one for key, one in told.items() if one is not None and one not in ("", {})}
    if isinstance(value, list | tuple):
        return [without_empty(one) for one in value if one is not None]
    return value


def instant(moment: datetime | None) -> str | None:
    """Write an instant in UTC with milliseconds and its zone."""
    return moment.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z") if moment else None


def midnight(day: date | None) -> str | None:
    """Write a day where the standard wants an instant."""
    return instant(datetime.combine(day, time(0), UTC)) if day else None


def extra(**facts: Any) -> dict[str, str]:
    """Write additionalInfo: texts alone, nothing nested, nothing empty; yes and no as JSON spells them."""
    texts = {name: str(fact).lower() if isinstance(fact, bool) else str(fact) for name, fact in facts.items()}
    return {name: text for name, text in texts.items() if facts[name] is not None and text}


def references(*pairs: tuple[str, str]) -> list[dict[str, str]] | None:
    """Write externalReferences from pairs of source and id; None where there are none."""
    return [{"referenceSource": source, "referenceId": named} for source, named in pairs] or None


def made_id(*parts: object) -> str:
    """Make the id of something that has no row of its own, such as a season: the same parts, the same id.

    Args:
        parts: the key of the station first, so that ids of two stations differ; then a word for the kind.
    """
    return str(uuid5(_MADE, "/".join(map(str, parts))))
