"""What growers, packers and cooks said of seed that left."""

from typing import Any

import pytest
from django.db import IntegrityError, connection, transaction

from inventory.actions.drafts import Draft
from inventory.actions.feedback import WordBack, keep_feedback
from inventory.actions.posting import post
from inventory.actions.reversing import reverse
from inventory.actions.shipping import Item, Shipping, ship
from inventory.importing.acts import book
from inventory.models import Entry, Feedback, Line, Lot, Operation
from inventory.models.triggers import lifted
from inventory.queries.feedback import said_of
from inventory.queries.verifying import verify
from tests.make import NOW, House, house, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    return house()


@pytest.fixture
def lot(plant: House) -> Lot:
    return received(plant)


def shipped(plant: House, lot: Lot, code: str = "S1", **more: Any) -> Operation:
    asked = Shipping(code=code, recipient="Tollhaven", items=(Item(lot=lot.number, mass="100"),), at="2025-05-05")
    return ship(asked, station=plant.station, by=plant.intake, now=NOW, **more).operations[0]


def word(plant: House, said: str = "even stand", *, by: str = "intake", answers: Any = None, **about: Any) -> Operation:
    asked = WordBack(who="Tollhaven, grower", said=said, at="2025-05-20", **about)
    kept = keep_feedback(asked, station=plant.station, by=plant.people[by], answers=answers, now=NOW)
    return kept.operations[0]


def heard(lot: Lot, line: str = "N-1") -> list[str]:
    return [row.said for row in said_of(lot, Line.objects.get(name=line))]


@pytest.mark.parametrize("by", ["intake", "breeder", "records"])
def test_a_word_is_kept_as_it_was_said_and_moves_no_seed(plant: House, lot: Lot, by: str) -> None:
    act = word(plant, "Two days late.\nStill «green» at harvest.", by=by, lot=lot.number)
    row = Feedback.objects.get()
    assert (row.operation, row.who, row.lot, row.line, row.shipment) == (act, "Tollhaven, grower", lot, None, "")
    assert row.said == "Two days late.\nStill «green» at harvest."
    assert act.at.date().isoformat() == "2025-05-20"
    assert not Entry.objects.filter(operation=act).exists()
    assert verify(plant.station).is_whole


def test_a_word_may_be_about_shipment_lot_and_line_at_once(plant: House, lot: Lot) -> None:
    shipped(plant, lot)
    word(plant, shipment=" s1 ".upper(), lot=lot.number, line="n1")
    row = Feedback.objects.get()
    assert (row.shipment, row.lot, row.line.name if row.line else "") == ("S1", lot, "N-1")


def test_a_word_about_other_seed_is_kept_with_the_reason(plant: House, lot: Lot) -> None:
    other = received(plant, "300", plot="ST24-B-1-1")
    shipped(plant, lot)
    act = word(plant, shipment="S1", lot=other.number, answers={"other_seed": "they compared both"})
    assert "they compared both" in act.content


def test_a_lot_hears_what_was_said_of_it_its_shipments_and_its_line(plant: House, lot: Lot) -> None:
    other, black = received(plant, "400", at="2024-09-26"), received(plant, "300", plot="ST24-B-1-1")
    shipped(plant, lot)
    word(plant, "of the lot", lot=lot.number)
    word(plant, "of the shipment", shipment="S1")
    word(plant, "of the line", line="N-1")
    assert heard(lot) == ["of the line", "of the shipment", "of the lot"]
    assert heard(other) == ["of the line"]
    assert heard(black, "B-1") == []
    assert [row.said for row in said_of(black, None)] == []


def test_a_merged_line_brings_what_was_said_of_it_along(plant: House, lot: Lot) -> None:
    word(plant, "of N-2", line="N-2")
    words = {"line": "N-2", "into": "N-1"}
    book("merge", words, station=plant.station, by=plant.breeder, reason="one line", now=NOW)
    assert heard(lot) == heard(lot, "N-2") == ["of N-2"]


def test_a_shipment_that_is_corrected_keeps_what_was_said_of_it(plant: House, lot: Lot) -> None:
    first = shipped(plant, lot)
    word(plant, "of the shipment", shipment="S1")
    reverse(first, station=plant.station, by=plant.intake, reason="wrong mass", now=NOW)
    assert heard(lot) == []
    shipped(plant, lot)
    assert heard(lot) == ["of the shipment"]


def test_a_word_that_is_taken_back_stays_and_says_so(plant: House, lot: Lot) -> None:
    act = word(plant, lot=lot.number)
    back = reverse(act, station=plant.station, by=plant.intake, reason="said of another lot", now=NOW).operations[0]
    assert [row.operation.reversed_by for row in said_of(lot, None)] == [back]
    assert verify(plant.station).is_whole


def test_the_same_key_keeps_one_word(plant: House, lot: Lot) -> None:
    asked = WordBack(who="A cook", said="split skins", lot=lot.number)
    for _time in range(2):
        keep_feedback(asked, station=plant.station, by=plant.intake, key="k1", now=NOW)
    assert Feedback.objects.count() == 1


@pytest.mark.parametrize("column", ["who", "said", "shipment"])
def test_a_word_that_somebody_edits_is_found(plant: House, lot: Lot, column: str) -> None:
    word(plant, lot=lot.number)
    with lifted(connection):
        Feedback.objects.update(**{column: "something else"})
    assert "its records are not those that were written" in " ".join(verify(plant.station).differences)


@pytest.mark.parametrize("empty", [{"lot": None}, {"who": ""}, {"said": ""}])
def test_the_books_themselves_refuse_an_empty_word(plant: House, lot: Lot, empty: dict[str, Any]) -> None:
    row = Feedback(**{"station": plant.station, "lot": lot, "who": "A cook", "said": "split skins", **empty})
    with pytest.raises(IntegrityError, match="feedback_"), transaction.atomic():
        post(Draft(kind="feedback", station=plant.station, by=plant.intake, at=NOW, rows=[row]))
