"""Everything as a Data Package: described, valid by an outside reader, and loaded back the same; or refused."""

import csv
import hashlib
import io
import json
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command

from grading.models import PhotoBytes
from inventory.models import ChainHead, Place
from inventory.queries.archives import copied_models
from inventory.queries.packages import packed_models
from inventory.queries.verifying import verify
from tests.grading.importing.test_photos import picture
from tests.inventory.books import small_season
from tests.inventory.copying import all_rows, refused, rewritten, wrong_in_package
from tests.make import House, received

pytestmark = pytest.mark.django_db
SOURCE = "frictionless 5 for Python: Data Package and Table Schema, Frictionless Data"
Parts = dict[str, bytes]


@pytest.fixture
def plant() -> House:
    plant = small_season()
    photo = picture()
    PhotoBytes.objects.create(sha256=hashlib.sha256(photo).hexdigest(), content=photo)
    words = 'a "name", with\r\nlines, =1+1, \u2028 and ünïcode'
    Place.objects.create(station=plant.station, code="X-1", name=words)
    return plant


@pytest.fixture
def file(tmp_path: Path, plant: House) -> Path:
    call_command("package", str(tmp_path / "all.zip"))
    return tmp_path / "all.zip"


def parts_of(file: Path) -> Parts:
    with zipfile.ZipFile(file) as packed:
        return {name: packed.read(name) for name in packed.namelist()}


def described(file: Path) -> dict[str, Any]:
    read: dict[str, Any] = json.loads(parts_of(file)["datapackage.json"])
    return read


@pytest.mark.outside(SOURCE)
def test_an_outside_reader_finds_no_error(file: Path) -> None:
    assert wrong_in_package(file) == []


@pytest.mark.outside(SOURCE)
def test_an_outside_reader_finds_a_changed_cell_and_a_key_that_points_nowhere(file: Path) -> None:
    _table("inventory_stock", b",2000000\r\n", b",many\r\n", rehash=False)(file)
    _first_row("inventory_entry", "lot_id", "999999")(file)
    found = {each.partition(":")[0] for each in wrong_in_package(file)}
    assert {"type-error", "hash-count", "foreign-key"} <= found


def test_everything_comes_back_but_what_opens_doors(plant: House, file: Path) -> None:
    before, head = all_rows(), ChainHead.objects.get().hash
    left_out = {m._meta.db_table for m in set(copied_models()) - set(packed_models())}
    received(plant, "111")
    call_command("restore", str(file), "--replace")
    after = all_rows()
    people = after.pop("auth_user")
    assert [row[1] for row in people] == ["!"] * len(people)
    assert [row[:1] + row[2:] for row in people] == [row[:1] + row[2:] for row in before.pop("auth_user")]
    assert {name: rows for name, rows in after.items() if name not in left_out} == {
        name: rows for name, rows in before.items() if name not in left_out
    }
    assert ChainHead.objects.get().hash == head
    assert verify(plant.station).is_whole


def test_secrets_stay_here(plant: House, file: Path) -> None:
    assert "api_token" not in {resource["name"] for resource in described(file)["resources"]}
    plant.intake.set_password("a long one")
    plant.intake.save()
    call_command("package", str(file))
    assert plant.intake.password.encode() not in parts_of(file)["data/auth_user.csv"]


def test_no_column_that_keeps_a_secret_is_packed() -> None:
    """A table of secrets says `is_secret`, so that it never leaves with the rest."""
    names = [f"{m._meta.label}.{f.name}" for m in packed_models() for f in m._meta.concrete_fields]
    assert [name for name in names if "secret" in name.casefold() or "password" in name.casefold()] == [
        "auth.User.password"
    ]


def test_every_table_and_column_is_described(file: Path) -> None:
    tables = [resource for resource in described(file)["resources"] if "schema" in resource]
    assert {table["name"] for table in tables} == {model._meta.db_table for model in packed_models()}
    for table in tables:
        assert table["description"] and table["schema"]["primaryKey"]
        assert all(column["description"] and column["type"] for column in table["schema"]["fields"]), table["name"]


def test_it_says_types_units_keys_and_where_they_point(file: Path) -> None:
    entry = next(r for r in described(file)["resources"] if r["name"] == "inventory_entry")
    fields = {field["name"]: field for field in entry["schema"]["fields"]}
    assert (fields["mg"]["type"], fields["mg"]["unit"]) == ("integer", "mg")
    assert fields["operation_id"]["constraints"]["required"]
    assert {"fields": ["lot_id"], "reference": {"resource": "inventory_lot", "fields": ["id"]}} in entry["schema"][
        "foreignKeys"
    ]
    assert ["operation_id", "position"] in entry["schema"]["uniqueKeys"]
    operation = next(r for r in described(file)["resources"] if r["name"] == "inventory_operation")
    kinds = {field["name"]: field["type"] for field in operation["schema"]["fields"]}
    assert (kinds["at"], kinds["uid"], kinds["content"]) == ("datetime", "string", "string")


def test_a_photograph_is_a_file_that_anybody_can_open(file: Path) -> None:
    parts, photo = parts_of(file), PhotoBytes.objects.get()
    name = f"files/{photo.sha256}.jpg"
    assert parts[name] == bytes(photo.content)
    assert name in parts["data/grading_photobytes.csv"].decode()


def test_it_does_not_write_over_something_else(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file.write_bytes(b"somebody's thesis")
    assert "is not a Data Package" in refused(capsys, "package", file)
    call_command("backup", str(file.with_name("b.zip")))
    assert "is not a Data Package" in refused(capsys, "package", file.with_name("b.zip"))


def test_it_does_not_load_over_books(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "say --replace" in refused(capsys, "restore", file)


def _spoiled(change: Callable[[dict[str, Any], Parts], Any]) -> Callable[[Path], None]:
    return rewritten(change, "datapackage.json")


def _table(table: str, old: bytes, new: bytes, *, rehash: bool = True) -> Callable[[Path], None]:
    def change(said: dict[str, Any], parts: Parts) -> None:
        name = f"data/{table}.csv"
        assert old in parts[name]
        _put(said, parts, table, parts[name].replace(old, new, 1), rehash=rehash)

    return _spoiled(change)


def _first_row(table: str, column: str, cell: str) -> Callable[[Path], None]:
    def change(said: dict[str, Any], parts: Parts) -> None:
        head, *rows = list(csv.reader(io.StringIO(parts[f"data/{table}.csv"].decode(), newline="")))
        row = next(row for row in rows if row[head.index(column)])
        row[head.index(column)] = cell
        out = io.StringIO(newline="")
        csv.writer(out).writerows([head, *rows])
        _put(said, parts, table, out.getvalue().encode())

    return _spoiled(change)


def _put(said: dict[str, Any], parts: Parts, table: str, content: bytes, *, rehash: bool = True) -> None:
    parts[f"data/{table}.csv"] = content
    resource = next(one for one in said["resources"] if one["name"] == table)
    if rehash:
        resource["hash"] = f"sha256:{hashlib.sha256(content).hexdigest()}"


def _without(table: str) -> Callable[[Path], None]:
    def change(said: dict[str, Any], parts: Parts) -> None:
        said["resources"] = [one for one in said["resources"] if one["name"] != table]
        del parts[f"data/{table}.csv"]

    return _spoiled(change)


def _bomb(file: Path) -> None:
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("datapackage.json", b" " * 20_000_000)


def _photo(change: Callable[[bytes], bytes]) -> Callable[[Path], None]:
    def spoil(_said: dict[str, Any], parts: Parts) -> None:
        name = next(name for name in parts if name.startswith("files/"))
        parts[name] = change(parts[name])

    return _spoiled(spoil)


OTHER_BOOKS = "not those that were backed up"
USELESS: dict[str, tuple[str, Callable[[Path], Any]]] = {
    "a changed cell": ("the table inventory_stock", _table("inventory_stock", b"2000000", b"2000001", rehash=False)),
    "a forged stock": (OTHER_BOOKS, _table("inventory_stock", b",2000000\r\n", b",2000001\r\n")),
    "a forged mass": (OTHER_BOOKS, _table("inventory_entry", b"800000000", b"800000001")),
    "a missing table": ("fits another version", _without("inventory_entry")),
    "a table that is not there": (
        "the table inventory_entry", _spoiled(lambda _said, parts: parts.pop("data/inventory_entry.csv")),
    ),
    "a key that points nowhere": ("one of its rows", _first_row("inventory_entry", "lot_id", "999999")),
    "a key twice": ("one of its rows", _first_row("inventory_lot", "id", "2")),
    "a word for a number": ("one of its rows", _table("inventory_stock", b",2000000\r\n", b",many\r\n")),
    "neither yes nor no": ("one of its rows", _first_row("inventory_plot", "is_block", "perhaps")),
    "a moment that was never": ("one of its rows", _first_row("inventory_operation", "at", "2024-02-31T00:00:00Z")),
    "no JSON": ("one of its rows", _first_row("grading_seedtest", "normal", "[1")),
    "a row too short": ("the table inventory_stock", _table("inventory_stock", b",2000000\r\n", b"\r\n")),
    "a row too many": ("the table inventory_place", _table("inventory_place", b"\r\n", b"\r\n,,,\r\n")),
    "a quote that never ends": ("the table inventory_lot", _table("inventory_lot", b"\r\n", b'\r\n"')),
    "no UTF-8": ("the table inventory_place", _table("inventory_place", b"F-1", b"F\xff1")),
    "another photograph": ("files/", _photo(lambda content: content + b"x")),
    "a zip bomb": ("would unpack to 20,000,000 bytes", _bomb),
    "a way out": ("holds something under the name", _spoiled(lambda _said, parts: parts.update({"../x": b""}))),
    "a way to the root": ("holds something under", _spoiled(lambda _said, parts: parts.update({"/etc/x": b""}))),
    "another's package": ("but not one that Hilum wrote", _spoiled(lambda said, _parts: said.pop("hilum"))),
    "a later version": ("later version", _spoiled(lambda said, _parts: said["hilum"].update(version=2))),
    "a path elsewhere": ("its description", _spoiled(lambda said, _parts: said["resources"][0].update(path="/etc/x"))),
    "no resources": ("its description", _spoiled(lambda said, _parts: said.update(resources=7))),
    "other columns": (
        "fits another version",
        _spoiled(lambda said, _parts: said["resources"][0]["schema"]["fields"].append({"name": "more"})),
    ),
    "no JSON at all": ("its description", lambda file: zipfile.ZipFile(file, "w").writestr("datapackage.json", "{")),
}  # fmt: skip


@pytest.mark.parametrize("what", USELESS)
def test_a_package_that_cannot_be_used_is_refused_and_nothing_is_changed(
    file: Path, capsys: pytest.CaptureFixture[str], what: str
) -> None:
    says, spoil = USELESS[what]
    spoil(file)
    assert says in refused(capsys, "restore", file, "--replace")
