"""What is in store, row by row."""

from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from hilum.plugins import hookimpl
from hilum.plugins.host import Host
from inventory.actions.drafts import Draft
from inventory.actions.posting import post
from inventory.models import DataMark, Lot, Promise
from inventory.queries import stocking
from inventory.queries.stocking import stock
from inventory.rules.mistakes import Mistake
from tests.inventory.queries.seasons import KG, at, bagged, blended, shipped
from tests.make import House, house, received

pytestmark = pytest.mark.django_db
DAY = date(2025, 6, 1)


@pytest.fixture
def plant() -> House:
    return house()


def promised(plant: House, lot: Lot, kg: int, until: date | None = None) -> None:
    row = Promise(station=plant.station, lot=lot, mg=kg * KG, recipient="A grower", until=until)
    post(Draft(kind="promise", station=plant.station, by=plant.breeder, at=at("2025-05-29"), rows=[row]))


def held(plant: House, lot: Lot, reason: str) -> None:
    facts = {"lot_ids": [lot.pk]}
    post(Draft(kind="hold", station=plant.station, by=plant.breeder, at=at("2025-05-29"), reason=reason, facts=facts))


def test_a_row_says_lot_line_class_place_kilograms_and_bags(plant: House) -> None:
    lot = received(plant, "584.9")
    bagged(plant, lot, 23, part="9.3")
    assert [row.as_json() for row in stock(plant.station, today=DAY)] == [
        {
            "lot": lot.number, "line": "N-1", "class": "navy", "place": "F-1", "kg": "584.9", "bags": 24,
            "promised_kg": "0.0", "hold": None, "last_grade": None, "last_germination": None,
        }
    ]  # fmt: skip


def test_empty_lots_and_empty_bags_are_no_rows(plant: House) -> None:
    lot, other = received(plant, "50"), received(plant, "40", "ST24-N-2-1")
    bagged(plant, lot, 2)
    shipped(plant, lot, {1: "25"}, "S1")
    shipped(plant, other, {0: "40"}, "S2")
    assert [(row.lot, row.mg, row.bags) for row in stock(plant.station, today=DAY)] == [(lot.number, 25 * KG, 1)]


def test_it_keeps_a_line_a_class_or_a_place(plant: House) -> None:
    navy, black = received(plant, "50"), received(plant, "40", "ST24-B-1-1", place="A-01")
    by = {
        "line": [row.lot for row in stock(plant.station, line="n1", today=DAY)],
        "class": [row.lot for row in stock(plant.station, market_class="Black", today=DAY)],
        "place": [row.lot for row in stock(plant.station, place="a01", today=DAY)],
        "both": [row.lot for row in stock(plant.station, line="N-1", place="A-01", today=DAY)],
    }
    assert by == {"line": [navy.number], "class": [black.number], "place": [black.number], "both": []}


@pytest.mark.parametrize("wanted", [{"line": "Q-9"}, {"market_class": "pintoo"}, {"place": "Z"}, {"line": "\x00"}])
def test_an_unknown_line_class_or_place_is_a_sentence(plant: House, wanted: dict[str, str]) -> None:
    with pytest.raises(Mistake, match=r"is not a .* we know\."):
        stock(plant.station, **wanted)


def test_promises_add_up_over_places_and_lapse_on_their_day(plant: House) -> None:
    lot = received(plant, "100")
    promised(plant, lot, 30)
    promised(plant, lot, 40, until=date(2025, 5, 31))
    assert sum(row.promised_mg for row in stock(plant.station, today=date(2025, 5, 31))) == 70 * KG
    assert sum(row.promised_mg for row in stock(plant.station, today=DAY)) == 30 * KG


def test_the_demo_has_its_own_day(plant: House) -> None:
    promised(plant, received(plant, "100"), 40, until=date(2025, 5, 31))
    DataMark.objects.create(is_demo=True, today=date(2025, 5, 30))
    assert stock(plant.station)[0].promised_mg == 40 * KG


def test_a_hold_is_said_with_its_reason_also_on_what_was_made_of_it(plant: House) -> None:
    lot, other = received(plant, "100"), received(plant, "100", "ST24-N-1-2")
    held(plant, lot, "germination 79 %")
    made = blended(plant, {lot: "50", other: "50"}, "100")
    says = {row.lot: row.as_json()["hold"] for row in stock(plant.station, today=DAY)}
    assert says == {lot.number: "germination 79 %", made.number: "germination 79 %", other.number: None}


class Bench:
    """A plugin that knows grades."""

    asked = 0

    @hookimpl
    def lot_facts(self, lot_numbers, station):
        self.asked += 1
        return {number: {"last_grade": "No. 1", "last_germination": "94"} for number in lot_numbers}


def test_grade_and_germination_come_from_plugins_asked_once(plant: House, monkeypatch) -> None:
    bench = Bench()
    monkeypatch.setattr(stocking, "the_host", lambda: Host([("bench", lambda: bench)]))
    received(plant, "50"), received(plant, "40", "ST24-N-2-1")
    rows = [row.as_json() for row in stock(plant.station, today=DAY)]
    assert {(row["last_grade"], row["last_germination"]) for row in rows} == {("No. 1", "94")}
    assert bench.asked == 1


def test_two_hundred_lots_cost_no_more_queries_than_ten(plant: House) -> None:
    def queries() -> int:
        with CaptureQueriesContext(connection) as captured:
            stock(plant.station, today=DAY)
        return len(captured)

    for index in range(10):
        received(plant, f"{index + 1}")
    at_ten = queries()
    for index in range(190):
        received(plant, f"{index + 11}")
    assert len(stock(plant.station, today=DAY)) == 200
    assert queries() == at_ten <= 12
