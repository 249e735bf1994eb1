"""The intake sheet of 2024 as somebody kept it, row by row, in a practice copy without lots."""

import json
from io import BytesIO

import openpyxl
import pytest
from django.contrib.auth.models import User

from fixtures_demo.dirty_sheet import PATH, dirty_book
from fixtures_demo.practice import practice_copy
from inventory.actions.loading import unload
from inventory.importing.answers import read_answers
from inventory.importing.findings import Finding
from inventory.importing.kinds import kind_named
from inventory.importing.loading import NO_ANSWERS, Outcome, check_sheet, load_sheet
from inventory.models import FieldWeight, Line, Lot, Moisture, Operation, Plot, Receipt, Standing, Station, Stock
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Level

pytestmark = pytest.mark.django_db
INTAKE = kind_named("intake")
ACCEPTED = [(7, "Gross"), (8, "Moist"), (9, "Moist"), (11, "Line"), (12, "Lot"), (14, "Net"), (16, "Date")]
ANSWERS = json.dumps([{"row": row, "column": column, "answer": "accept"} for row, column in ACCEPTED])


@pytest.fixture
def station() -> Station:
    return practice_copy()


def checked(station: Station, answers: str = "[]") -> Outcome:
    return check_sheet(PATH.read_bytes(), PATH.name, INTAKE, station=station, answers=read_answers(answers))


def loaded(station: Station, answers: str = ANSWERS) -> Outcome:
    by = User.objects.get(username="records")
    return load_sheet(
        PATH.read_bytes(), PATH.name, INTAKE, station=station, by=by, answers=read_answers(answers)
    )  # fmt: skip


def of_row(outcome: Outcome, row: int) -> list[Finding]:
    return [finding for finding in outcome.findings if finding.row == row]


def levels(outcome: Outcome, row: int) -> set[str]:
    return {finding.level.value for finding in of_row(outcome, row)}


def test_the_practice_copy_holds_lines_plots_and_field_weights_but_no_lots(station):
    assert (Line.objects.filter(cross__isnull=False).count(), Plot.objects.count(), Lot.objects.count()) == (8, 57, 0)
    assert FieldWeight.objects.count() == 57
    assert verify(station).differences == []


def test_the_workbook_in_the_project_is_the_one_that_is_described():
    stands = openpyxl.load_workbook(PATH).active
    book = BytesIO()
    dirty_book().save(book)
    told = openpyxl.load_workbook(book).active
    assert [[cell.value for cell in row] for row in stands.rows] == [[cell.value for cell in row] for row in told.rows]
    assert stands.merged_cells.ranges == told.merged_cells.ranges


def test_fourteen_rows_are_data_and_each_says_what_was_found(station):
    outcome = checked(station)
    assert outcome.rows == 14
    noted = {row: {"note"} for row in (6, 10, 15, 17, 18, 19)}
    asked = {row: {"question"} for row in (7, 8, 9, 14, 16)} | {11: {"note", "question"}, 12: {"note", "duplicate"}}
    assert {row: levels(outcome, row) for row in range(1, 20) if levels(outcome, row)} == noted | asked


@pytest.mark.parametrize(
    ("row", "found"),
    [
        (7, ("Gross", "E7", "1680", "720.032528 kg")),
        (8, ("Moist", "H8", "0.16", "16.0")),
        (9, ("Moist", "H9", "21.1", "17.42")),
        (11, ("Line", "C11", "QN-2104", "QN-2109")),
        (12, ("Lot", "B12", "24-0006", "leave_out")),
        (14, ("Net", "G14", "12.59", "12.95")),
        (16, ("Date", "A16", "10/02/24", "2024-10-02")),
    ],
)
def test_each_question_names_its_cell_and_proposes_what_was_meant(station, row, found):
    open_ = [finding for finding in of_row(checked(station), row) if finding.is_open]
    assert [(f.column, f.cell, f.value, f.proposal) for f in open_] == [found]


@pytest.mark.parametrize(
    ("row", "column", "proposal"),
    [
        (6, "Date", "2024-09-24"),
        (6, "Lot", "24-0002-8"),
        (10, "Plot", "QM24-T101, QM24-T206, QM24-T304"),
        (10, "Gross", "12.52"),
        (10, "Tare", "0.10"),
        (15, "Line", "QB-2108"),
        (15, "Plot", "QM24-T105, QM24-T207, QM24-T303"),
        (17, "Date", "2024-10-02"),
        (19, "Line", "QP-2206"),
    ],
)
def test_what_is_certain_is_read_and_noted(station, row, column, proposal):
    found = {finding.column: finding.proposal for finding in of_row(checked(station), row)}
    assert found[column] == proposal


def test_checking_leaves_nothing_behind(station):
    before = Operation.objects.count()
    checked(station)
    assert (Operation.objects.count(), Lot.objects.count()) == (before, 0)


def test_nothing_is_saved_while_one_question_is_open(station):
    before = Operation.objects.count()
    outcome = loaded(station, json.dumps(json.loads(ANSWERS)[:-1]))
    assert (outcome.saved, outcome.load, outcome.is_open) == (0, None, True)
    assert [f.row for f in outcome.findings if f.is_open] == [16]
    assert (Operation.objects.count(), Lot.objects.count()) == (before, 0)


def test_the_answers_settle_it_and_thirteen_lots_come_in(station):
    outcome = loaded(station)
    assert (outcome.rows, outcome.saved, outcome.is_open) == (14, 13, False)
    assert {finding.level for finding in outcome.findings} == {Level.NOTE}
    # 1,680 − 92.6 = 1,587.4 lb × 453,592.37 mg = 720,032,528.138 mg, by the definition of the pound
    assert Receipt.objects.get(lot__number="24-0003-1").net_mg == 720_032_528
    assert Moisture.objects.get(lot__number="24-0005-3").wet_basis_pct == "17.42"
    assert Moisture.objects.get(lot__number="24-0004-4").wet_basis_pct == "16.0"
    assert Receipt.objects.get(lot__number="24-0009-0").net_mg == 12_950_000
    assert Standing.objects.get(lot__number="24-0007-7").line.name == "QN-2109"
    assert verify(station).differences == []


def test_each_act_keeps_its_load_its_cells_and_its_answers(station):
    outcome = loaded(station)
    act = Operation.objects.get(receipts__lot__number="24-0003-1")
    assert act.load == outcome.load
    source = json.loads(act.content)["facts"]["source"]
    assert (source["load"], source["sheet"], source["rows"]) == ("L1", "intake_2024_as_kept", [7])
    assert source["cells"]["E7"] == "1680"
    assert source["answers"] == [{"row": 7, "column": "Gross", "answer": "accept"}]


def test_loading_it_twice_changes_nothing_and_names_the_load(station):
    loaded(station)
    before = Operation.objects.count()
    again = loaded(station)
    assert (again.saved, again.is_open, str(again.load)) == (0, False, "L1")
    assert "loaded already: load L1" in again.findings[0].says
    assert Operation.objects.count() == before


def test_it_can_be_taken_back_whole_and_loaded_again_under_the_same_numbers(station):
    stock_before = list(Stock.objects.filter(mg__gt=0))
    load = loaded(station).load
    lots = set(Standing.objects.filter(made_by__isnull=False).values_list("lot__number", flat=True))
    unload(load, station=station, by=User.objects.get(username="records"))
    assert list(Stock.objects.filter(mg__gt=0)) == stock_before == []
    again = loaded(station)
    assert (again.saved, str(again.load)) == (13, "L2")
    assert set(Standing.objects.filter(made_by__isnull=False).values_list("lot__number", flat=True)) == lots
    assert verify(station).differences == []


def test_keeping_as_typed_keeps_the_reason(station):
    answers = json.loads(ANSWERS)
    answers[1] = {"row": 8, "column": "Moist", "answer": "keep", "reason": "seed for the museum"}
    loaded(station, json.dumps(answers))
    assert Moisture.objects.get(lot__number="24-0004-4").wet_basis_pct == "0.16"
    act = Operation.objects.get(receipts__lot__number="24-0004-4")
    assert list(json.loads(act.content)["facts"]["asked"].values()) == ["seed for the museum"]


def test_a_value_stands_in_place_of_the_cell_and_is_read_like_it(station):
    answers = json.loads(ANSWERS)
    answers[1] = {"row": 8, "column": "Moist", "answer": "16,2"}
    loaded(station, json.dumps(answers))
    assert Moisture.objects.get(lot__number="24-0004-4").wet_basis_pct == "16.2"


def test_a_row_typed_twice_that_is_kept_needs_a_number_of_its_own(station):
    answers = json.loads(ANSWERS)
    answers[4] = {"row": 12, "column": "Lot", "answer": "keep", "reason": "two bags"}
    outcome = checked(station, json.dumps(answers))
    assert [f.says for f in outcome.findings if f.is_open] == [
        "24-0006-6 is in row 10 of this sheet already. Give this row its own number."
    ]


def test_an_answer_to_nothing_is_said(station):
    outcome = checked(station, json.dumps([{"row": 5, "column": "Gross", "answer": "accept"}]))
    assert any("row 5, Gross was not needed" in finding.says for finding in of_row(outcome, 5))


def test_without_answers_it_reads_the_same_from_a_semicolon_file(station):
    rows = [["" if cell.value is None else str(cell.value) for cell in row] for row in dirty_book().active.rows]
    text = "\n".join(";".join(row) for row in rows).replace(" 00:00:00", "")
    outcome = check_sheet(text.encode(), "kept.csv", INTAKE, station=station, answers=NO_ANSWERS)
    assert {row for row in range(20) if levels(outcome, row) & {"question", "duplicate"}} == {7, 8, 9, 12, 14, 16}
