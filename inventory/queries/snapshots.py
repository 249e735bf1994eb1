"""Read the books at one moment, while others go on writing."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection, transaction


@contextmanager
def one_snapshot() -> Iterator[None]:
    """Let every read inside see the same moment and keep no writer waiting; inside a transaction it adds nothing."""
    if connection.in_atomic_block or _is_reading():
        yield
    elif connection.vendor == "postgresql":
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
            yield
    else:
        with _deferred():
            yield


def _is_reading() -> bool:
    """Say whether SQLite is inside a snapshot already; Django does not know of the one that we began."""
    return connection.vendor == "sqlite" and connection.connection is not None and connection.connection.in_transaction


@contextmanager
def _deferred() -> Iterator[None]:
    """SQLite's own BEGIN: Django's takes the write lock, because our acts need it at once."""
    with connection.cursor() as cursor:
        cursor.execute("BEGIN DEFERRED")
    try:
        yield
    finally:
        with connection.cursor() as cursor:
            cursor.execute("ROLLBACK")
