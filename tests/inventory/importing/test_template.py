"""Templates that people fill in, and that we read back."""

import openpyxl
import pytest

from grading.importing import vocabulary as bench
from inventory.importing.headings import match_headings
from inventory.importing.rows import sort_rows
from inventory.importing.sheets import read_sheet
from inventory.importing.template import write_template
from inventory.importing.vocabulary import INTAKE, PLOTS, RUNS

EVERY = (INTAKE, RUNS, PLOTS, bench.SAMPLES, bench.GERMINATION)


@pytest.mark.parametrize("vocabulary", EVERY, ids=lambda v: v.kind)
def test_our_own_template_is_read_with_every_heading_and_no_row(vocabulary, tmp_path):
    path = tmp_path / "template.xlsx"
    write_template(vocabulary, path)
    sheet = read_sheet(path.read_bytes(), path.name)
    found = match_headings(sheet, vocabulary)
    assert list(found.columns) == [field.name for field in vocabulary.fields]
    assert {name: column.unit or "" for name, column in found.columns.items()} == {
        field.name: field.unit for field in vocabulary.fields
    }
    assert not sort_rows(sheet, found, vocabulary).data


def test_a_name_with_control_signs_is_left_out_of_the_choices_and_stops_nothing(tmp_path):
    path = tmp_path / "template.xlsx"
    write_template(INTAKE, path, {"line": ["QN-2104", "Q\x01", "QB-2103"], "place": ["\x07"]})
    _first, _help, lists = openpyxl.load_workbook(path).worksheets
    assert [[cell.value for cell in column] for column in lists.columns] == [["QN-2104", "QB-2103"]]


@pytest.mark.outside("Read back with openpyxl")
def test_it_carries_lists_help_and_comments(tmp_path):
    path = tmp_path / "template.xlsx"
    write_template(INTAKE, path, {"line": ["QN-2104", "QB-2103", "=1+1"], "place": ["F-1"] * 90})
    book = openpyxl.load_workbook(path)
    first, help_, lists = book.worksheets
    assert (help_.title, lists.sheet_state) == ("Help", "hidden")
    assert [cell.value for cell in lists["A"]][:3] == ["QN-2104", "QB-2103", "'=1+1"]
    rules = {str(rule.sqref): rule.formula1 for rule in first.data_validations.dataValidation}
    assert rules == {"C2:C20000": "Lists!$A$1:$A$3", "I2:I20000": "Lists!$B$1:$B$90"}
    assert "Gross less tare" in first["G1"].comment.text
    assert [cell.value for cell in help_[2]][:4] == [
        "Date",
        "A date. The day it happened, best as year-month-day.",
        "yes",
        "2024-09-24",
    ]
    assert not any(cell.value for row in first.iter_rows(min_row=2) for cell in row)


def test_lists_without_choices_make_no_rule(tmp_path):
    path = tmp_path / "template.xlsx"
    write_template(INTAKE, path, {"line": []})
    assert [sheet.title for sheet in openpyxl.load_workbook(path)] == ["Intake (deliveries)", "Help"]
