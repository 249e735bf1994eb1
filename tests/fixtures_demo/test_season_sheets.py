"""The season's own sheets are clean: plots and deliveries are loaded without an answer."""

import pytest
from django.contrib.auth.models import User

from fixtures_demo.people import open_quillmarsh
from fixtures_demo.practice import practice_copy
from fixtures_demo.workbooks import FOLDER
from inventory.importing.kinds import kind_named
from inventory.importing.loading import load_sheet
from inventory.models import Operation, Plot
from inventory.queries.verifying import verify

pytestmark = pytest.mark.django_db


def test_the_plots_of_both_years_are_loaded():
    station = open_quillmarsh()
    by = User.objects.get(username="records")
    for year, rows in ((2024, 29), (2025, 28)):
        path = FOLDER / f"plots_{year}.xlsx"
        outcome = load_sheet(path.read_bytes(), path.name, kind_named("plots"), station=station, by=by)
        assert (outcome.rows, outcome.saved, list(outcome.findings)) == (rows, rows, [])
    block = Plot.objects.get(code="QM25-I1")
    assert (block.line.name, block.area_m2, block.is_block) == ("QN-2104", 8000, True)
    assert verify(station).differences == []


def test_the_deliveries_of_2024_are_loaded_each_at_its_minute():
    station = practice_copy()
    path = FOLDER / "intake_2024.xlsx"
    by = User.objects.get(username="records")
    outcome = load_sheet(path.read_bytes(), path.name, kind_named("intake"), station=station, by=by)
    assert (outcome.rows, outcome.saved, list(outcome.findings)) == (13, 13, [])
    first = Operation.objects.get(receipts__lot__number="24-0001-5")
    assert first.at.isoformat() == "2024-09-24T13:00:00+00:00"  # 08:00 at UTC−05:00
