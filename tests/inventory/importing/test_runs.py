"""Sheets of runs over the cleaning line."""

import json

import pytest

from inventory.actions.loading import unload
from inventory.models import Entry, Operation, RunRecord, Standing, Stock
from inventory.queries.verifying import verify
from tests.inventory.importing.kinds_of_rows import check, load, open_ones
from tests.make import NOW, House, house, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    plant = house()
    received(plant, "800", lot="24-0001")
    return plant


SEASON = """
    Run;Date;Machine;Feed lot;Feed;Out lot;Clean;Scalp;Through;Air;Lights;Middlings;Stones;Bin;Clean-out;Screens
    R01;2024-10-08;air-screen;24-0001;798.0;24-0014;741.2;9.4;30.6;12.3;;;;L-1;yes;top 18/64 round
    R02;2024-10-09;gravity;24-0014-0;739.2;24-0015;703.0;;;;27.1;7.0;0.6;L-1;no;
    R03;2024-10-09;sizing;24-0015;703.0;24-0016;587.2;;10.6;;;;;A-01;yes;11/64 and 10/64 slotted
    R03;2024-10-09;sizing;24-0015;703.0;24-0017;103.8;;;;;;;B-01;yes;
"""


def test_rows_of_one_run_are_one_run_and_lots_that_came_out_are_fed_further_down(plant):
    outcome = load(plant, "runs", SEASON)
    assert (outcome.rows, outcome.saved, outcome.findings) == (3, 3, [])
    assert list(RunRecord.objects.values_list("number", "is_cleaned_out").order_by("number")) == [
        ("R01", True), ("R02", False), ("R03", True),
    ]  # fmt: skip
    sizing = Operation.objects.get(run__number="R03")
    left = {(entry.lot and entry.lot.number, entry.stream, entry.account): entry.mg for entry in sizing.entries.all()}
    assert left == {
        ("24-0015-4", "", ""): -703_000_000, ("24-0016-5", "", ""): 587_200_000, ("24-0017-9", "", ""): 103_800_000,
        (None, "throughs", "screenings"): 10_600_000, (None, "", "unaccounted"): 1_400_000,
    }  # fmt: skip
    assert {stock.lot.number: stock.place.code for stock in Stock.objects.filter(mg__gt=0)} == {
        "24-0001-5": "F-1", "24-0014-0": "L-1", "24-0016-5": "A-01", "24-0017-9": "B-01",
    }  # fmt: skip
    assert verify(plant.station).differences == []


def test_lots_may_stand_side_by_side_in_one_row(plant):
    head = "Run;Date;Machine;Feed lot;Feed;Out lot;Clean;Out lot 2;Clean 2;Place 2"
    outcome = load(plant, "runs", f"{head}\nR1;2024-10-08;sizing;24-0001;800;24-0002;500;24-0003;300;A-01")
    assert (outcome.saved, outcome.findings) == (1, [])
    assert Entry.objects.get(lot__number="24-0003-1").place.code == "A-01"


@pytest.mark.parametrize(
    ("row", "found"),
    [
        ("R1;2024-10-08;air-screen;24-0009;800;24-0002;790;10", [(2, "Feed lot", "error")]),
        ("R1;2024-10-08;air-screen;24-0001;900;24-0002;890;10", [(2, "Feed", "error")]),
        ("R1;2024-10-08;air-screen;24-0001;800;24-0002;790;20", [(2, "Clean", "error")]),
        ("R1;2024-10-08;air-screen;24-0001;800;24-0002;700;20", [(2, "Clean", "question")]),
        ("R1;2024-10-08;steamer;24-0001;800;24-0002;790;10", [(2, "Machine", "error")]),
        ("R1;2024-10-08;air-screen;24-0001;800;24-0001;790;10", [(2, "Out lot", "error")]),
        ("R1;2024-10-08;air-screen;24-0001;800;24-0002;;800", [(2, "Clean", "error")]),
        ("R1;2024-10-08;air-screen;24-0001;800;24-0002;790;-1", [(2, "Through", "error")]),
        ("R1;2031-10-08;air-screen;24-0001;800;24-0002;790;10", [(2, "Date", "error")]),
    ],
)
def test_what_does_not_add_up_is_named_at_its_cell_and_nothing_is_saved(plant, row, found):
    before = Operation.objects.count()
    outcome = load(plant, "runs", f"Run;Date;Machine;Feed lot;Feed;Out lot;Clean;Through\n{row}")
    assert open_ones(outcome) == found
    assert Operation.objects.count() == before


def test_a_gap_over_what_is_allowed_may_be_kept_with_a_reason(plant):
    text = "Run;Date;Machine;Feed lot;Feed;Out lot;Clean\nR1;2024-10-08;air-screen;24-0001;800;24-0002;700"
    answer = {"row": 2, "column": "Clean", "answer": "keep", "reason": "a tote is still out"}
    assert load(plant, "runs", text, [answer]).saved == 1
    act = Operation.objects.get(run__number="R1")
    assert list(json.loads(act.content)["facts"]["asked"].values()) == ["a tote is still out"]


def test_the_same_feed_typed_twice_is_asked_about(plant):
    head = "Run;Date;Machine;Feed lot;Feed;Out lot;Clean"
    rows = [f"R{n};2024-10-08;air-screen;24-0001;300;24-000{n};299" for n in (2, 3)]
    text = "\n".join((head, *rows))
    assert open_ones(check(plant, "runs", text)) == [(3, "Feed", "duplicate")]
    left_out = load(plant, "runs", text, [{"row": 3, "column": "Feed", "answer": "accept"}])
    assert (left_out.rows, left_out.saved) == (2, 1)
    unload(left_out.load, station=plant.station, by=plant.records, now=NOW)
    kept = load(plant, "runs", text, [{"row": 3, "column": "Feed", "answer": "keep", "reason": "two totes"}])
    assert kept.saved == 2


def test_rows_of_a_run_that_tell_different_things_are_named(plant):
    text = SEASON.replace("sizing;24-0015;703.0;24-0017", "sizing;24-0015;700.0;24-0017")
    found = [finding for finding in check(plant, "runs", text).findings if finding.is_open]
    assert [(f.row, f.column) for f in found] == [(5, "Feed")]
    assert "reads '703.0' in row 4 and '700.0' in row 5" in found[0].says


def test_a_spout_copied_down_is_taken_once_or_twice_as_answered(plant):
    text = SEASON.replace("24-0017;103.8;;;;", "24-0017;103.8;;10.6;;")
    assert open_ones(check(plant, "runs", text))[0] == (5, "Through", "question")
    assert load(plant, "runs", text, [{"row": 5, "column": "Through", "answer": "accept"}]).saved == 3
    assert Entry.objects.get(stream="throughs", operation__run__number="R03").mg == 10_600_000


def test_spouts_in_pounds_and_an_unaccounted_column_are_held_against_the_rest(plant):
    head = "Run;Date;Machine;Feed lot;Feed (lb);Out lot;Clean (lb);Through (lb);Unaccounted (lb)"
    text = f"{head}\nR1;2024-10-08;air-screen;24-0001;1000;24-0002;980;15;9"
    assert open_ones(check(plant, "runs", text)) == [(2, "Unaccounted (lb)", "question")]
    load(plant, "runs", text, [{"row": 2, "column": "Unaccounted (lb)", "answer": "accept"}])
    # 5 lb × 453,592.37 mg, each mass rounded once: 453,592,370 − 444,520,523 − 6,803,886
    assert Entry.objects.get(account="unaccounted").mg == 2_267_961


def test_a_load_of_runs_is_taken_back_newest_first(plant):
    done = load(plant, "runs", SEASON).load
    unload(done, station=plant.station, by=plant.records, now=NOW)
    assert [(s.lot.number, s.mg) for s in Stock.objects.filter(mg__gt=0)] == [("24-0001-5", 800_000_000)]
    assert load(plant, "runs", SEASON).saved == 3
    assert Standing.objects.get(lot__number="24-0016-5").opening_mg == 587_200_000
    assert verify(plant.station).differences == []
