"""Backups: whole, of one moment, proved after restoring, on either database, or refused in a sentence."""

import json
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.contrib.sessions.models import Session
from django.core.management import call_command
from django.db import connection

from inventory.actions.restoring import restore
from inventory.models import Lot, Operation, Station
from inventory.models.triggers import lifted
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Mistake
from tests.inventory.books import small_season
from tests.inventory.copying import all_rows, refused, rewritten
from tests.make import House, received
from tests.processes import OwnBooks

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    return small_season()


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "monday.zip"


def test_everything_comes_back_as_it_was(plant: House, file: Path) -> None:
    plant.intake.set_password("a long one")
    plant.intake.save()
    call_command("backup", str(file))
    before = all_rows()
    received(plant, "111")
    Station.objects.update(name="changed")
    User.objects.create_user("somebody else")
    call_command("restore", str(file), "--replace")
    assert all_rows() == before
    assert User.objects.get(pk=plant.intake.pk).check_password("a long one")
    assert verify(plant.station).is_whole


def test_the_books_go_on_after_a_restore_where_they_stood(plant: House, file: Path) -> None:
    call_command("backup", str(file))
    seq, lots = Operation.objects.latest("seq").seq, Lot.objects.count()
    received(plant, "111")
    call_command("restore", str(file), "--replace")
    lot = received(plant, "222")
    assert (Operation.objects.latest("seq").seq, Lot.objects.count()) == (seq + 1, lots + 1)
    assert lot.number.startswith(f"24-{lots + 1:04d}")
    assert verify(plant.station).is_whole


def test_the_triggers_stand_after_a_restore_and_after_a_refused_one(plant: House, file: Path) -> None:
    call_command("backup", str(file))
    call_command("restore", str(file), "--replace")
    with pytest.raises(Exception, match="append-only"):
        Operation.objects.update(reason="x")


def test_who_is_signed_in_is_left_out(plant: House, file: Path) -> None:
    call_command("backup", str(file))
    with zipfile.ZipFile(file) as packed:
        assert not [name for name in packed.namelist() if Session._meta.db_table in name]


def test_only_its_owner_may_read_it(plant: House, file: Path) -> None:
    call_command("backup", str(file))
    assert file.stat().st_mode & 0o077 == 0


def test_it_says_what_is_in_it(plant: House, file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    call_command("backup", str(file), "--json")
    said = json.loads(capsys.readouterr().out)
    assert said["books"][0]["operations"] == Operation.objects.count()
    assert said["rows"] == sum(len(rows) for rows in all_rows().values())


def test_it_does_not_wipe_out_books_unless_told_to(
    plant: House, file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    call_command("backup", str(file))
    assert "say --replace" in refused(capsys, "restore", file)


def test_books_that_are_not_whole_are_backed_up_and_restored_as_they_are(
    plant: House, file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with lifted(connection):
        Operation.objects.filter(seq=2).update(reason="edited")
    call_command("backup", str(file))
    assert "not whole" in capsys.readouterr().err
    call_command("restore", str(file), "--replace")
    assert not verify(plant.station).is_whole


def test_it_does_not_write_over_a_file_that_is_no_backup(
    plant: House, file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file.write_bytes(b"somebody's thesis")
    assert "Choose another name" in refused(capsys, "backup", file)
    assert file.read_bytes() == b"somebody's thesis"


def test_an_earlier_backup_of_that_name_is_replaced(plant: House, file: Path) -> None:
    call_command("backup", str(file))
    first = file.read_bytes()
    received(plant, "111")
    call_command("backup", str(file))
    assert file.read_bytes() != first


def test_a_place_that_cannot_be_written_is_said(
    plant: House, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert "cannot be written" in refused(capsys, "backup", tmp_path / "no such folder" / "monday.zip")


def _cut(file: Path) -> None:
    file.write_bytes(file.read_bytes()[:-2_000])


def _one_bit(file: Path) -> None:
    data = bytearray(file.read_bytes())
    data[len(data) // 3] ^= 1
    file.write_bytes(data)


def _rehashed(table: str, old: bytes, new: bytes) -> Callable[[dict[str, Any], dict[str, bytes]], None]:
    """Change a table and its hash, so that only the proof of the books can find it."""

    def change(contents: dict[str, Any], parts: dict[str, bytes]) -> None:
        import hashlib  # noqa: PLC0415 - only a forger needs it

        name = f"tables/{table}.jsonl"
        assert old in parts[name]
        parts[name] = parts[name].replace(old, new, 1)
        entry = next(entry for entry in contents["tables"] if entry["name"] == table)
        entry["sha256"] = hashlib.sha256(parts[name]).hexdigest()

    return change


OTHER_BOOKS = "not those that were backed up"
USELESS: dict[str, tuple[str, Callable[[Path], Any]]] = {
    "no file": ("cannot be opened", lambda file: file.unlink()),
    "empty": ("is not a backup", lambda file: file.write_bytes(b"")),
    "a text": ("is not a backup", lambda file: file.write_text("Dear all,")),
    "another zip": ("is not a backup", lambda file: zipfile.ZipFile(file, "w").close()),
    "cut short": ("is not a backup", _cut),
    "one bit changed": ("is damaged", _one_bit),
    "a table missing": ("is damaged", rewritten(lambda _said, parts: parts.pop("tables/inventory_entry.jsonl"))),
    "a table changed": (
        "is damaged",
        rewritten(lambda _said, parts: parts.update({"tables/inventory_entry.jsonl": b"[]\n"})),
    ),
    "no contents": ("is damaged", rewritten(lambda said, _parts: said.pop("tables"))),
    "contents of another kind": ("is not a backup", rewritten(lambda said, _parts: said.update(format="other"))),
    "a later version": ("later version", rewritten(lambda said, _parts: said.update(version=2))),
    "other tables": (
        "fits another version",
        rewritten(lambda said, _parts: said["migrations"].append("inventory.9999_later")),
    ),
    "a forged mass": (
        OTHER_BOOKS,
        rewritten(_rehashed("inventory_entry", b"800000000", b"800000001")),
    ),
    "a forged stock": (
        OTHER_BOOKS,
        rewritten(_rehashed("inventory_stock", b",2000000]", b",2000001]")),
    ),
    "a row that points nowhere": ("is damaged", rewritten(_rehashed("inventory_stock", b",2000000]", b",null]"))),
    "a negative stock": ("is damaged", rewritten(_rehashed("inventory_stock", b",2000000]", b",-2000000]"))),
    "a word for a number": ("is damaged", rewritten(_rehashed("inventory_stock", b",2000000]", b',"many"]'))),
    "a row too short": ("is damaged", rewritten(_rehashed("inventory_stock", b",2000000]", b"]"))),
}


@pytest.mark.parametrize("what", USELESS)
def test_a_file_that_cannot_be_used_is_refused_and_nothing_is_changed(
    plant: House, file: Path, capsys: pytest.CaptureFixture[str], what: str
) -> None:
    says, spoil = USELESS[what]
    call_command("backup", str(file))
    spoil(file)
    assert says in refused(capsys, "restore", file, "--replace")


def test_a_restore_that_fails_half_way_changes_nothing(
    plant: House, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    call_command("backup", str(file))
    received(plant, "111")
    before = all_rows()
    monkeypatch.setattr("inventory.actions.restoring.book_states", lambda: ())
    with pytest.raises(Mistake, match="not those that were backed up"):
        restore(file, replace=True)
    assert all_rows() == before
    with pytest.raises(Exception, match="append-only"):
        Operation.objects.update(reason="x")


@pytest.mark.slow
@pytest.mark.postgres
@pytest.mark.both_engines
def test_a_copy_of_one_engine_restores_on_the_other_and_back(tmp_path: Path, postgres_url: str) -> None:
    """The test's own connection takes no part: these are three databases, and a backup and a package of each."""
    small, big, again = OwnBooks(tmp_path / "a"), OwnBooks(tmp_path / "b", postgres_url), OwnBooks(tmp_path / "c")
    assert small.manage("migrate", "--verbosity=0").returncode == 0
    (lot, _other) = small.call("set_up", lots=["800", "300"])["lots"]
    photo = small.call("photograph", code="ST", lot=lot)
    for kind in ("backup", "package"):  # the backup first: it brings the passwords that the package leaves out
        there, back = str(tmp_path / f"{kind}-there.zip"), str(tmp_path / f"{kind}-back.zip")
        for books, command in (
            (small, (kind, there)), (big, ("restore", there, "--replace")),
            (big, (kind, back)), (again, ("restore", back, "--replace")),
        ):  # fmt: skip
            said = books.manage(*command)
            assert said.returncode == 0, said.stderr
        assert _tables(there) == _tables(back)
        assert small.call("verdict", code="ST") == again.call("verdict", code="ST")
        assert again.call("photographs") == [photo]
    assert big.call("make_number", code="ST", lot="")["said"] == "done"  # the sequences go on
    assert big.call("verdict", code="ST")["differences"] == []


def _tables(file: str) -> list[Any]:
    """Tables with their hashes, and how the books stood."""
    with zipfile.ZipFile(file) as packed:
        if "contents.json" in packed.namelist():
            contents = json.loads(packed.read("contents.json"))
            return [contents["tables"], contents["books"]]
        said = json.loads(packed.read("datapackage.json"))
        return [said["resources"], said["hilum"]["books"]]
