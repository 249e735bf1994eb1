"""Text that a spreadsheet program would run."""

import csv
import datetime
import io
from decimal import Decimal

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.importing.export import safe_cell, safe_row, workbook_text


@pytest.mark.parametrize(
    "text",
    ["=1+1", "+cmd|' /C calc'!A0", "-2+3", "@SUM(A1)", "\t=1", "\r=1", "\n=1", " =1", "＝1+1", "-lot", "+"],
)
def test_text_that_starts_like_a_formula_gets_an_apostrophe(text):
    assert safe_cell(text) == "'" + text


@pytest.mark.parametrize(
    "value", [Decimal("-0.4"), -1, 0.5, None, datetime.date(2024, 10, 2), "24-0016-5", "a=1", "", "-0.4", "-0,4", "+12"]
)
def test_numbers_dates_and_harmless_text_are_untouched(value):
    assert safe_cell(value) is value


@given(st.text())
def test_nothing_it_gives_starts_like_a_formula_but_a_plain_number(text):
    safe = safe_cell(text).lstrip(" ")
    assert not safe.startswith(tuple("=@\t\r\n")) and (not safe.startswith(("+", "-")) or float(safe.replace(",", ".")))


@pytest.mark.outside("openpyxl, which takes text that starts with = for a formula, as spreadsheet programs do")
def test_neither_workbook_nor_csv_holds_a_formula_afterwards():
    said = ["=1+1", "QN-2104", -1]
    sheet = openpyxl.Workbook().active
    sheet.append(safe_row(said))
    assert [cell.data_type for cell in sheet[1]] == ["s", "s", "n"]
    out = io.StringIO()
    csv.writer(out).writerow(safe_row(said))
    assert out.getvalue() == "'=1+1,QN-2104,-1\r\n"


@pytest.mark.outside("openpyxl: refuses what XML 1.0 has no sign for")
@given(st.text(st.characters(codec="utf-8"), max_size=20))
def test_any_text_can_stand_in_a_workbook(text):
    sheet = openpyxl.Workbook().active
    sheet["A1"] = workbook_text(text)
    assert len(workbook_text(text)) == len(text)
