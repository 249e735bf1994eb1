"""Losses by month and machine, on the page as in the books."""

import csv
import io
import xml.etree.ElementTree as ET
from typing import Any

import pytest
from django.test import Client

from inventory.actions.additions import Addition, add_to_run
from inventory.actions.running import Out, Run, book_run
from inventory.models import Lot
from tests.inventory.pages.test_line import text
from tests.make import NOW, House, house, received

pytestmark = pytest.mark.django_db
LOSSES = "/line/losses/"


@pytest.fixture
def plant() -> House:
    return house()


@pytest.fixture
def line(client: Client, plant: House) -> Client:
    client.force_login(plant.line)
    return client


def ran(plant: House, lot: Lot, number: str, at: str, *, machines: str = "air-screen", off: str = "56") -> None:
    """A run of 1,130 kg with 1,041.0 clean and what is left unaccounted."""
    run = Run(number=number, machines=machines, feed_lot=lot.number, feed="1130", outs=(Out(mass="1041"),),
              taken_off={"scalpings": "28.5", "throughs": off}, at=at)  # fmt: skip
    answers = {"loss_over_allowed": "looked for", "fed_before": "another"}
    book_run(run, station=plant.station, by=plant.line, now=NOW, answers=answers)


def rows(line: Client, address: str = LOSSES) -> list[dict[str, str]]:
    join = "&" if "?" in address else "?"
    return list(csv.DictReader(io.StringIO(line.get(f"{address}{join}format=csv").content.decode())))


def test_a_line_without_runs_says_so(line: Client) -> None:
    said = text(line.get(LOSSES))
    assert "No run went over the line in these months." in said
    assert "None" not in said


def test_months_and_machines_are_told_apart_with_what_is_unaccounted_first(line: Client, plant: House) -> None:
    lot = received(plant, "9000")
    ran(plant, lot, "R01", "2024-10-08")
    ran(plant, lot, "R02", "2024-10-31")
    ran(plant, lot, "R03", "2024-11-01", off="40")
    ran(plant, lot, "R04", "2024-11-02", machines="gravity", off="60.5")
    assert [(row["month"], row["machines"], row["runs"], row["unaccounted_kg"]) for row in rows(line)] == [
        ("2024-10", "air-screen", "R01 R02", "9.0"), ("2024-11", "air-screen", "R03", "20.5"),
        ("2024-11", "gravity", "R04", "0.0"),
    ]  # fmt: skip
    said = text(line.get(LOSSES))
    assert "29.5 kg of 4,520.0 fed are unaccounted (0.65 %); 326.5 were taken off." in said
    assert said.index("R03") < said.index("R01") < said.index("R04")
    assert "still missing kilos" in said


def test_a_late_tote_counts_with_the_month_of_its_run(line: Client, plant: House) -> None:
    ran(plant, received(plant, "2000"), "R03", "2024-10-31", off="40")
    found = Addition(run="R03", taken_off={"throughs": "16"}, at="2024-11-01")
    add_to_run(found, station=plant.station, by=plant.line, now=NOW)
    [row] = rows(line)
    assert (row["month"], row["unaccounted_kg"], row["throughs_kg"]) == ("2024-10", "4.5", "56.0")


def test_another_year_is_chosen_and_what_is_no_month_is_passed_over(line: Client, plant: House) -> None:
    ran(plant, received(plant, "2000"), "R01", "2024-10-08")
    assert rows(line, f"{LOSSES}?to=2023-10") == []
    assert len(rows(line, f"{LOSSES}?to=2025-09")) == 1
    assert rows(line, f"{LOSSES}?to=2025-10") == []
    assert [len(rows(line, f"{LOSSES}?to={typed}")) for typed in ("2024-13", "0000-01", "last", "")] == [1] * 4


def test_the_picture_downloads_and_each_column_leads_to_its_row(line: Client, plant: House) -> None:
    ran(plant, received(plant, "2000"), "R01", "2024-10-08")
    ET.fromstring(line.get(f"{LOSSES}?format=svg").content)  # noqa: S314 - our own file
    shown = line.get(LOSSES).content.decode()
    assert shown.count('href="#2024-10-air-screen"') == 2
    assert 'id="2024-10-air-screen"' in shown


@pytest.mark.parametrize("many", [1, 12])
def test_more_runs_cost_no_more_queries(
    line: Client, plant: House, django_assert_max_num_queries: Any, many: int
) -> None:
    lot = received(plant, "20000")
    for number in range(many):
        ran(plant, lot, f"R{number}", f"2024-10-{number + 1:02d}")
    with django_assert_max_num_queries(15):
        line.get(LOSSES)
