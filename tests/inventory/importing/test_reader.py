"""What is read from good workbooks, checked against other programs that write and read them."""

import datetime
import json
import subprocess
import sys
import time
from decimal import Decimal
from io import BytesIO
from pathlib import Path

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl.utils.datetime import CALENDAR_MAC_1904

from inventory.importing import child, limits
from inventory.importing.reader import exact_number
from inventory.importing.refusals import ReaderGaveUp
from inventory.importing.sheets import read_bytes, read_sheet
from inventory.importing.table import SheetTable, column_letter, column_number
from inventory.rules.mistakes import Refused
from tests.inventory.importing.books import book_of, packed, parts, saved, worksheet

LIBREOFFICE = Path(__file__).parents[2] / "data" / "libreoffice_intake.xlsx"


def values(table: SheetTable) -> dict[str, object]:
    return {cell.ref: cell.value for row in table for cell in row.cells}


def one_cell(value: object, number_format: str | None = None):
    book = openpyxl.Workbook()
    book.active["C7"] = value
    if number_format:
        book.active["C7"].number_format = number_format
    (row,) = read_sheet(saved(book), "s").rows
    (cell,) = row.cells
    return cell


@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("24-OOO2 ", "24-OOO2 "),
        ("12,52", "12,52"),
        (842, Decimal("842")),
        (16.2, Decimal("16.2")),
        (10.93 - 0.10, Decimal("10.83")),
        (1e-7, Decimal("0.0000001")),
        (123456789012345, Decimal("123456789012345")),
        (True, True),
        (datetime.date(2024, 10, 2), datetime.date(2024, 10, 2)),
        (datetime.datetime(2024, 10, 2, 8, 30), datetime.datetime(2024, 10, 2, 8, 30)),  # noqa: DTZ001 - cells know no zone
        (datetime.time(8, 30), datetime.time(8, 30)),
    ],
)
def test_it_reads_a_value_as_it_was_typed(written, read):
    cell = one_cell(written)
    assert (cell.ref, cell.value, type(cell.value)) == ("C7", read, type(read))


def test_a_date_serial_without_a_date_format_stays_a_number():
    assert one_cell(45567).value == Decimal("45567")


def test_a_date_serial_with_a_date_format_is_a_date():
    assert one_cell(45567, "yyyy-mm-dd").value == datetime.date(2024, 10, 2)


def test_it_says_when_days_count_from_1904_and_reads_dates_by_it():
    book = openpyxl.Workbook()
    book.epoch = CALENDAR_MAC_1904
    book.active["A1"] = datetime.date(2024, 10, 2)
    table = read_sheet(saved(book), "s")
    assert table.first_1904
    assert table.rows[0].cells[0].value == datetime.date(2024, 10, 2)


def test_it_tells_a_share_shown_as_per_cent_from_a_plain_number():
    shown, plain = one_cell(0.162, "0.0%"), one_cell(0.162)
    assert (shown.value, shown.is_percent) == (Decimal("0.162"), True)
    assert (plain.value, plain.is_percent) == (Decimal("0.162"), False)


def test_it_keeps_a_unit_that_only_the_format_shows():
    cell = one_cell(1680, '0.0" lb"')
    assert (cell.number_format, cell.is_percent) == ('0.0" lb"', False)


def test_a_formula_is_never_executed():
    cell = one_cell("=1+1")
    assert (cell.value, cell.formula, cell.is_formula) == (None, "1+1", True)


def test_a_formula_with_a_stored_value_gives_that_value():
    sheet = worksheet('<row r="1"><c r="A1"><f>SUM(B1:B9)</f><v>800</v></c></row>')
    (cell,) = read_sheet(packed(parts(sheet=sheet)), "s").rows[0].cells
    assert (cell.value, cell.formula) == (Decimal(800), "SUM(B1:B9)")


def test_text_that_looks_like_a_formula_stays_text():
    sheet = worksheet('<row r="1"><c r="A1" t="inlineStr"><is><t>=1+1</t></is></c></row>')
    (cell,) = read_sheet(packed(parts(sheet=sheet)), "s").rows[0].cells
    assert (cell.value, cell.is_formula) == ("=1+1", False)


def test_an_error_of_the_sheet_is_kept_as_an_error():
    sheet = worksheet('<row r="1"><c r="A1" t="e"><f>1/0</f><v>#DIV/0!</v></c></row>')
    (cell,) = read_sheet(packed(parts(sheet=sheet)), "s").rows[0].cells
    assert (cell.value, cell.error, cell.text) == (None, "#DIV/0!", "#DIV/0!")


def test_rows_and_cells_without_references_are_counted():
    sheet = worksheet('<row/><row><c/><c><v>2</v></c></row><row r="9"><c t="e"><v>#N/A</v></c></row>')
    table = read_sheet(packed(parts(sheet=sheet)), "s")
    assert [(row.number, row.cells[0].ref) for row in table] == [(2, "B2"), (9, "A9")]


def test_merged_cells_say_whose_value_they_show():
    book = openpyxl.Workbook()
    book.active["C10"] = "QN-2104"
    book.active["B11"] = "24-0007"
    book.active.merge_cells("C10:C11")
    first, second = read_sheet(saved(book), "s").rows
    assert first.cell("C").merged_from is None
    assert (second.cell("C").value, second.cell("C").merged_from) == ("QN-2104", "C10")
    assert [cell.ref for cell in second.filled] == ["B11"]


def test_hidden_rows_and_columns_are_read_and_named():
    book = openpyxl.Workbook()
    for number in (1, 2):
        book.active.append([number, number])
    book.active.row_dimensions[2].hidden = True
    book.active.column_dimensions["B"].hidden = True
    table = read_sheet(saved(book), "s")
    assert [row.hidden for row in table] == [False, True]
    assert table.hidden_columns == {"B"}


def test_blank_rows_count():
    assert [row.number for row in read_sheet(book_of(["a"], [], [None], ["b"]), "s")] == [1, 4]


def test_it_takes_the_first_visible_worksheet_with_something_in_it_and_names_the_others():
    book = openpyxl.Workbook()
    book.active.title = "Leer"
    book.create_sheet("Hidden")["A1"] = "x"
    book["Hidden"].sheet_state = "hidden"
    book.create_sheet("Intake")["A1"] = "Date"
    book.create_sheet("2023")["A1"] = "Date"
    table = read_sheet(saved(book), "s")
    assert (table.name, table.other_sheets) == ("Intake", ("2023",))


@pytest.mark.outside("openpyxl as a second reader of the same file")
@settings(max_examples=25, deadline=None)
@given(
    st.lists(
        st.lists(
            st.one_of(
                st.none(),
                st.integers(-(10**12), 10**12),
                st.decimals(-(10**6), 10**6, places=3).map(float),
                st.dates(datetime.date(1901, 1, 1), datetime.date(2100, 1, 1)),
                st.text(st.characters(categories=["L", "N", "P", "Zs"]), min_size=1, max_size=20),
            ),
            min_size=1,
            max_size=8,
        ),
        min_size=1,
        max_size=8,
    )
)
def test_it_reads_what_openpyxl_reads(rows):
    book = openpyxl.Workbook()
    book.active["A1"] = "Date"
    for row, cells in enumerate(rows, start=2):
        for column, value in enumerate(cells, start=1):
            cell = book.active.cell(row, column, value)
            if isinstance(value, str):
                cell.data_type = "s"  # else openpyxl takes text that starts with = for a formula
    content = saved(book)
    written = {ref: value for ref, value in values(read_sheet(content, "s")).items() if str(value).strip()}
    assert written == as_we_write(openpyxl.load_workbook(BytesIO(content)).active)


def as_we_write(sheet) -> dict[str, object]:
    return {
        cell.coordinate: plain(cell.value)
        for row in sheet.iter_rows()
        for cell in row
        if str("" if cell.value is None else cell.value).strip()
    }


def plain(value: object) -> object:
    if isinstance(value, datetime.datetime):
        return value.date() if value.time() == datetime.time() else value
    return Decimal(str(value)) if isinstance(value, int | float) and not isinstance(value, bool) else value


@pytest.mark.outside("The workbook in tests/data, written by LibreOffice 7.4.7.2; values from its OpenDocument source")
def test_it_reads_a_workbook_written_by_libreoffice():
    table = read_sheet(LIBREOFFICE.read_bytes(), "s")
    title, headings, first, second, total = table.rows
    assert (table.name, title.number, total.number) == ("Intake", 1, 6)
    assert [cell.value for cell in title.filled] == ["Réception 2024"]
    assert [cell.value for cell in headings.filled][2:5] == ["Lignée", "Parcelle", "Brut (kg)"]
    assert first.cell("A").value == datetime.date(2024, 9, 24)
    assert (first.cell("G").value, first.cell("G").formula) == (Decimal(800), "E4-F4")
    assert (first.cell("H").value, first.cell("H").is_percent) == (Decimal("0.162"), True)
    assert second.hidden
    assert (second.cell("C").value, second.cell("C").merged_from) == ("QN-2104", "C4")
    assert second.cell("E").value == "12,52"
    assert total.cell("G").formula == "SUM(G4:G5)"


@pytest.mark.outside("openpyxl.utils")
def test_columns_are_named_as_openpyxl_names_them():
    for number in (1, 26, 27, 52, 702, 703, 16384):
        assert column_letter(number) == openpyxl.utils.get_column_letter(number)
        assert column_number(column_letter(number)) == number


@given(st.decimals(-(10**9), 10**9, places=4))
def test_a_number_of_up_to_fifteen_digits_comes_back_exactly(number):
    assert Decimal(exact_number(float(number))) == number


def test_twelve_thousand_rows_are_read_in_time():
    weights = [842.5, 42, 800.5, 16.2, "A-1", "", 1, 2]
    content = book_of(*(["2024-09-24", f"24-{n:04d}", "QN-2104", f"QM24-T{n}", *weights] for n in range(12_000)))
    began = time.monotonic()
    table = read_sheet(content, "s")
    assert time.monotonic() - began < 15
    assert len(table.rows) == 12_000
    assert table.rows[-1].cell("B").value == "24-11999"


def test_the_reader_loads_no_django_and_runs_without_our_settings():
    seen = (
        "import sys; sys.path.insert(0, sys.argv[1]); import inventory.importing.reader; "
        "print([name for name in sys.modules if name.split('.')[0] in ('django', 'hilum', 'openpyxl', 'numpy')])"
    )
    done = subprocess.run(
        [sys.executable, "-I", "-c", seen, str(child.ROOT)], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"


LIMITED = (
    "import sys, os, json; sys.path.insert(0, sys.argv[1])\n"
    "from inventory.importing.reader import limit_this_process as limit; limit()\n"
)
ABOUT = '{"name": "a", "first_1904": false, "hidden_columns": [], "other_sheets": []}'
WHOLE = f"""\nprint('{ABOUT}\\n{{"end": 0}}')"""


def test_a_whole_answer_is_taken(monkeypatch):
    monkeypatch.setattr(child, "START", LIMITED + WHOLE)
    assert child.read_workbook_apart(b"any", 1000) == SheetTable("a", ())


@pytest.mark.parametrize(
    "does",
    [
        f"{WHOLE}; sys.stdout.flush(); os.abort()",
        "import time; time.sleep(60)" + WHOLE,
        f"{WHOLE}; raise SystemExit(3)",
        "x = bytearray(900 * 1024 * 1024)" + WHOLE,
        "print('{')",
        "pass",
        f"print('{ABOUT}')",
        f"print('{ABOUT}')\nwhile True: print('[1, false, []]')",
    ],
    ids=["aborts", "hangs", "fails", "eats memory", "answers no JSON", "answers nothing", "breaks off", "never ends"],
)
def test_whatever_happens_to_the_reader_its_parent_goes_on_with_a_sentence(does, monkeypatch):
    monkeypatch.setattr(child, "START", LIMITED + does)
    monkeypatch.setattr(limits, "SECONDS_AT_LEAST", 3.0)
    with pytest.raises(Refused) as refused:
        child.read_workbook_apart(b"any", 1000)
    assert isinstance(refused.value.mistakes[0], ReaderGaveUp)


def test_the_reader_sees_no_secret_of_its_parent(monkeypatch):
    told = ABOUT.replace('"a"', "%s") + '\n{"end": 0}'
    monkeypatch.setattr(child, "START", f"import os, json\nprint({told!r} % json.dumps(str(sorted(os.environ))))")
    monkeypatch.setenv("HILUM_SECRET_KEY", "hush")
    assert "HILUM" not in child.read_workbook_apart(b"any", 1000).name


def test_half_an_answer_never_passes_for_a_whole_sheet(monkeypatch):
    about = {"name": "a", "first_1904": False, "hidden_columns": [], "other_sheets": []}
    lines = [about, [1, False, [[1, "s", "x"]]], {"end": 2}]
    monkeypatch.setattr(child, "START", f"import json\nfor line in {lines!r}: print(json.dumps(line))")
    with pytest.raises(Refused):
        child.read_workbook_apart(b"any", 1000)


def test_a_small_file_gets_less_time_than_a_large_one():
    assert child.seconds_for(4_000) == limits.SECONDS_AT_LEAST < 5
    assert child.seconds_for(6 * 1024 * 1024) > 6
    assert child.seconds_for(96 * 1024 * 1024) == limits.SECONDS_AT_MOST < 15


def test_of_a_huge_file_only_enough_is_taken_to_refuse_it(tmp_path, monkeypatch):
    monkeypatch.setattr(limits, "MAX_FILE_BYTES", 10)
    path = tmp_path / "a.csv"
    path.write_bytes(b"x" * 100)
    assert len(read_bytes(path)) == 11


def test_what_the_reader_writes_is_one_json_value_a_line():
    from inventory.importing.reader import write_worksheet  # noqa: PLC0415 - here the reader runs in this process

    class Lines(list):
        write = list.append

    out = Lines()
    write_worksheet(book_of(["a", 1]), out)
    assert [json.loads(line) for line in out][1:] == [[1, False, [[1, "s", "a"], [2, "n", "1"]]], {"end": 1}]
