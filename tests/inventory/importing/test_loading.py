"""Loading sheets of deliveries: what is asked, what is kept, and that it is all or nothing."""

import json
import os
import subprocess
import sys
from decimal import Decimal
from pathlib import Path

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.actions.bagging import Bagging, bag_off
from inventory.actions.loading import unload
from inventory.actions.reversing import reverse
from inventory.importing.answers import read_answers
from inventory.importing.kinds import kind_named
from inventory.importing.loading import Outcome, check_sheet, load_sheet
from inventory.models import Load, Lot, LotCounter, Moisture, Operation, Place, Receipt, Station, Stock
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.inventory.importing.books import book_of
from tests.make import NOW, House, house, received

pytestmark = pytest.mark.django_db
INTAKE = kind_named("intake")
HEAD = "Date;Lot;Line;Plot;Gross;Tare;Net;Moist;Bin"


@pytest.fixture
def plant() -> House:
    return house()


def sheet(*rows: str, head: str = HEAD) -> bytes:
    return "\n".join((head, *rows)).encode()


def check(plant: House, *rows: str, head: str = HEAD, answers: object = ()) -> Outcome:
    given = read_answers(json.dumps(list(answers)))
    return check_sheet(sheet(*rows, head=head), "in.csv", INTAKE, station=plant.station, answers=given, now=NOW)


def load(plant: House, *rows: str, head: str = HEAD, answers: object = (), by: str = "records") -> Outcome:
    given = read_answers(json.dumps(list(answers)))
    return load_sheet(
        sheet(*rows, head=head), "in.csv", INTAKE, station=plant.station, by=plant.people[by], answers=given, now=NOW
    )


def said(outcome: Outcome) -> list[tuple[int | None, str, str, str]]:
    return [(f.row, f.column, f.level.value, f.says) for f in outcome.findings]


GOOD = "2024-09-24;24-0001;N-1;ST24-N-1-1;842;42;800;16.2;F-1"


def test_a_clean_row_has_no_findings_and_its_number_is_completed(plant):
    outcome = load(plant, GOOD)
    assert said(outcome) == []
    assert (outcome.rows, outcome.saved) == (1, 1)
    receipt = Receipt.objects.get()
    assert (receipt.lot.number, receipt.gross_mg, receipt.tare_mg) == ("24-0001-5", 842_000_000, 42_000_000)
    assert Moisture.objects.get().wet_basis_pct == "16.2"


@pytest.mark.parametrize(
    ("row", "column", "level", "words"),
    [
        ("2024-09-24;24-0001-4;N-1;ST24-N-1-1;842;42;800;16.2;F-1", "Lot", "error", "24-0001-4 does not check"),
        ("2024-09-24;24-0001;N-9;ST24-N-1-1;842;42;800;16.2;F-1", "Line", "error", "'N-9' is not a line we know"),
        ("2024-09-24;24-0001;N-1;ST24-X-9;842;42;800;16.2;F-1", "Plot", "error", "'ST24-X-9' is not a plot we know"),
        ("2024-09-24;24-0001;N-1;ST24-N-1-1;842;42;800;16.2;Q-9", "Bin", "error", "'Q-9' is not a place we know"),
        ("2024-09-24;24-0001;N-1;ST24-N-1-1;28;42;;16.2;F-1", "Gross", "error", "Gross 28.0 kg is less than"),
        ("2024-09-24;24-0001;N-1;ST24-N-1-1;42;42;;16.2;F-1", "Gross", "error", "nothing is in it"),
        ("2024-09-24;24-0001;N-1;ST24-N-1-1;-5;;;16.2;F-1", "Gross", "error", "less than nothing"),
        ("2024-09-24;24-0001;N-1;ST24-N-1-1;NaN;;;16.2;F-1", "Gross", "error", "cannot be read as a number"),
        ("2024-09-24;24-0001;N-1;ST24-N-1-1;9999999;;;16.2;F-1", "Gross", "error", "more than 100 t"),
        ("2024-09-24;24-0001;N-1;ST24-N-1-1;842 stone;;;16.2;F-1", "Gross", "error", "not a unit of mass"),
        ("2024-09-24;24-0001;N-1;ST24-N-1-1;1,234;;;16.2;F-1", "Gross", "question", "can be 1.234 or 1,234"),
        ("2031-09-24;24-0001;N-1;ST24-N-1-1;842;42;800;16.2;F-1", "Date", "error", "has not come yet"),
        ("2024-02-30;24-0001;N-1;ST24-N-1-1;842;42;800;16.2;F-1", "Date", "error", "not in the calendar"),
        (";24-0001;N-1;ST24-N-1-1;842;42;800;16.2;F-1", "Date", "error", "Date is empty"),
        ("2024-09-24;24-0001;N-2;ST24-N-1-1;842;42;800;16.2;F-1", "Line", "question", "sown with N-1"),
        ("2024-09-24;24-0001;N-1;ST24-N-1-1 ST24-B-1-1;842;42;800;16;F-1", "Plot", "error", "hold B-1 and N-1"),
        ("2024-09-24;24-0001;N-1;ST24-N-1-1;842;42;801;16.2;F-1", "Net", "question", "that makes 800.0 kg"),
        ("2024-09-24;24-0001;N-1;ST24-N-1-1;842;42;800;0.162;F-1", "Moist", "question", "Did you mean 16.2 %?"),
        ("2024-09-24;24-0001;N-1;ST24-N-1-1;842;42;800;116;F-1", "Moist", "error", "between 0 and 100"),
    ],
)
def test_each_bad_cell_is_named_with_its_reason_and_nothing_is_saved(plant, row, column, level, words):
    outcome = load(plant, row)
    found = [finding for finding in outcome.findings if finding.is_open]
    assert [(f.row, f.column, f.level.value) for f in found] == [(2, column, level)]
    assert words in found[0].says.replace("N-1 and B-1", "B-1 and N-1")
    assert (outcome.saved, Lot.objects.count(), Load.objects.count()) == (0, 0, 0)


def test_everything_wrong_in_a_row_is_said_at_once(plant):
    outcome = check(plant, "2031-09-24;24-0001-4;N-9;ST24-N-1-1;28;42;;0.162;Q-9")
    assert [f.column for f in outcome.findings if f.is_open] == ["Date", "Lot", "Line", "Gross", "Moist", "Bin"]


def test_later_rows_are_read_as_they_will_be_once_a_question_is_answered(plant):
    outcome = check(plant, GOOD.replace("16.2", "0.162"), GOOD)
    assert [(f.row, f.level.value) for f in outcome.findings] == [(2, "question"), (3, "duplicate")]


def test_one_bad_row_keeps_all_others_out(plant):
    outcome = load(plant, GOOD, "2024-09-25;24-0002;N-9;ST24-N-1-2;842;42;800;16.2;F-1")
    assert (outcome.saved, Operation.objects.count()) == (0, 0)


def test_a_plot_may_deliver_again_and_it_is_a_note(plant):
    load(plant, GOOD)
    outcome = load(plant, GOOD.replace("24-0001", "24-0002").replace("842;42;800", "342;42;300"))
    assert [(column, level) for _row, column, level, _says in said(outcome)] == [("Plot", "note")]
    assert "came before: 24-0001-5, 800.0 kg on 2024-09-24" in outcome.findings[0].says
    assert outcome.saved == 1


def test_what_is_in_the_books_already_is_a_duplicate_and_may_be_left_out(plant):
    received(plant, lot="24-0001")
    assert [level for _row, _column, level, _says in said(check(plant, GOOD))] == ["duplicate"]
    outcome = load(plant, GOOD, answers=[{"row": 2, "column": "Lot", "answer": "leave_out"}])
    assert (outcome.rows, outcome.saved, outcome.load, outcome.is_open) == (1, 0, None, False)


def test_units_stand_in_the_heading_the_cell_or_a_column_of_their_own(plant):
    load(plant, "2024-09-24;24-0001;ST24-N-1-1;1856.3;92.6;1763.7", head="Date;Lot;Plot;Gross (lb);Tare lb;Net [lbs]")
    load(plant, "2024-09-24;24-0002;ST24-N-1-2;1856.3;92.6;lb", head="Date;Lot;Plot;Gross;Tare;Unit")
    load(plant, "2024-09-24;24-0003;ST24-N-2-1;1856.3 lb;92.6 lb", head="Date;Lot;Plot;Gross;Tare")
    # 1,763.7 lb × 453,592.37 mg, by the definition of the pound
    assert set(Receipt.objects.values_list("net_mg", flat=True)) == {800_000_863}


def test_a_dry_basis_heading_and_a_per_cent_cell_are_read_as_wet_basis(plant):
    outcome = load(plant, "2024-09-24;24-0001;ST24-N-1-1;842;21.1", head="Date;Lot;Plot;Net;Moisture (% dry basis)")
    assert Moisture.objects.get().wet_basis_pct == "17.42"  # 21.1 ÷ 121.1
    assert [(c, level) for _r, c, level, _s in said(outcome)] == [("Moisture (% dry basis)", "note")]


def test_the_sheets_own_decimal_comma_decides_what_could_be_thousands(plant):
    rows = ["2024-09-24;24-0001;ST24-N-1-1;1,234;16,2", "2024-09-25;24-0002;ST24-N-1-2;12,5;16,0"]
    outcome = load(plant, *rows, head="Date;Lot;Plot;Net;Moist")
    assert said(outcome) == []
    assert set(Receipt.objects.values_list("net_mg", flat=True)) == {1_234_000, 12_500_000}


def test_a_number_that_could_be_two_is_read_as_the_others_and_said(plant):
    rows = ["2024-09-24;24-0001;ST24-N-1-1;1,234;16", "2024-09-25;24-0002;ST24-N-1-2;1,240.5;16.0"]
    outcome = load(plant, *rows, head="Date;Lot;Plot;Net;Moist")
    assert [(f.row, f.says) for f in outcome.findings] == [
        (2, "'1,234' was read with a comma between thousands, as other numbers of this sheet are written.")
    ]
    assert set(Receipt.objects.values_list("net_mg", flat=True)) == {1_234_000_000, 1_240_500_000}


def test_a_net_that_was_never_calculated_is_proposed_from_gross_and_tare(plant):
    content = book_of(
        ["Date", "Lot", "Plot", "Gross", "Tare", "Net"],
        ["2024-09-24", "24-0001", "ST24-N-1-1", 842.5, 42, "=D2-E2"],
    )
    outcome = check_sheet(content, "in.xlsx", INTAKE, station=plant.station, now=NOW)
    assert [(f.column, f.cell, f.proposal) for f in outcome.findings] == [("Net", "F2", "800.5")]
    answers = read_answers('[{"row": 2, "column": "Net", "answer": "accept"}]')
    by = plant.people["records"]
    load_sheet(content, "in.xlsx", INTAKE, station=plant.station, by=by, answers=answers, now=NOW)
    assert Receipt.objects.get().net_mg == 800_500_000


def test_a_moment_in_the_date_cell_is_kept(plant):
    load(plant, GOOD.replace("2024-09-24", "2024-09-24 08:14"))
    assert Operation.objects.get().at.isoformat() == "2024-09-24T13:14:00+00:00"  # the station is five hours behind


def test_a_missing_date_is_asked_about_with_that_of_the_row_above(plant):
    other = ";24-0002;N-1;ST24-N-1-2;842;42;800;16.2;F-1"
    assert [(f.row, f.proposal) for f in check(plant, GOOD, other).findings] == [(3, "2024-09-24")]
    assert load(plant, GOOD, other, answers=[{"row": 3, "column": "Date", "answer": "accept"}]).saved == 2


def test_a_row_that_names_no_place_stands_on_the_intake_floor(plant):
    Place.objects.filter(code="F-1").delete()
    load(plant, "2024-09-24;24-0001;ST24-N-1-1;842", head="Date;Lot;Plot;Net")
    assert Stock.objects.get().place.code == "F-1"


def test_rows_without_a_number_take_the_next_of_their_year_without_a_gap(plant):
    rows = [f"2024-09-2{day};ST24-N-1-{plot};84{day}" for day in (4, 5) for plot in (1, 2)]
    rows[0] = rows[0] + ";0.16"
    outcome = load(
        plant, *rows, head="Date;Plot;Net;Moist", answers=[{"row": 2, "column": "Moist", "answer": "accept"}]
    )
    assert outcome.saved == 4
    assert sorted(Lot.objects.values_list("running", flat=True)) == [1, 2, 3, 4]
    assert LotCounter.objects.get().last == 4


def test_who_may_not_load_is_told_who_may(plant):
    with pytest.raises(Refused, match="intake may not load a sheet; records may"):
        load(plant, GOOD, by="intake")
    assert Load.objects.count() == 0


def test_a_sheet_without_a_row_is_refused(plant):
    with pytest.raises(Refused, match="no intake \\(deliveries\\) below"):
        check(plant)


def test_taking_back_names_what_stands_on_it_and_changes_nothing(plant):
    loaded = load(plant, GOOD, "2024-09-25;24-0002;N-1;ST24-N-1-2;842;42;800;16.2;F-1").load
    bag_off(
        Bagging(lot="24-0001-5", count=4, at="2024-09-26"),
        station=plant.station, by=plant.intake, now=NOW,
    )  # fmt: skip
    before = Operation.objects.count()
    with pytest.raises(Refused, match="What receive #1 of 2024-09-24 made was used by bag"):
        unload(loaded, station=plant.station, by=plant.records, now=NOW)
    assert Operation.objects.count() == before
    assert Load.objects.get().unloaded_at is None


def test_taking_back_leaves_alone_what_was_reversed_before(plant):
    loaded = load(plant, GOOD, "2024-09-25;24-0002;N-1;ST24-N-1-2;842;42;800;16.2;F-1").load
    first = Operation.objects.get(seq=1)
    reverse(first, station=plant.station, by=plant.records, reason="wrong tag", now=NOW)
    booked = unload(loaded, station=plant.station, by=plant.records, now=NOW)
    assert [act.reverses.seq for act in booked.operations] == [2]
    assert verify(plant.station).differences == []
    with pytest.raises(Refused, match="was taken back already"):
        unload(loaded, station=plant.station, by=plant.records, now=NOW)


def many(count: int) -> list[str]:
    days = [f"2024-09-{1 + number % 28:02d}" for number in range(count)]
    return [
        f"{day};24-{number + 1:04d};N-1;ST24-N-1-{1 + number % 2};{300 + number};42;{258 + number};16.2;F-1"
        for number, day in enumerate(days)
    ]


def test_the_number_of_queries_does_not_grow_with_the_rows(plant):
    """Only what the database takes in parts grows: 199 lots a statement of SQLite."""
    with CaptureQueriesContext(connection) as few:
        assert check(plant, *many(30)).rows == 30
    with CaptureQueriesContext(connection) as more:
        assert check(plant, *many(300)).rows == 300
    assert len(more) <= len(few) + 3
    with CaptureQueriesContext(connection) as saving:
        assert load(plant, *many(300)).saved == 300
    assert len(saving) <= 2 * len(few) + 60


KILLED = """
import os, sys
import django
django.setup()
from inventory.actions import loading
from inventory.importing.kinds import kind_named
from inventory.importing.loading import load_sheet
from django.contrib.auth.models import User
from inventory.models import Station, Operation

post_all = loading.post_all
def killed(drafts):
    done = post_all(drafts)
    assert Operation.objects.filter(load__isnull=False).count() == 2
    os.kill(os.getpid(), 9)
loading.post_all = killed
content = sys.stdin.buffer.read()
load_sheet(content, "in.csv", kind_named("intake"), station=Station.objects.get(),
           by=User.objects.get(username="records-st"))
"""
PREPARED = """
import django
django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
from tests.make import house
house()
"""
COUNTED = """
import django
django.setup()
from inventory.models import Load, Lot, Operation, Station
from inventory.queries.verifying import verify
print(Load.objects.count(), Lot.objects.count(), Operation.objects.count(), verify(Station.objects.get()).differences)
"""


@pytest.mark.slow
def test_a_process_killed_in_mid_load_leaves_nothing(tmp_path):
    env = {**os.environ, "HILUM_DATA": str(tmp_path), "DJANGO_SETTINGS_MODULE": "hilum.settings"}
    env.pop("DATABASE_URL", None)
    root = Path(__file__).parents[3]

    def run(script: str, content: bytes = b"") -> subprocess.CompletedProcess[bytes]:
        return subprocess.run(
            [sys.executable, "-c", script],
            input=content,
            env=env,
            cwd=root,
            capture_output=True,
            timeout=120,
            check=False,
        )

    assert run(PREPARED).returncode == 0
    end = run(KILLED, sheet(GOOD, "2024-09-25;24-0002;N-1;ST24-N-1-2;842;42;800;16.2;F-1"))
    assert end.returncode == -9, end.stderr.decode()
    assert run(COUNTED).stdout.decode().split() == ["0", "0", "0", "[]"]


def test_kilograms_are_never_floats(plant):
    load(plant, GOOD.replace("842;42;800", "12.52;0.10;12.42"))
    assert Receipt.objects.get().net_mg == int(Decimal("12.42") * 1_000_000)


def test_two_stations_load_the_same_file_each_for_itself(plant):
    load(plant, GOOD)
    other = house("SU")
    assert load(other, GOOD).saved == 1
    assert Station.objects.filter(load__isnull=False).count() == 2
