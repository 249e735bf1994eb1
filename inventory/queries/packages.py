"""Everything as a Data Package: one zip with a table a file, described, and the same again read back.

Left out are sessions, keys for programs and other secrets, and the prints of passwords: a package goes to others. A
backup keeps them (`archives.py`).
"""

import csv
import hashlib
import io
import itertools
import json
import zipfile
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import IO, Any

from django.db.models import BinaryField, BooleanField, Field, ForeignKey, JSONField, Model

from inventory.queries.archives import (
    UNREADABLE,
    Archive,
    applied_migrations,
    columns_of,
    copied_models,
    portable,
    rows_at_once,
)
from inventory.queries.backing_up import book_states, written_whole
from inventory.queries.snapshots import one_snapshot
from inventory.queries.table_schemas import is_text, resource_of
from inventory.rules.archives import Damaged, Manifest, NotABackup, TableCopy
from inventory.rules.packages import (
    DESCRIPTOR,
    FILE,
    MOST_PACKED,
    SMALL,
    LeadsOutside,
    PacksTooWell,
    descriptor,
    path_of,
    read_descriptor,
    strange_names,
)

_ALSO_LEFT_OUT = ("inventory.WrongPassword",)
_EMPTIED = {"auth.User": ("password",)}
_NO_PASSWORD = "!"  # noqa: S105 - what Django keeps for an account that nobody can sign in with
_LONGEST_LINE = 64 * 1024 * 1024  # bytes; an act's whole text is one cell
_AT_ONCE = 1024 * 1024
_JPEG = b"\xff\xd8\xff"


def packed_models() -> list[type[Model]]:
    """The models whose tables a package holds; a model that says `is_secret` is left out, and what needs its rows."""
    models = [m for m in copied_models() if not getattr(m, "is_secret", False) and m._meta.label not in _ALSO_LEFT_OUT]
    while left := [model for model in models if any(_is_needed(key, models) for key in model._meta.concrete_fields)]:
        models = [model for model in models if model not in left]
    return models


def _is_needed(field: "Field[Any, Any]", models: Sequence[type[Model]]) -> bool:
    return isinstance(field, ForeignKey) and not field.null and field.related_model not in models


def pack(file: Path) -> Manifest:
    """Write everything as a Data Package; the file appears whole or not at all.

    Raises:
        Mistake: the file cannot be written, or would replace something else.
    """
    return written_whole(file, "Data Package", is_package, pack_into)


def pack_into(archive: zipfile.ZipFile) -> Manifest:
    """Write everything into an open zip, as it is at one moment."""
    models = packed_models()
    known = frozenset(models)
    with one_snapshot():
        files = {path: digest for model in models for path, digest in _write_files(archive, model).items()}
        copies = [_write(archive, model, known) for model in models]
        made_at = datetime.now(UTC).isoformat(timespec="seconds")
        manifest = Manifest(made_at, applied_migrations(), tuple(copies), book_states())
    tables = [
        {**resource_of(model, known), "hash": f"sha256:{copy.sha256}", "rows": copy.rows}
        for model, copy in zip(models, copies, strict=True)
    ]
    others = [
        {"name": digest, "path": path, "hash": f"sha256:{digest}", "mediatype": "image/jpeg"}
        for path, digest in files.items()
    ]
    said = descriptor(made_at, manifest.migrations, manifest.books, [*tables, *others])
    archive.writestr(DESCRIPTOR, json.dumps(said, indent=1, ensure_ascii=False))
    return manifest


def is_package(file: Path) -> bool:
    """Say whether a file is a Data Package, of whatever kind and in any state."""
    try:
        with zipfile.ZipFile(file) as packed:
            return DESCRIPTOR in packed.namelist()
    except (OSError, zipfile.BadZipFile, ValueError):
        return False


def _write_files(archive: zipfile.ZipFile, model: type[Model]) -> dict[str, str]:
    """Write what stands in a table as bytes, each as a file of its own: its path, and its SHA-256."""
    written: dict[str, str] = {}
    for field in (field for field in model._meta.concrete_fields if isinstance(field, BinaryField)):
        rows = model._base_manager.order_by("pk").values_list(field.attname, flat=True)
        for content in rows.iterator(chunk_size=rows_at_once(model)):
            path = _file_of(content)
            if path and path not in written:
                archive.writestr(path, bytes(content))
                written[path] = hashlib.sha256(content).hexdigest()
    return written


def _write(archive: zipfile.ZipFile, model: type[Model], packed: frozenset[type[Model]]) -> TableCopy:
    columns, rows, digest = columns_of(model), 0, hashlib.sha256()
    cells = [_cell_writer(model, field, packed) for field in model._meta.concrete_fields]
    values = model._base_manager.order_by("pk").values_list(*columns)
    with archive.open(path_of(model._meta.db_table), "w", force_zip64=True) as out:
        for line in itertools.chain([columns], values.iterator(chunk_size=rows_at_once(model))):
            row = line if line is columns else [cell(value) for cell, value in zip(cells, line, strict=True)]
            written = _as_line(row).encode()
            out.write(written)
            digest.update(written)
            rows += line is not columns
    return TableCopy(model._meta.db_table, columns, rows, digest.hexdigest())


def _as_line(row: Sequence[str]) -> str:
    """Write one line of CSV (RFC 4180)."""
    line = io.StringIO(newline="")
    csv.writer(line).writerow(row)
    return line.getvalue()


def _cell_writer(model: type[Model], field: "Field[Any, Any]", packed: frozenset[type[Model]]) -> Callable[[Any], str]:
    """Say how the cells of a column are written; nothing is an empty cell."""
    if field.attname in _EMPTIED.get(model._meta.label, ()) or (
        isinstance(field, ForeignKey) and field.related_model not in packed
    ):
        return lambda _value: ""
    if isinstance(field, BinaryField):
        return _file_of
    return _text_of


def _text_of(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict | list):
        return json.dumps(value, ensure_ascii=False, separators=(",", ":"))
    return str(portable(value)).replace("+00:00", "Z") if isinstance(value, datetime) else str(portable(value))


def _file_of(content: Any) -> str:
    if not content:
        return ""
    kind = "jpg" if bytes(content[:3]) == _JPEG else "bin"
    return f"files/{hashlib.sha256(content).hexdigest()}.{kind}"


class PackageArchive(Archive):
    """A Data Package of ours that was opened for reading."""

    def models(self) -> list[type[Model]]:
        """The models whose tables it must hold."""
        return packed_models()

    def _contents(self) -> Manifest:
        infos = {info.filename: info for info in self._packed.infolist()}
        for name, info in infos.items():
            if info.file_size > SMALL and info.file_size > MOST_PACKED * max(info.compress_size, 1):
                raise PacksTooWell(self.name, name, info.file_size)
        try:
            document = json.loads(self._packed.read(DESCRIPTOR))
        except KeyError as error:
            raise NotABackup(self.name) from error
        except (*UNREADABLE, RecursionError) as error:
            raise Damaged(self.name, "its description") from error
        manifest = read_descriptor(document, self.name)
        if strange := strange_names(self._packed.namelist(), [table.name for table in manifest.tables]):
            raise LeadsOutside(self.name, strange[0])
        return manifest

    def check(self) -> None:
        """Read every table and file once and hold each against its hash, before anything is changed.

        Raises:
            Damaged: a byte is not as it was written.
        """
        for table in self.manifest.tables:
            self._must_hash(path_of(table.name), table.sha256, f"the table {table.name}")
        for name in filter(FILE.fullmatch, self._packed.namelist()):
            self._must_hash(name, name.removeprefix("files/").partition(".")[0], name)

    def rows(self, table: TableCopy) -> Iterator[list[Any]]:
        """Read the rows of a table, as a backup has them."""
        model = next(model for model in self.models() if model._meta.db_table == table.name)
        emptied = _EMPTIED.get(model._meta.label, ())
        read = [self._cell_reader(field, emptied) for field in model._meta.concrete_fields]
        rows = 0
        for row in self._cells(table):
            if len(row) != len(read):
                raise Damaged(self.name, f"the table {table.name}")
            yield [cell(text) for cell, text in zip(read, row, strict=True)]
            rows += 1
        if rows != table.rows:
            raise Damaged(self.name, f"the table {table.name}")

    def _cell_reader(self, field: "Field[Any, Any]", emptied: Iterable[str]) -> Callable[[str], Any]:
        if field.attname in emptied:
            return lambda _text: _NO_PASSWORD
        if isinstance(field, BinaryField):
            return lambda text: self._bytes(text) if text else None
        if isinstance(field, BooleanField):
            return lambda text: {"true": True, "false": False, "": None}[text]
        if isinstance(field, JSONField):
            return lambda text: json.loads(text) if text else None
        return str if is_text(field) else lambda text: text or None

    def _cells(self, table: TableCopy) -> Iterator[list[str]]:
        before = csv.field_size_limit(_LONGEST_LINE)
        try:
            with self._packed.open(path_of(table.name)) as raw:
                lines = csv.reader(_lines(raw), strict=True)
                if tuple(next(lines, ())) != table.columns:
                    raise Damaged(self.name, f"the table {table.name}")
                yield from lines
        except (KeyError, csv.Error, UnicodeDecodeError, *UNREADABLE) as error:
            raise Damaged(self.name, f"the table {table.name}") from error
        finally:
            csv.field_size_limit(before)

    def _bytes(self, name: str) -> bytes:
        if not FILE.fullmatch(name):
            raise LeadsOutside(self.name, name)
        try:
            return self._packed.read(name)
        except (KeyError, *UNREADABLE) as error:
            raise Damaged(self.name, name) from error

    def _must_hash(self, name: str, sha256: str, where: str) -> None:
        digest = hashlib.sha256()
        try:
            with self._packed.open(name) as part:
                while chunk := part.read(_AT_ONCE):
                    digest.update(chunk)
        except (KeyError, *UNREADABLE) as error:
            raise Damaged(self.name, where) from error
        if digest.hexdigest() != sha256:
            raise Damaged(self.name, where)


def _lines(raw: IO[bytes]) -> Iterator[str]:
    """Read lines with their ends as they are, none of them without an end in sight.

    Raises:
        ValueError: a line is longer than any of ours.
    """
    text = io.TextIOWrapper(raw, encoding="utf-8", newline="")
    while line := text.readline(_LONGEST_LINE):
        if len(line) == _LONGEST_LINE:
            raise ValueError("a line without an end")
        yield line
