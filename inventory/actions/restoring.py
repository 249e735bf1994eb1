"""Restore a backup or a Data Package: everything in the database is replaced by it, or nothing is changed.

This is no act in the books: whoever may run commands on the server does it, and the books come back as they were.
"""

import itertools
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from django.contrib.contenttypes.models import ContentType
from django.core.exceptions import ValidationError
from django.core.management.color import no_style
from django.db import DataError, IntegrityError, OperationalError, connection, transaction
from django.db.models import Field, Model

from inventory.models import Operation
from inventory.models.triggers import lay, lift
from inventory.queries.archives import Archive, applied_migrations, columns_of, copied_models, rows_at_once
from inventory.queries.backing_up import book_states
from inventory.queries.opening import opened
from inventory.rules.archives import Damaged, HoldsBooks, InUse, Manifest, NotTheSame, OtherTables, TableCopy


def restore(file: Path, *, replace: bool = False) -> Manifest:
    """Restore a backup or a package, and prove that the books stand as they stood when it was made.

    Args:
        replace: wipe out the acts that this database holds.

    Raises:
        Mistake: the file cannot be used, or this database holds acts; nothing was changed then.
    """
    with opened(file) as archive:
        archive.check()
        _must_fit(archive)
        try:
            with transaction.atomic(durable=True):
                _must_be_free(replace=replace)
                _replace_all(archive)
        except (IntegrityError, DataError, ValidationError, TypeError, ValueError, KeyError, OverflowError) as error:
            raise Damaged(archive.name, "one of its rows") from error
        except OperationalError as error:
            raise InUse from error
        return archive.manifest


def _must_fit(archive: Archive) -> None:
    ours = {model._meta.db_table: columns_of(model) for model in archive.models()}
    theirs = {table.name: table.columns for table in archive.manifest.tables}
    applied = applied_migrations()
    if applied != archive.manifest.migrations:
        raise OtherTables(archive.name, archive.manifest.migrations, applied)
    if theirs != ours:
        raise OtherTables(archive.name, _written_out(theirs), _written_out(ours))


def _written_out(tables: dict[str, tuple[str, ...]]) -> list[str]:
    return [f"{table}.{column}" for table, columns in tables.items() for column in columns]


def _must_be_free(*, replace: bool) -> None:
    if not replace and (acts := Operation.objects.count()):
        raise HoldsBooks(acts)


def _replace_all(archive: Archive) -> None:
    """Replace every row; the transaction takes the triggers back too if anything fails."""
    lift(connection)
    models = {model._meta.db_table: model for model in copied_models()}
    with connection.cursor() as cursor:
        for table in models:
            cursor.execute(f"DELETE FROM {connection.ops.quote_name(table)}")
    for copy in archive.manifest.tables:
        _insert(models[copy.name], copy, archive.rows(copy))
    connection.check_constraints()
    _reset_counters(list(models.values()))
    lay(connection)
    ContentType.objects.clear_cache()
    _must_stand_the_same(archive)


def _must_stand_the_same(archive: Archive) -> None:
    now = {books.station: books for books in book_states()}
    then = {books.station: books for books in archive.manifest.books}
    for station in sorted(now.keys() | then.keys()):
        if now.get(station) != then.get(station):
            raise NotTheSame(archive.name, station)


def _insert(model: type[Model], table: TableCopy, rows: Iterable[list[Any]]) -> None:
    """Write rows the quick way of each engine: COPY on PostgreSQL, many at once on SQLite."""
    fields = [field for name in table.columns for field in model._meta.concrete_fields if field.attname == name]
    quote = connection.ops.quote_name
    into = f"{quote(table.name)} ({', '.join(quote(str(field.column)) for field in fields)})"
    kept = (_as_kept(fields, row) for row in rows)
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            with connection.wrap_database_errors, cursor.copy(f"COPY {into} FROM STDIN") as copy:
                for row in kept:
                    copy.write_row(row)
            return
        statement = f"INSERT INTO {into} VALUES ({', '.join(['%s'] * len(fields))})"
        while some := list(itertools.islice(kept, rows_at_once(model))):
            cursor.executemany(statement, some)


def _as_kept(fields: Sequence["Field[Any, Any]"], row: Sequence[Any]) -> list[Any]:
    return [
        field.get_db_prep_save(field.to_python(value), connection) for field, value in zip(fields, row, strict=True)
    ]


def _reset_counters(models: Sequence[type[Model]]) -> None:
    """Let PostgreSQL's sequences go on after the highest restored key; SQLite's do by themselves."""
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), models):
            cursor.execute(statement)
