"""Whether cleaning would help, asked of the plant's own runs."""

import csv
import io
from typing import Any

import pytest
from django.test import Client

from grading.pages import recleaning
from inventory.models import Lot
from tests.grading.queries.figures.test_cleaning_runs import graded, three_runs
from tests.grading.station import Bench, station
from tests.inventory.pages.test_line import text, value

pytestmark = pytest.mark.django_db
PAGE = "/bench/recleaning/"


@pytest.fixture
def bench() -> Bench:
    return station()


@pytest.fixture
def line(client: Client, bench: Bench) -> Client:
    client.force_login(bench.plant.line)
    return client


def test_a_plant_without_runs_says_so(line: Client) -> None:
    said = text(line.get(PAGE))
    assert "No run is in the books yet." in said
    assert "None" not in said


def test_it_says_what_machines_took_and_how_a_lot_would_read(line: Client, bench: Bench) -> None:
    three_runs(bench)
    [lot] = bench.lots("24-0001-5")
    graded(bench, lot.number, "G90", splits="12", damaged="2")
    said = text(line.get(PAGE, {"lot": lot.number}))
    assert "3 of 3 runs graded on both sides" in said
    assert "24-0001-5" in said
    assert "Advice, not a grade" in said


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({"lot": "24-0001-6"}, "does not check"),
        ({"lot": "24-0001-5"}, "has no grade to start from"),
        ({"machines": "mangle"}, "Use pre-cleaner, air-screen, gravity"),
    ],
)
def test_what_stands_in_the_way_is_said_with_what_was_typed(
    line: Client, bench: Bench, asked: dict[str, str], says: str
) -> None:
    bench.lots("24-0001-5")
    answer = line.get(PAGE, asked)
    assert says in text(answer)
    [(name, typed)] = asked.items()
    assert value(answer, name) == typed


def test_a_hidden_grade_is_not_given_away(
    line: Client, bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:  # fmt: skip
    three_runs(bench)
    [lot] = bench.lots("24-0001-5")
    graded(bench, lot.number, "G90", splits="12", damaged="2")
    hidden = frozenset({Lot.objects.get(number=lot.number).pk})
    monkeypatch.setattr(recleaning, "lots_hidden_from", lambda station, person: hidden)
    said = text(line.get(PAGE, {"lot": lot.number}))
    assert "How 24-0001-5 reads is hidden from graders" in said
    assert "3 of 3 runs graded on both sides" in said
    assert "would read" not in said


def test_its_table_downloads(line: Client, bench: Bench, django_assert_max_num_queries: Any) -> None:
    three_runs(bench)
    with django_assert_max_num_queries(30):
        rows = list(csv.reader(io.StringIO(line.get(PAGE, {"format": "csv"}).content.decode())))
    assert len(rows) > 1
