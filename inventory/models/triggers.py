"""Database triggers that refuse UPDATE and DELETE on everything written with an operation, and on lot and bag numbers.

SQLite drops a table's triggers when Django rebuilds the table, so they are laid again after every migrate
(`inventory/apps.py`). A data migration that must touch these tables lifts and lays them in one named operation.
"""

from collections.abc import Iterator
from contextlib import contextmanager

from django.apps import apps
from django.db import models
from django.db.backends.base.base import BaseDatabaseWrapper

SAYS = "The ledger is append-only: reverse the act instead of changing it."


def append_only_models() -> list[type[models.Model]]:
    """List the models whose rows are written with an operation and never changed, of all installed apps."""
    return [model for model in apps.get_models() if getattr(model, "written_with_operation", False)]


def guarded_models() -> list[type[models.Model]]:
    """List the models whose rows are never changed: those written with an operation, and the numbers they stand on."""
    return [*append_only_models(), *(model for model in apps.get_models() if getattr(model, "never_changed", False))]


def lay(connection: BaseDatabaseWrapper) -> None:
    """Lay the triggers on every append-only table that exists; laying twice changes nothing."""
    existing = set(connection.introspection.table_names())
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(_PG_FUNCTION)
        for table in _tables():
            if table in existing:
                for statement in _lay_statements(connection.vendor, table):
                    cursor.execute(statement)


def lift(connection: BaseDatabaseWrapper) -> None:
    """Take the triggers off: for a test database's flush and for named data migrations only."""
    existing = set(connection.introspection.table_names())
    with connection.cursor() as cursor:
        for table in _tables():
            if table in existing:
                for statement in _lift_statements(connection.vendor, table):
                    cursor.execute(statement)


@contextmanager
def lifted(connection: BaseDatabaseWrapper) -> Iterator[None]:
    """Take the triggers off and lay them again whatever happens."""
    lift(connection)
    try:
        yield
    finally:
        lay(connection)


def _tables() -> list[str]:
    return [model._meta.db_table for model in guarded_models()]


_PG_FUNCTION = f"""
CREATE OR REPLACE FUNCTION hilum_append_only() RETURNS trigger AS $$
BEGIN RAISE EXCEPTION '{SAYS}' USING ERRCODE = 'restrict_violation'; END $$ LANGUAGE plpgsql
"""


def _lay_statements(vendor: str, table: str) -> list[str]:
    if vendor == "postgresql":
        return [
            f"CREATE OR REPLACE TRIGGER append_only_row BEFORE UPDATE OR DELETE ON {table} "
            "FOR EACH ROW EXECUTE FUNCTION hilum_append_only()",
            f"CREATE OR REPLACE TRIGGER append_only_table BEFORE TRUNCATE ON {table} "
            "FOR EACH STATEMENT EXECUTE FUNCTION hilum_append_only()",
        ]
    return [
        f"CREATE TRIGGER IF NOT EXISTS {table}_no_{verb.lower()} BEFORE {verb} ON {table} "
        f"BEGIN SELECT RAISE(ABORT, '{SAYS}'); END"
        for verb in ("UPDATE", "DELETE")
    ]


def _lift_statements(vendor: str, table: str) -> list[str]:
    if vendor == "postgresql":
        return [f"DROP TRIGGER IF EXISTS append_only_{level} ON {table}" for level in ("row", "table")]
    return [f"DROP TRIGGER IF EXISTS {table}_no_{verb}" for verb in ("update", "delete")]
