"""The order of a day, and the sheet of runs that loads back with the same balances."""

import csv
import io
from typing import Any

import pytest
from django.test import Client

from inventory.actions.additions import Addition, add_to_run
from inventory.actions.reversing import reverse
from inventory.actions.running import Out
from inventory.importing.answers import read_answers
from inventory.importing.kinds import kind_named
from inventory.importing.loading import load_sheet
from inventory.models import Operation, Stock
from inventory.queries.runs import balances, standing_runs
from inventory.queries.settings import settings_of
from inventory.queries.verifying import verify
from tests.inventory.pages.test_line import text
from tests.make import NOW, House, house, received, run

pytestmark = pytest.mark.django_db
ORDER = "/line/order/"


@pytest.fixture
def plant() -> House:
    return house()


@pytest.fixture
def line(client: Client, plant: House) -> Client:
    client.force_login(plant.line)
    return client


def test_an_empty_floor_says_so(line: Client) -> None:
    said = text(line.get(ORDER))
    assert "No lot of 50.0 kg or more waits to be cleaned." in said
    assert "None" not in said


def test_lots_wait_in_their_order_with_what_must_be_cleaned_out_before(line: Client, plant: House) -> None:
    run(plant, received(plant, "500", plot="ST24-B-1-1"), "500", "480", number="R01")
    received(plant, "100", plot="ST24-B-1-2")
    received(plant, "100", plot="ST24-N-2-1")
    received(plant, "20", plot="ST24-N-1-1")
    said = text(line.get(ORDER))
    assert "2 lots wait, 200.0 kg in all. It takes 2 clean-outs: one for each change of line." in said
    assert "Last over the line: B-1 black." in said
    assert "1 24-0004-4 N-2 navy · F-1 100.0 ✕ clean out: what went before is darker and shows" in said
    assert "2 24-0003-1 B-1 black · F-1 100.0 ◐ clean out: another line" in said


def test_small_lots_are_let_in_and_what_cannot_be_read_is_said(line: Client, plant: House) -> None:
    received(plant, "20")
    assert "1 lot waits, 20.0 kg in all." in text(line.get(ORDER, {"least": "10"}))
    said = text(line.get(ORDER, {"least": "a sack"}))
    assert "a sack" in said
    assert "No lot of 50.0 kg or more waits" in said


def test_the_order_downloads(line: Client, plant: House) -> None:
    received(plant, "100")
    rows = list(csv.DictReader(io.StringIO(line.get(f"{ORDER}?format=csv").content.decode())))
    assert [(row["turn"], row["lot"], row["kg"]) for row in rows] == [("1", "24-0001-5", "100.0")]


def test_more_lots_cost_no_more_queries(line: Client, plant: House, django_assert_max_num_queries: Any) -> None:
    for _ in range(15):
        received(plant, "100")
    with django_assert_max_num_queries(15):
        line.get(ORDER)


def facts(plant: House) -> list[Any]:
    runs = list(standing_runs(plant.station))
    return [
        (one.number, one.machines, one.feed_lot, one.feed_mg, one.outs, dict(one.streams), one.unaccounted_mg,
         one.is_cleaned_out, settings_of(record))
        for record, one in zip(runs, balances(runs), strict=True)
    ]  # fmt: skip


def test_the_sheet_of_runs_loads_back_as_it_is(line: Client, plant: House) -> None:
    lot = received(plant, "2000")
    outs = tuple(Out(mass="100", place="A-01") for _ in range(6))
    run(plant, lot, "700", "600", number="R02", outs=outs, settings="11/64; 10/64 slotted", is_cleaned_out=False)
    run(plant, lot, "500", "450", number="R03", machines="air-screen + gravity", at="2024-10-09",
        taken_off={"throughs": "30", "stones": "17"})  # fmt: skip
    late = Addition(run="R03", taken_off={"lights": "1.5"}, at="2024-10-10")
    add_to_run(late, station=plant.station, by=plant.line, now=NOW)
    before, sheet = facts(plant), line.get("/line/runs.csv").content
    places = sorted(Stock.objects.filter(mg__gt=0).values_list("lot__number", "place__code", "mg"))
    for act in Operation.objects.exclude(kind="receive").order_by("-seq"):
        reverse(act, station=plant.station, by=plant.records, reason="try the sheet", now=NOW)
    assert facts(plant) == []
    kind = kind_named("runs")
    outcome = load_sheet(sheet, "runs.csv", kind, station=plant.station, by=plant.records,
                         answers=read_answers("[]"), now=NOW)  # fmt: skip
    assert (outcome.saved, [one.says for one in outcome.findings if one.is_open]) == (2, [])
    assert facts(plant) == before
    assert sorted(Stock.objects.filter(mg__gt=0).values_list("lot__number", "place__code", "mg")) == places
    assert verify(plant.station).is_whole
