"""Field notes: what is kept, what is asked, how a note is put right, and a sheet of them."""

from datetime import date

import pytest

from inventory.actions.noting import Amending, Noting, amend_notes, note_all
from inventory.actions.plots import NewPlot, add_plots
from inventory.actions.reversing import reverse
from inventory.models import FieldNote, Operation, Plot, PlotStage
from inventory.queries.notes import notes_in_words, standing_notes
from inventory.queries.verifying import verify
from inventory.queries.weather import stage_days
from inventory.rules.mistakes import Refused
from tests.inventory.importing.kinds_of_rows import check, load
from tests.make import NOW, House, house, received

pytestmark = pytest.mark.django_db
PLOT = "ST24-N-1-1"


@pytest.fixture
def plant() -> House:
    return house()


def noted(plant, *notes, **asked):
    typed = [Noting(**{"plot": PLOT, **note} if "lot" not in note else note) for note in notes]
    return note_all(typed, station=plant.station, by=plant.breeder, now=NOW, **asked)


def amended(plant, reason="looked at the wrong row", **words):
    typed = [Amending(**{"plot": PLOT, **words})]
    return amend_notes(typed, station=plant.station, by=plant.breeder, now=NOW, reason=reason)


def test_each_note_is_an_act_of_its_own_and_moves_no_seed(plant):
    lot = received(plant)
    booked = noted(
        plant, {"variable": "white mold", "value": "4", "observer": "A. Reader", "at": "2024-08-20"},
        {"variable": "seed weight", "value": "19.80", "lot": lot.number},
    )  # fmt: skip
    assert [(act.kind, act.entries.count()) for act in booked.operations] == [("note", 0), ("note", 0)]
    rows = [(str(row.plot or row.lot), row.variable, row.value, row.observer) for row in FieldNote.objects.all()]
    assert rows == [
        (PLOT, "CO_335:0000443", "4", "A. Reader"), (lot.number, "CO_335:0000001", "19.80", ""),
    ]  # fmt: skip
    assert verify(plant.station).is_whole


def test_a_value_off_its_scale_is_asked_about_and_kept_with_the_answer(plant):
    with pytest.raises(Refused, match="White mold is 12; its scale goes from 1"):
        noted(plant, {"variable": "white mold", "value": "12"})
    assert not FieldNote.objects.exists()
    booked = noted(plant, {"variable": "white mold", "value": "12"}, answers={"off_scale": "our own scale to 15"})
    assert "our own scale to 15" in booked.operations[0].content


def test_all_that_is_wrong_is_said_at_once(plant):
    with pytest.raises(Refused) as refused:
        noted(
            plant, {"variable": "white mold", "value": "bad"}, {"variable": "yield", "value": "2100"},
            {"variable": "flowering", "value": "2026-07-01"}, {"variable": "yild", "value": "1", "plot": "Z-9"},
            {"variable": "standing", "value": "3", "lot": received(plant).number},
            {"variable": "standing", "value": ""}, {"variable": "standing", "value": "1", "plot": ""},
        )  # fmt: skip
    assert {mistake.code for mistake in refused.value.mistakes} == {
        "not_on_scale", "missing", "future_date", "code_unknown", "not_noted_of", "about_one_thing",
    }  # fmt: skip
    assert not FieldNote.objects.exists()


def test_a_yield_says_at_which_moisture_it_stands(plant):
    noted(plant, {"variable": "yield", "value": "2350", "moisture": "16"})
    (told,) = notes_in_words(Plot.objects.get(code=PLOT))
    assert told.value == "2350 kg/ha at 16 % moisture"


def test_a_note_of_maturity_is_the_plots_stage_and_a_stage_is_a_note(plant):
    noted(plant, {"variable": "maturity", "value": "2024-08-30"})
    plot = Plot.objects.get(code=PLOT)
    assert stage_days([plot], "maturity") == {plot.pk: date(2024, 8, 30)}
    amended(plant, variable="maturity", value="2024-09-01")
    assert stage_days([plot], "maturity") == {plot.pk: date(2024, 9, 1)}
    assert PlotStage.objects.count() == 2


def test_a_note_that_is_put_right_keeps_its_id_and_its_history(plant):
    noted(plant, {"variable": "standing", "value": "2"})
    first = FieldNote.objects.get()
    amended(plant, variable="standing", value="3")
    (now,) = standing_notes(plant.station)
    assert (now.uid, now.value, now.operation.about) == (first.uid, "3", first.operation)
    assert first.operation.reversed_by.reason == "looked at the wrong row"
    amended(plant, variable="standing", value="4", note=str(first.uid))
    assert [(row.value, row.uid) for row in FieldNote.objects.order_by("pk")] == [
        (value, first.uid) for value in ("2", "3", "4")
    ]
    assert verify(plant.station).is_whole


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ({"variable": "standing", "value": "3"}, "Nothing was noted of ST24-N-1-1 as standing"),
        ({"variable": "standing", "value": "3", "note": "7"}, "'7' is the id of no note"),
    ],
)
def test_what_was_never_noted_cannot_be_put_right(plant, words, says):
    with pytest.raises(Refused, match=says):
        amended(plant, **words)


def test_putting_right_needs_a_reason_and_a_value_that_can_be_read(plant):
    noted(plant, {"variable": "standing", "value": "2"})
    with pytest.raises(Refused, match="Write why"):
        amended(plant, reason="", variable="standing", value="3")
    with pytest.raises(Refused, match="reads 'flat'"):
        amended(plant, variable="standing", value="flat")
    assert Operation.objects.count() == 1


def test_a_note_that_is_taken_back_is_not_told(plant):
    booked = noted(plant, {"variable": "standing", "value": "2"})
    reverse(booked.operations[0], station=plant.station, by=plant.intake, reason="wrong plot", now=NOW)
    assert not standing_notes(plant.station).exists()
    assert verify(plant.station).is_whole


def test_many_notes_cost_few_queries(plant, django_assert_max_num_queries):
    with django_assert_max_num_queries(40):
        noted(plant, *[{"variable": "standing", "value": str(1 + n % 9)} for n in range(60)])


SHEET = """Plot;Date;Flowering;Maturity;White mold;Standing;Yield kg/ha;At moisture;Remarks
ST24-N-1-1;2024-09-20;2024-07-10;2024-09-02;4;2;2350;16;late rain
ST24-N-1-2;2024-09-20;;;1;1;2510,5;16;
"""


def test_a_sheet_of_field_notes_is_a_row_per_plot(plant):
    load(plant, "notes", SHEET)
    rows = {(row.plot.code[-1], row.variable, row.value) for row in standing_notes(plant.station)}
    assert len(rows) == 9
    assert ("1", "CO_335:0000867", "2024-07-10") in rows
    assert ("2", "CO_335:0000068", "2510.5") in rows
    assert verify(plant.station).is_whole


@pytest.mark.parametrize(
    ("row", "column", "says"),
    [
        ("ST24-N-1-1;2024-09-20;;;12;;;;", "White mold", "White mold is 12"),
        ("ST24-N-1-1;2024-09-20;;;bad;;;;", "White mold", "White mold reads 'bad'"),
        ("ST24-N-1-1;2024-09-20;;;;;2350;;", "At moisture", "Moisture is missing"),
        ("ST24-N-1-1;2024-09-20;;;;;;;", "Plot", "Nothing is noted of ST24-N-1-1"),
        ("ST24-N-9-1;2024-09-20;;;1;;;;", "Plot", "'ST24-N-9-1'"),
    ],
)
def test_what_is_wrong_in_a_sheet_is_said_at_its_cell(plant, row, column, says):
    head = SHEET.splitlines()[0]
    outcome = check(plant, "notes", f"{head}\n{row}\n")
    assert [f.column for f in outcome.findings if f.is_open and says in f.says] == [column]


def test_a_plot_that_something_was_noted_of_is_not_taken_back(plant):
    plot = NewPlot(code="HF25-T1", line="N-1", site="ST", season=2025)
    entry = add_plots([plot], station=plant.station, by=plant.breeder, now=NOW).operations[0]
    noted(plant, {"plot": "HF25-T1", "variable": "standing", "value": "2"})
    with pytest.raises(Refused, match="used by note #2"):
        reverse(entry, station=plant.station, by=plant.intake, reason="wrong plot", now=NOW)


def test_what_was_noted_stands_on_the_pages_of_plot_and_lot(plant, client):
    lot = received(plant)
    noted(plant, {"variable": "yield", "value": "2350", "moisture": "16"})
    noted(plant, {"variable": "seed weight", "value": "19.8", "lot": lot.number})
    client.force_login(plant.breeder)
    assert "2350 kg/ha at 16 % moisture" in client.get(f"/of/plot/{PLOT}/").content.decode()
    assert "19.8 g" in client.get(f"/lots/{lot.number}/").content.decode()
