"""Sheets kept aside: what they list is told by their headings, forgotten ones are cleaned with their files."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from fixtures_demo.workbooks import FOLDER
from inventory.importing.keeping import forget, guess_kind, keep
from inventory.importing.kinds import all_kinds
from inventory.importing.sheets import read_sheet
from inventory.importing.template import write_template
from inventory.models import SheetDraft, Station
from inventory.rules.mistakes import Refused
from inventory.rules.sheet_drafts import KEPT_DAYS
from tests.make import House, house

pytestmark = pytest.mark.django_db
SHEET = b"Date;Lot;Plot;Net;Moist\n2024-09-24;24-0001-5;ST24-N-1-1;800;16.2\n"
WORKBOOKS = {
    "intake_2024_as_kept": "intake", "intake_2025": "intake", "runs_2024": "runs", "plots_2025": "plots",
    "samples_2024": "samples", "germination_2024": "germination",
}  # fmt: skip


@pytest.fixture
def plant() -> House:
    return house()


@pytest.fixture(autouse=True)
def sheets(settings, tmp_path: Path) -> Path:
    settings.DATA_DIR = tmp_path
    return tmp_path / "sheets"


def kept(plant: House, content: bytes = SHEET, kind: str = "") -> SheetDraft:
    return keep(content, "kept.csv", kind, station=plant.station, by=plant.records)


@pytest.mark.parametrize(("name", "kind"), WORKBOOKS.items())
def test_a_workbook_says_by_its_headings_what_it_lists(name: str, kind: str) -> None:
    path = FOLDER / f"{name}.xlsx"
    assert guess_kind(read_sheet(path.read_bytes(), path.name)) == kind


@pytest.mark.parametrize("kind", sorted(all_kinds()))
def test_an_empty_sheet_of_a_kind_is_told_as_this_kind(tmp_path: Path, kind: str) -> None:
    path = tmp_path / "empty.xlsx"
    write_template(all_kinds()[kind].vocabulary, path)
    assert guess_kind(read_sheet(path.read_bytes(), path.name)) == kind


def test_what_fits_nothing_is_not_guessed() -> None:
    assert guess_kind(read_sheet(b"one;two\n1;2\n", "x.csv")) == ""


def test_a_named_kind_stands_over_what_it_looks_like(plant: House) -> None:
    assert kept(plant, kind="plots").kind == "plots"


def test_the_same_bytes_are_the_same_sheet_under_any_name(plant: House, sheets: Path) -> None:
    assert kept(plant) == keep(SHEET, "other.csv", station=plant.station, by=plant.records)
    assert [path.stat().st_mode & 0o077 for path in sheets.iterdir()] == [0]


def test_two_stations_keep_one_file_until_neither_needs_it(plant: House, sheets: Path) -> None:
    other = house("ZZ")
    first, second = kept(plant), kept(other)
    assert first != second
    forget(first, by=plant.records)
    assert len(list(sheets.iterdir())) == 1
    forget(second, by=other.records)
    assert list(sheets.iterdir()) == []


def test_a_sheet_that_nobody_touched_is_cleaned_with_its_file_when_the_next_comes(plant: House, sheets: Path) -> None:
    old = kept(plant)
    SheetDraft.objects.update(touched_at=datetime.now(UTC) - timedelta(days=KEPT_DAYS + 1))
    new = kept(plant, SHEET.replace(b"800", b"801"))
    assert list(SheetDraft.objects.all()) == [new]
    assert [path.name for path in sheets.iterdir()] == [new.sha256]
    assert old.sha256 != new.sha256


def test_one_that_was_forgotten_and_is_dropped_again_keeps_its_file(plant: House, sheets: Path) -> None:
    kept(plant)
    SheetDraft.objects.update(touched_at=datetime.now(UTC) - timedelta(days=KEPT_DAYS + 1))
    again = kept(plant)
    assert [path.name for path in sheets.iterdir()] == [again.sha256]


def test_nothing_is_kept_of_a_file_that_cannot_be_read(plant: House, sheets: Path) -> None:
    with pytest.raises(Refused):
        kept(plant, b"%PDF-1.7")
    assert not sheets.exists()
    assert not Station.objects.get().sheetdraft_set.exists()
