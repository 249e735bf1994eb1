"""Sheets as text, as people's programs write them."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.importing import limits, refusals
from inventory.importing.separated import find_separator, read_text_sheet
from inventory.importing.sheets import read_sheet
from inventory.rules.mistakes import Refused


def rows(content: bytes) -> list[list[str]]:
    return [[cell.text for cell in row.cells] for row in read_sheet(content, "intake.csv")]


SAID = [["Date", "Lot", "Lignée", "Net"], ["2024-10-01", "24-0006", "QN-2104", "12,42"]]


@pytest.mark.parametrize("separator", [";", "\t"])
@pytest.mark.parametrize("coding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_it_reads_any_separator_coding_and_line_ending(separator, coding, ending):
    assert rows(ending.join(separator.join(row) for row in SAID).encode(coding)) == SAID


def test_commas_separate_where_quotation_marks_keep_a_decimal_comma():
    assert rows(b'Date,Lot,Net\n2024-10-01,24-0006,"12,42"\n') == [
        ["Date", "Lot", "Net"],
        ["2024-10-01", "24-0006", "12,42"],
    ]


def test_a_decimal_comma_does_not_pass_for_a_separator():
    assert find_separator("Gross;Tare;Net\n12,52;0,10;12,42\n11,72;0,10;11,62\n") == ";"


def test_evenness_decides_and_not_how_often_a_sign_stands():
    assert find_separator("Gross;Net\n" + "12,52;12,42\n" * 20) == ";"


def test_a_title_line_does_not_confuse_the_separator():
    assert find_separator("Intake 2024, as kept\n\nDate;Lot;Net\n1;2;3\n") == ";"


def test_rows_are_numbered_as_a_spreadsheet_shows_them():
    table = read_sheet(b'Date;Lot\n\n"1";"two\nlines"\n3;4\n', "s.csv")
    assert [(row.number, row.cells[1].text) for row in table] == [(1, "Lot"), (3, "two\nlines"), (4, "4")]


def test_doubled_quotation_marks_are_one():
    assert rows(b'a;b\n"say ""yes""";2\n')[1][0] == 'say "yes"'


def test_a_quotation_mark_that_never_ends_is_named_by_its_line():
    with pytest.raises(Refused) as refused:
        read_sheet(b'a;b\n1;2\n"' + b"x" * 200_000, "s.csv")
    assert "line 3" in refused.value.mistakes[0].says


@pytest.mark.parametrize(
    ("content", "reason"),
    [
        (b"a;" * 300 + b"b", refusals.FarCell),
        (b"1;2\n" * (limits.MAX_ROWS + 1), refusals.TooManyRows),
        (b"\xef\xbb\xbf", refusals.NothingInSheet),
        (b";;;\n;;;", refusals.NothingInSheet),
    ],
)
def test_it_refuses_a_text_that_is_no_list(content, reason):
    with pytest.raises(Refused) as refused:
        read_sheet(content, "s.csv")
    assert isinstance(refused.value.mistakes[0], reason)


@pytest.mark.outside("RFC 4180 as Python's csv module writes it, every field in quotation marks")
@given(
    st.lists(
        st.lists(st.text(st.characters(categories=["L", "N", "P", "Zs"]), max_size=10), min_size=3, max_size=3),
        min_size=2,
        max_size=6,
    )
)
def test_it_reads_what_the_csv_module_writes(said):
    said = [["Date", "Lot", "Net"], *said]
    out = io.StringIO()
    csv.writer(out, delimiter=";", quoting=csv.QUOTE_ALL).writerows(said)
    table = read_text_sheet(out.getvalue().encode(), "s.csv")
    read = [[row.cell(letter).text for letter in "ABC"] for row in table]
    assert read == [row for row in said if any(row)]
