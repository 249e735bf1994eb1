"""Sheets of plots and blocks."""

from datetime import date
from decimal import Decimal

import pytest

from inventory.actions.loading import unload
from inventory.models import FieldWeight, Load, Operation, Plot
from inventory.queries.finding import find_plot
from inventory.queries.verifying import verify
from inventory.rules.codes import CodeUnknown
from inventory.rules.mistakes import Refused
from tests.inventory.importing.kinds_of_rows import check, load, open_ones
from tests.make import NOW, House, house, received

pytestmark = pytest.mark.django_db
SHEET = """
    Plot;Line;Season;Trial;Rep;Position;Sown;Area;Generation;Field weight
    ST25-T101;N-1;2025;ST25-T;1;1;2025-05-20;14.4;F8;4.21
    ST25-T102;b-1;2025;ST25-T;1;2;20 mai 2025;14.4;8;
    ST25-I1;N-1;2025;;;;2025-05-20;2800;;800
"""


@pytest.fixture
def plant() -> House:
    return house()


def test_each_row_enters_a_plot_and_what_it_weighed(plant):
    outcome = load(plant, "plots", SHEET)
    assert (outcome.rows, outcome.saved) == (3, 3)
    assert [(f.row, f.column, f.level.value) for f in outcome.findings] == [
        (3, "Line", "note"), (3, "Sown", "note"),
    ]  # fmt: skip
    trial, block = Plot.objects.get(code="ST25-T101"), Plot.objects.get(code="ST25-I1")
    assert (trial.line.name, trial.season, trial.rep, trial.position, trial.generation) == ("N-1", 2025, 1, 1, 8)
    assert (trial.sown_on, trial.area_m2, trial.is_block) == (date(2025, 5, 20), Decimal("14.40"), False)
    assert (block.is_block, block.trial) == (True, "")
    assert {(w.plot.code, w.mg, w.is_estimate) for w in FieldWeight.objects.all()} == {
        ("ST25-T101", 4_210_000, False), ("ST25-I1", 800_000_000, True),
    }  # fmt: skip
    assert verify(plant.station).differences == []


@pytest.mark.parametrize(
    ("row", "found"),
    [
        ("ST25-T101;N-9;2025;1;1;2025-05-20;14.4", [(2, "Line", "error")]),
        ("ST25-T101;;2025;1;1;2025-05-20;14.4", [(2, "Line", "error")]),
        ("XX25-T101;N-1;2025;1;1;2025-05-20;14.4", [(2, "", "error")]),
        ("ST25-T1O1;N-1;2025;1;1;2025-05-20;14.4", [(2, "Plot", "question")]),
        ("ST25-T101;N-1;2025;one;1;2025-05-20;14.4", [(2, "Rep", "error")]),
        ("ST25-T101;N-1;2025;1;1.5;2025-05-20;14.4", [(2, "Position", "error")]),
        ("ST25-T101;N-1;2025;1;1;2031-05-20;14.4", [(2, "Sown", "error")]),
        ("ST25-T101;N-1;2025;1;1;2025-05-20;-3", [(2, "Area", "error")]),
        ("ST24-N-1-1;N-2;2024;;;;", [(2, "Plot", "error")]),
    ],
)
def test_what_cannot_be_entered_is_named_at_its_cell(plant, row, found):
    before = (Operation.objects.count(), Plot.objects.count())
    outcome = load(plant, "plots", f"Plot;Line;Season;Rep;Position;Sown;Area\n{row}")
    assert open_ones(outcome) == found
    assert (Operation.objects.count(), Plot.objects.count()) == before


def test_plots_that_stand_as_typed_change_nothing_and_make_no_load(plant):
    load(plant, "plots", SHEET)
    before = Operation.objects.count()
    again = load(plant, "plots", SHEET + "\n")
    assert (again.saved, again.is_open) == (0, False)
    other = load(plant, "plots", SHEET.replace("Plot;", "Plot code;"))
    assert (other.rows, other.saved, other.load, other.is_open) == (3, 0, None, False)
    assert "ST25-T101 is in the books already" in other.findings[0].says
    assert (Operation.objects.count(), Load.objects.count()) == (before, 1)


def test_a_load_of_plots_is_taken_back_and_the_same_codes_come_in_again(plant):
    done = load(plant, "plots", SHEET).load
    unload(done, station=plant.station, by=plant.records, now=NOW)
    with pytest.raises(CodeUnknown):
        find_plot(plant.station, "ST25-T101")
    again = load(plant, "plots", SHEET.replace("ST25-T101;N-1", "ST25-T101;N-2"))
    assert again.saved == 3
    assert find_plot(plant.station, "ST25-T101")[0].line.name == "N-2"
    assert Plot.objects.filter(code="ST25-T101").count() == 1
    assert verify(plant.station).differences == []


def test_plots_that_delivered_are_not_taken_back(plant):
    done = load(plant, "plots", SHEET).load
    received(plant, "4.2", plot="ST25-T101", at="2025-05-30")
    with pytest.raises(Refused, match="was used by receive #"):
        unload(done, station=plant.station, by=plant.records, now=NOW)
    assert Plot.objects.filter(taken_back=True).count() == 0


def test_areas_come_in_the_unit_of_their_heading(plant):
    load(plant, "plots", "Plot;Line;Area (ha)\nST25-I1;N-1;0.28")
    assert Plot.objects.get(code="ST25-I1").area_m2 == Decimal("2800.00")


def test_a_letter_among_digits_of_a_new_code_is_put_right_as_answered(plant):
    text = "Plot;Line\nST25-T1O1;N-1"
    assert check(plant, "plots", text).findings[0].proposal == "ST25-T101"
    load(plant, "plots", text, [{"row": 2, "column": "Plot", "answer": "accept"}])
    assert Plot.objects.filter(code="ST25-T101").exists()


@pytest.mark.parametrize("remark", ["sown from breeder seed", "breeder seed", "Semé de breeder seed"])
def test_a_remark_that_says_what_was_sown_is_kept_without_its_first_words(plant, remark):
    load(plant, "plots", f"Plot;Line;Season;Area;Remarks\nST25-I1;N-1;2025;2800;{remark}")
    assert Plot.objects.get(code="ST25-I1").sown_from_note == "breeder seed"
