"""A light lot that went over an uncleaned line after dark seed carries the warning until it is graded."""

from typing import Any

import pytest
from django.test import Client

from inventory.actions.acting import Booked
from inventory.actions.moving import Move, move
from inventory.actions.reversing import reverse
from inventory.actions.writing_off import WriteOff, write_off
from inventory.importing.acts import book
from inventory.models import Lot, Station
from inventory.queries.carry_over import carried_by, carried_over
from inventory.queries.waiting import what_waits
from tests.inventory.pages.test_line import text
from tests.make import NOW, House, cleaned, house, received, run

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    made = house()
    run(made, received(made, "500", plot="ST24-B-1-1"), "500", "480", number="R01")
    return made


def navy(plant: House, number: str = "R02", **more: Any) -> Lot:
    return cleaned(plant, received(plant, "300"), "300", "290", number=number, **{"is_cleaned_out": False, **more})


def warned(station: Station) -> list[tuple[str, str, str]]:
    return [(one.lot, one.run.number, one.before.number) for one in carried_over(station)]


def test_a_light_lot_after_dark_seed_carries_the_warning(plant: House) -> None:
    lot = navy(plant)
    assert warned(plant.station) == [(lot.number, "R02", "R01")]


def test_a_clean_out_or_another_machine_leaves_no_warning(plant: House) -> None:
    navy(plant, is_cleaned_out=True)
    navy(plant, number="R03", machines="gravity")
    assert warned(plant.station) == []


def test_dark_seed_after_light_seed_carries_none(plant: House) -> None:
    navy(plant, is_cleaned_out=True)
    cleaned(plant, received(plant, "200", plot="ST24-B-1-2"), "200", "190", number="R03", is_cleaned_out=False)
    assert warned(plant.station) == []


def test_the_warning_goes_on_with_what_is_made_of_the_lot(plant: House) -> None:
    child = cleaned(plant, navy(plant), "290", "280", number="R03", machines="gravity", at="2024-10-09")
    assert warned(plant.station) == [(child.number, "R02", "R01")]


def graded(plant: House, lot: Lot, number: str, **more: Any) -> Booked:
    """A lot of which a sample was drawn and graded in one act."""
    words = {"number": number, "lot": lot.number, "mass": "2", "portion_g": "500", "weights_g": {"splits": "4.2"},
             "rule_set": "QM-DEMO"}  # fmt: skip
    asked = {"answers": {}, "key": "", "reason": "", "now": NOW}
    return book("grade", {**words, **more}, station=plant.station, by=plant.bench, **asked)


def test_a_grade_ends_it_and_nothing_is_handed_on(plant: House) -> None:
    lot = navy(plant)
    child = cleaned(plant, lot, "200", "190", number="R03", machines="gravity", at="2024-10-09")
    assert warned(plant.station) == [(lot.number, "R02", "R01"), (child.number, "R02", "R01")]
    graded(plant, child, "G01")
    assert warned(plant.station) == [(lot.number, "R02", "R01")]
    assert carried_by(plant.station, child) is None
    graded(plant, lot, "G02")
    assert warned(plant.station) == []


def test_what_was_made_of_a_graded_lot_carries_none(plant: House) -> None:
    lot = navy(plant)
    graded(plant, lot, "G01")
    cleaned(plant, lot, "200", "190", number="R03", machines="gravity", at="2024-10-09")
    assert warned(plant.station) == []


def test_a_grade_that_was_taken_back_ends_nothing(plant: House) -> None:
    lot = navy(plant)
    [_sample, grade] = graded(plant, lot, "G01").operations
    reverse(grade, station=plant.station, by=plant.records, reason="another lot's pan", now=NOW)
    assert warned(plant.station) == [(lot.number, "R02", "R01")]


def test_a_lot_that_is_gone_warns_nobody(plant: House) -> None:
    lot = navy(plant)
    gone = WriteOff(lot=lot.number, at="2024-11-01")
    write_off(gone, station=plant.station, by=plant.records, reason="mice", now=NOW)
    assert warned(plant.station) == []


def test_a_run_that_was_taken_back_left_nothing_behind(plant: House) -> None:
    lot = navy(plant)
    first = carried_over(plant.station)[0].before.operation
    reverse(first, station=plant.station, by=plant.records, reason="wrong bin", now=NOW)
    assert warned(plant.station) == []
    assert lot.number


def test_it_is_said_at_the_lot_on_the_line_and_among_what_waits(client: Client, plant: House) -> None:
    lot = navy(plant)
    client.force_login(plant.line)
    assert "R02 ran without a clean-out after R01 (B-1 black, 24-0001-5), which is darker" in text(
        client.get(f"/lots/{lot.number}/")
    )
    assert "out of R02, after R01 (B-1), which is darker" in text(client.get("/line/"))
    [waits] = [one for one in what_waits(plant.station, "bench") if "uncleaned line" in one.words]
    assert (waits.area, waits.address) == ("bench", f"/lots/{lot.number}/")


@pytest.mark.parametrize("many", [1, 15])
def test_more_runs_cost_no_more_queries(plant: House, django_assert_max_num_queries: Any, many: int) -> None:
    for number in range(many):
        move_away(plant, navy(plant, number=f"R{number + 10}"))
    with django_assert_max_num_queries(4):
        assert len(carried_over(plant.station)) == many


def move_away(plant: House, lot: Lot) -> None:
    """Take a lot from the end of the line, as people do."""
    move(Move(lot=lot.number, to="A-01", at="2024-11-02"), station=plant.station, by=plant.line, now=NOW)
