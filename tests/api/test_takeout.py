"""What leaves whole by the API: a package for who keeps all records, passports for whoever reads."""

import csv
import io
import zipfile
from datetime import UTC, datetime
from pathlib import Path

import openpyxl
import pytest
from django.core.management import call_command

from inventory.models import Membership
from inventory.queries import taking_out
from tests.api.asking import Program, program_of
from tests.inventory.copying import refused
from tests.make import House, house, received

pytestmark = pytest.mark.django_db
NOW = datetime.now(UTC)
# Multi-Crop Passport Descriptors V.2.1, 2015: the first and the last fields of each group, typed from the list.
ORDER = ["PUID", "INSTCODE", "ACCENUMB", "GENUS", "SPECIES", "CROPNAME", "ACCENAME", "SAMPSTAT", "STORAGE", "REMARKS"]


@pytest.fixture
def plant() -> House:
    plant = house()
    received(plant)
    return plant


def of(plant: House, role: str) -> Program:
    return program_of(plant.people[role], "read")


def test_records_take_everything_out(plant: House, tmp_path: Path) -> None:
    answer = of(plant, "records").client.get("/api/v1/package", headers=of(plant, "records").headers)
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/zip")
    file = tmp_path / "package.zip"
    file.write_bytes(b"".join(answer.streaming_content))
    assert "datapackage.json" in zipfile.ZipFile(file).namelist()
    call_command("restore", str(file), "--replace")


@pytest.mark.parametrize("role", ["intake", "line", "bench", "breeder", "stranger"])
def test_nobody_else_does(plant: House, role: str) -> None:
    problem = of(plant, role).get("/api/v1/package", 403)
    assert problem["code"] == "may_not_take_out"
    assert "ST" in problem["detail"]


def test_records_of_one_station_do_not_take_out_another(plant: House) -> None:
    other = house("OT")
    assert "everything of OT too" in of(plant, "records").get("/api/v1/package", 403)["detail"]
    Membership.objects.create(station=other.station, user=plant.records, role="records")
    who = of(plant, "records")
    assert who.client.get("/api/v1/package", headers=who.headers).status_code == 200


def test_books_that_take_too_long_are_for_the_command(plant: House, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("api.v1.takeout.MOST_ACTS", 0)
    assert "manage.py package" in of(plant, "records").get("/api/v1/package", 422)["detail"]
    assert taking_out.must_take_out(plant.records, 100) is None


@pytest.mark.outside("FAO/Bioversity Multi-Crop Passport Descriptors V.2.1, 2015: order and codes (from memory)")
def test_passports_stand_in_the_order_of_the_descriptors(plant: House) -> None:
    who = of(plant, "stranger")
    answer = who.client.get("/api/v1/lines/passports", headers=who.headers)
    head, *rows = list(csv.reader(io.StringIO(answer.content.decode(), newline="")))
    assert [name for name in head if name in ORDER] == ORDER
    assert len(head) == 41
    lines = [dict(zip(head, row, strict=True)) for row in rows]
    (one,) = [line for line in lines if line["ACCENUMB"] == "N-1"]
    assert (one["GENUS"], one["SPECIES"], one["STORAGE"]) == ("Phaseolus", "vulgaris", "10")
    assert one["PUID"].startswith("urn:uuid:")
    assert (one["INSTCODE"], one["ACQDATE"]) == ("", "")


def test_a_workbook_says_the_same(plant: House) -> None:
    who = of(plant, "bench")
    plain = who.client.get("/api/v1/lines/passports?format=csv", headers=who.headers).content.decode()
    book = who.client.get("/api/v1/lines/passports?format=xlsx", headers=who.headers)
    sheet = openpyxl.load_workbook(io.BytesIO(book.content)).active
    assert sheet is not None
    cells = [["" if cell is None else cell for cell in row] for row in sheet.iter_rows(values_only=True)]
    assert cells == list(csv.reader(io.StringIO(plain, newline="")))
    for odd in ("pdf", "", "CSV"):
        assert "csv or xlsx" in who.get(f"/api/v1/lines/passports?format={odd}", 400)["detail"]


def test_the_command_writes_the_same_file(plant: House, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    who = of(plant, "bench")
    call_command("passports", str(tmp_path / "all.csv"))
    plain = who.client.get("/api/v1/lines/passports", headers=who.headers).content
    assert (tmp_path / "all.csv").read_bytes() == plain
    assert "csv or xlsx" in refused(capsys, "passports", tmp_path / "all.pdf")
    assert "cannot be written" in refused(capsys, "passports", tmp_path / "nowhere" / "all.csv")
