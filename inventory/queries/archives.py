"""The file of a backup: a zip with one text of JSON lines for each table and a list of contents with their hashes.

The same file restores on SQLite and on PostgreSQL: values are written as the models know them, not as an engine does.
"""

import base64
import hashlib
import json
import zipfile
import zlib
from collections.abc import Iterable, Iterator
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any
from uuid import UUID

from django.apps import apps
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder
from django.db.models import BinaryField, Model
from django.utils.duration import duration_iso_string

from inventory.rules.archives import Damaged, Manifest, NotABackup, TableCopy, read_manifest
from inventory.rules.mistakes import Mistake

CONTENTS = "contents.json"
_LEFT_OUT = ("sessions.Session",)  # who is signed in is nobody's data
OF_PLUGINS = "px_"  # what the names of plugins' tables and apps begin with
_ROWS_AT_ONCE, _FILES_AT_ONCE = 2_000, 16
UNREADABLE = (zipfile.BadZipFile, zlib.error, EOFError, OSError, ValueError, RuntimeError, NotImplementedError)


def copied_models() -> list[type[Model]]:
    """The models whose tables a backup holds: all of every app but sessions."""
    models = apps.get_models(include_auto_created=True)
    return [m for m in models if m._meta.managed and not m._meta.proxy and m._meta.label not in _LEFT_OUT]


def columns_of(model: type[Model]) -> tuple[str, ...]:
    """The columns of a table, by the names of its fields."""
    return tuple(field.attname for field in model._meta.concrete_fields)


def rows_at_once(model: type[Model]) -> int:
    """Say how many rows of a table are held in memory at once: few where a row holds a file."""
    return (
        _FILES_AT_ONCE
        if any(isinstance(field, BinaryField) for field in model._meta.concrete_fields)
        else _ROWS_AT_ONCE
    )


def applied_migrations() -> tuple[str, ...]:
    """The migrations of the apps here that this database has seen: two with the same ones have the same tables.

    Those of plugins that are off are left out, as their tables are, so that a backup restores without them.
    """
    here = {config.label for config in apps.get_app_configs()}
    applied = MigrationRecorder(connection).applied_migrations()
    return tuple(sorted(f"{app}.{name}" for app, name in applied if app in here or not app.startswith(OF_PLUGINS)))


def tables_left_out() -> tuple[str, ...]:
    """Name the tables of plugins that are off: no backup holds them."""
    copied = {model._meta.db_table for model in copied_models()}
    return tuple(sorted(name for name in _tables() if name.startswith(OF_PLUGINS) and name not in copied))


def _tables() -> list[str]:
    with connection.cursor() as cursor:
        return connection.introspection.table_names(cursor)


def write_table(archive: zipfile.ZipFile, model: type[Model]) -> TableCopy:
    """Write one table into a backup, in the order of its keys."""
    columns, rows, digest = columns_of(model), 0, hashlib.sha256()
    values = model._base_manager.order_by("pk").values_list(*columns)
    with archive.open(_entry_of(model._meta.db_table), "w", force_zip64=True) as out:
        for row in values.iterator(chunk_size=rows_at_once(model)):
            line = json.dumps([portable(value) for value in row], ensure_ascii=True, separators=(",", ":")) + "\n"
            out.write(line.encode())
            digest.update(line.encode())
            rows += 1
    return TableCopy(model._meta.db_table, columns, rows, digest.hexdigest())


def _entry_of(table: str) -> str:
    return f"tables/{table}.jsonl"


def portable(value: Any) -> Any:
    """Write a value as both engines read it: instants in UTC, bytes as base64, what has no form in JSON as text."""
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat() if value.tzinfo else value.isoformat()
    if isinstance(value, date | time):
        return value.isoformat()
    if isinstance(value, Decimal | UUID):
        return str(value)
    if isinstance(value, timedelta):
        return duration_iso_string(value)
    if isinstance(value, bytes | memoryview):
        return base64.b64encode(bytes(value)).decode("ascii")
    return value


class Archive:
    """A backup that was opened for reading."""

    def __init__(self, packed: zipfile.ZipFile, name: str) -> None:
        self._packed, self.name = packed, name
        self.manifest = self._contents()

    def models(self) -> list[type[Model]]:
        """The models whose tables it must hold."""
        return copied_models()

    def _contents(self) -> Manifest:
        try:
            return read_manifest(json.loads(self._packed.read(CONTENTS)), self.name)
        except KeyError as error:
            raise NotABackup(self.name) from error
        except (*UNREADABLE, RecursionError) as error:
            raise Damaged(self.name, "its list of contents") from error

    def check(self) -> None:
        """Read every table once and hold it against its hash, before anything is changed.

        Raises:
            Damaged: a byte is not as it was written.
        """
        for table in self.manifest.tables:
            digest, rows = hashlib.sha256(), 0
            for line in self._lines(table):
                digest.update(line)
                rows += 1
            if (digest.hexdigest(), rows) != (table.sha256, table.rows):
                raise Damaged(self.name, f"the table {table.name}")

    def rows(self, table: TableCopy) -> Iterator[list[Any]]:
        """Read the rows of a table."""
        for line in self._lines(table):
            try:
                row = json.loads(line)
            except (ValueError, RecursionError) as error:
                raise Damaged(self.name, f"the table {table.name}") from error
            if not isinstance(row, list) or len(row) != len(table.columns):
                raise Damaged(self.name, f"the table {table.name}")
            yield row

    def _lines(self, table: TableCopy) -> Iterable[bytes]:
        try:
            with self._packed.open(_entry_of(table.name)) as lines:
                yield from lines
        except (KeyError, *UNREADABLE) as error:
            raise Damaged(self.name, f"the table {table.name}") from error


def is_backup(file: Path) -> bool:
    """Say whether a file is a backup of ours, of any version and in any state."""
    try:
        with zipfile.ZipFile(file) as packed:
            return CONTENTS in packed.namelist()
    except (OSError, zipfile.BadZipFile, ValueError, Mistake):
        return False


def write_contents(archive: zipfile.ZipFile, manifest: Manifest) -> None:
    """Write the list of contents."""
    archive.writestr(CONTENTS, json.dumps(manifest.as_document(), indent=1))
