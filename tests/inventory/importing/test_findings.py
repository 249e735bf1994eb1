"""Findings in the form scripts rely on."""

from decimal import Decimal

from inventory.importing.findings import Finding, finding_at, finding_of_row, finding_of_sheet
from inventory.importing.table import Cell
from inventory.rules.mistakes import Level, Note, Question


def test_a_finding_at_a_cell_has_every_part():
    asked = Question("Did you mean 16.2 %?", proposal="16.2")
    assert finding_at(8, "Moist", Cell("H8", Decimal("0.160")), asked).as_json() == {
        "row": 8,
        "column": "Moist",
        "cell": "H8",
        "value": "0.160",
        "level": "question",
        "says": "Did you mean 16.2 %?",
        "proposal": "16.2",
    }


def test_a_row_or_the_whole_sheet_has_no_cell():
    note = Note("Row 18 is a total.")
    assert finding_of_row(18, note, "TOTAL") == Finding(18, "", "", "TOTAL", Level.NOTE, "Row 18 is a total.")
    assert finding_of_sheet(note).as_json()["row"] is None


def test_only_a_note_leaves_the_way_free():
    assert [Finding(1, "", "", "", level, "").is_open for level in Level] == [False, True, True, True]
