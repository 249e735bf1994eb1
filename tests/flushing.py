"""Lets a transactional test empty append-only tables: their triggers refuse DELETE and, on PostgreSQL, TRUNCATE."""

from collections.abc import Callable
from typing import Any, Protocol

from django.db import connections


class Triggers(Protocol):
    """What `inventory.models.triggers` offers; laying twice is as good as once."""

    def lift(self, connection: Any) -> None: ...
    def lay(self, connection: Any) -> None: ...


def without_triggers(flush: Callable[[Any], None], triggers: Triggers) -> Callable[[Any], None]:
    """Wrap a test case's flush: lift the triggers before it and lay them again, whatever it does."""

    def flush_without_triggers(case: Any) -> None:
        used = [connections[alias] for alias in case.databases]
        for connection in used:
            triggers.lift(connection)
        try:
            flush(case)
        finally:
            for connection in used:
                triggers.lay(connection)

    return flush_without_triggers
