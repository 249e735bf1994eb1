"""Which rows hold data."""

from dataclasses import replace

import pytest

from inventory.importing.headings import match_headings
from inventory.importing.rows import RowKind, sort_rows
from inventory.importing.table import Cell, Row, SheetTable
from inventory.importing.vocabulary import INTAKE
from inventory.rules.mistakes import Level
from tests.inventory.importing.sheets import table

HEAD = "Date|Lot|Line|Plot|Gross|Tare|Net|Moist|Bin|Remarks\n"
FIRST = "2024-09-24|24-0001|QN-2104|QM24-I1|842|42|800|16.2\n"
SECOND = "2024-09-26|24-0003|QB-2103|QM24-I3|762|42|720|16.5\n"


def sort(text: str | SheetTable):
    sheet = table(HEAD + text) if isinstance(text, str) else text
    return sort_rows(sheet, match_headings(sheet, INTAKE), INTAKE)


def kinds(text: str) -> list[tuple[int, RowKind]]:
    return [(row.number, kind) for row, kind in sort(text).left_out]


@pytest.mark.parametrize(
    "row",
    [
        "TOTAL|-|-|-|-|-|=SUM(G2:G3)",
        "-|Total kg:|-|-|-|-|1520",
        "-|-|Sous-total octobre|-|1604|84|1520",
        "Suma|-|-|-|-|-|1520",
        "Somme|-|-|-|1604|84|1520",
        "2024-09-26|Total|-|-|-|-|1520",
        "-|-|-|-|=SUM(E2:E3)|=SUM(F2:F3)|=SUM(G2:G3)",
        "-|-|-|-|=SUBTOTAL(9,E2:E3)|-|=SUBTOTAL(9,$G$2:$G$3)",
        "-|-|-|-|1604|84|1520",
        "Grand total|-|-|-|-|-|1520|-|-|two trailers",
    ],
)
def test_a_row_of_sums_is_left_out_with_a_note(row):
    found = sort(FIRST + SECOND + row)
    assert [r.number for r in found.data] == [2, 3]
    assert [(r.number, kind) for r, kind in found.left_out] == [(4, RowKind.TOTAL)]
    assert [(f.row, f.level, f.says) for f in found.findings] == [
        (4, Level.NOTE, "Row 4 is a total, so it was left out.")
    ]


@pytest.mark.parametrize(
    "row",
    [
        "2024-10-02|24-0013|QP-2206|T106|12.95|0.1|=E4-F4|15.7|-|total loss of the tag",
        "2024-10-02|24-0013|QP-2206|T106|12.95|0.1|12.85|15.7|Total bin",
        "-|-|-|-|12.95|0.1|12.85|15.7",
        "-|-|-|-|12.95|0.1|=E4-F4|15.7",
        "-|24-0013",
        "24-0013",
        "2024-10-02|24-0013|-|-|1604|84|1520",
    ],
)
def test_a_row_that_may_be_a_record_is_never_left_out(row):
    assert [r.number for r in sort(FIRST + SECOND + row).data] == [2, 3, 4]


def test_a_single_row_is_no_sum_of_itself():
    assert len(sort(FIRST + "-|-|-|-|842|42|800|16.2").data) == 2


def test_rows_after_a_total_are_read():
    found = sort(FIRST + "TOTAL|-|-|-|-|-|=SUM(G2:G2)\n" + SECOND)
    assert [row.number for row in found.data] == [2, 4]


@pytest.mark.parametrize(
    "text", ["Week 40", "Rain in the afternoon, two trailers stayed out", "-|Second trailer, see below"]
)
def test_a_title_among_the_rows_is_left_out_with_its_words(text):
    found = sort(FIRST + text + "\n" + SECOND)
    assert [row.number for row in found.data] == [2, 4]
    assert text.strip("-|") in found.findings[0].says


@pytest.mark.parametrize("text", ["Signed: intake", "Vérifié par|intake", "Firma|-|intake"])
def test_a_signature_is_left_out(text):
    assert kinds(FIRST + "\n" + text) == [(4, RowKind.SIGNATURE)]


def test_repeated_headings_are_left_out():
    assert kinds(FIRST + HEAD + SECOND) == [(3, RowKind.HEADING)]


def test_rows_above_the_headings_are_nobodys_business():
    sheet = table("Intake 2024\n" + HEAD + FIRST)
    assert [row.number for row in sort(sheet).data] == [3]
    assert not sort(sheet).findings


def test_a_row_of_merged_cells_alone_is_blank():
    sheet = table(HEAD + FIRST)
    merged = Row(3, (Cell("C3", "QN-2104", None, "C2"),))
    found = sort(SheetTable("s", (*sheet.rows, merged)))
    assert found.left_out == ((merged, RowKind.BLANK),)
    assert not found.findings


def test_a_hidden_row_is_read_with_a_note():
    sheet = table(HEAD + FIRST + SECOND)
    hidden = SheetTable("s", (*sheet.rows[:2], replace(sheet.rows[2], hidden=True)))
    found = sort(hidden)
    assert len(found.data) == 2
    assert [(f.row, f.level) for f in found.findings] == [(3, Level.NOTE)]


def test_a_formula_without_a_value_is_an_error_in_data_but_not_in_a_total():
    found = sort("2024-09-24|24-0001|QN-2104|QM24-I1|842|42|=E2-F2|16.2\nTOTAL|-|-|-|-|-|=SUM(G2:G2)")
    (formula,) = [f for f in found.findings if f.level is Level.ERROR]
    assert (formula.row, formula.column, formula.cell) == (2, "Net", "G2")
    assert "'=E2-F2'" in formula.says


def test_an_error_of_the_spreadsheet_is_said():
    found = sort("2024-09-24|24-0001|#REF!|QM24-I1|842|42|800|16.2")
    (error,) = found.findings
    assert (error.value, error.column, error.level) == ("#REF!", "Line", Level.ERROR)
