"""The canonical text of an operation and the hash that chains it to the one before."""

import hashlib
import json
from collections.abc import Mapping
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

VERSION = 1


def canonical(content: Mapping[str, Any]) -> str:
    """Write content as JSON in exactly one way: sorted keys, no blanks, dates in ISO 8601, numbers exact.

    Raises:
        TypeError: a float or another type without one exact form is in it.
    """
    return json.dumps(_exact(content), sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def link_hash(previous: str, content: str) -> str:
    """Chain a content to the hash before it by SHA-256 (FIPS 180-4, 2015)."""
    return hashlib.sha256(f"{previous}\n{content}".encode()).hexdigest()


def fingerprint(value: Any) -> str:
    """Print what was asked, so that the same key with other content is noticed."""
    return hashlib.sha256(canonical({"asked": value}).encode()).hexdigest()


def _exact(value: Any) -> Any:
    if value is None or isinstance(value, bool | int | str):
        return value
    if isinstance(value, Mapping):
        return {str(key): _exact(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_exact(item) for item in value]
    if isinstance(value, datetime) and value.tzinfo:
        return value.astimezone(UTC).isoformat()
    if isinstance(value, datetime | date):
        return value.isoformat()
    if isinstance(value, Decimal | UUID):
        return str(value)
    raise TypeError(f"{value!r} has no one exact form: write it as text or as a whole number.")
