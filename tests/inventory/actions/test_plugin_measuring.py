"""Measurements by a plugin's method: read, reckoned, kept in the chain, taken back like all others."""

from decimal import Decimal
from typing import Any

import pytest

from hilum.plugins import Measurement, Result, WorkedOut
from inventory.actions.reversing import reverse
from inventory.importing.acts import all_acts, book
from inventory.models import Measured, Operation
from inventory.queries.plugin_measures import measurements
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.inventory.importing.kinds_of_rows import load
from tests.inventory.lamp import lamp, soak_kind
from tests.make import NOW, House, house, received

pytestmark = pytest.mark.django_db


def soak(plant: House, lot: str, **words: Any) -> Operation:
    given = {"lot": lot, "dry": "100", "wet": "205,4", **words}
    answers = given.pop("answers", None)
    return book("soaking test", given, station=plant.station, by=plant.bench, answers=answers, now=NOW).operations[0]


def refused(plant: House, lot: str, **words: Any) -> list[tuple[str, str, str]]:
    with pytest.raises(Refused) as stopped:
        soak(plant, lot, **words)
    return [(one.code, one.field, one.says) for one in stopped.value.mistakes]


def test_it_is_booked_with_what_was_typed_and_what_it_came_to() -> None:
    plant = house()
    lot = received(plant)
    with lamp(measurement_kinds=lambda: [soak_kind()]):
        act = soak(plant, lot.number, at="2025-05-30", hours="1, 2, 4")
    row = Measured.objects.get()
    assert (row.plugin, row.kind, row.lot, row.operation) == ("lamp", "soaking_test", lot, act)
    assert row.typed == {"dry": "100", "wet": "205.4", "water": "distilled", "hours": ["1", "2", "4"]}
    assert row.results == [["hydration coefficient", "205.400", "%"]]
    [found] = measurements(plant.station, "soaking_test", [lot.number])
    assert (found.values["wet"], found.values["water"], found.values["hours"]) == (
        Decimal("205.4"), "distilled", (Decimal(1), Decimal(2), Decimal(4)),
    )  # fmt: skip
    assert found.results == (Result("hydration coefficient", Decimal("205.400"), "%"),)
    assert "Reckoned by mass." in act.content
    assert verify(plant.station).is_whole


def test_it_stands_on_without_its_plugin_and_goes_when_its_act_is_reversed() -> None:
    plant = house()
    lot = received(plant)
    with lamp(measurement_kinds=lambda: [soak_kind()]):
        act = soak(plant, lot.number)
    assert "soaking test" not in all_acts()
    assert verify(plant.station).is_whole
    assert len(measurements(plant.station, "soaking_test")) == 1
    reverse(act, station=plant.station, by=plant.records, reason="another lot", now=NOW)
    assert measurements(plant.station, "soaking_test") == ()
    assert verify(plant.station).is_whole


@pytest.mark.parametrize(
    ("words", "code", "field", "says"),
    [
        ({"dry": ""}, "missing", "dry", "Dry is missing. Give it, for example 100."),
        ({"dry": "0"}, "out_of_range", "dry", "Dry is 0 g; it lies from 1 up to 1000 g"),
        ({"wet": "much"}, "not_a_number", "wet", "much"),
        ({"water": "sea"}, "unknown_word", "water", "Give distilled or tap"),
        ({"salt": "1"}, "unknown_word", "salt", "'salt' is no field of it"),
        ({"hours": "1; x"}, "not_a_number", "hours.2", "x"),
        ({"wet": "80"}, "lighter", "wet", "Soaked seed is lighter than dry."),
    ],
)
def test_what_cannot_be_read_is_said_at_its_field(words: dict[str, str], code: str, field: str, says: str) -> None:
    plant = house()
    lot = received(plant)
    with lamp(measurement_kinds=lambda: [soak_kind()]):
        [(found, at, said)] = refused(plant, lot.number, **words)
    assert (at, found) == (field, code) or code == "not_a_number"
    assert says in said
    assert not Measured.objects.exists()


def test_a_question_of_the_plugin_goes_through_with_a_reason() -> None:
    plant = house()
    lot = received(plant)
    with lamp(measurement_kinds=lambda: [soak_kind()]):
        act = soak(plant, lot.number, wet="80", answers={"lighter": "hard seed"})
    assert '"asked":{"Soaked seed is lighter than dry.":"hard seed"}' in act.content


def fail(_given: object) -> Any:
    raise ZeroDivisionError("the lamp is off")


@pytest.mark.parametrize(
    "kind", [soak_kind(work_out=fail), soak_kind(work_out=lambda _values: 7), soak_kind(keep=fail)]
)
def test_a_plugin_that_fails_refuses_the_act_and_nothing_is_written(kind: Any) -> None:
    plant = house()
    lot = received(plant)
    before = Operation.objects.count()
    with lamp(measurement_kinds=lambda: [kind]):
        [(code, _field, says)] = refused(plant, lot.number)
    assert code == "plugin_failed"
    assert says.startswith("The plugin lamp failed (")
    assert (Operation.objects.count(), Measured.objects.count()) == (before, 0)


def test_the_plugin_may_write_rows_of_its_own_on_the_keys_of_the_act() -> None:
    plant = house()
    lot = received(plant)
    kept: list[Measurement] = []
    with lamp(measurement_kinds=lambda: [soak_kind(keep=kept.append)]):
        act = soak(plant, lot.number)
    assert kept[0].keys == {"station": plant.station.pk, "operation": act.pk, "lot": lot.pk}
    assert (kept[0].lot, kept[0].operation, kept[0].person) == (lot.number, str(act.uid), "bench-st")


def test_it_is_refused_where_the_plugin_is_off_and_to_whoever_may_not() -> None:
    plant = house()
    lot = received(plant)
    with lamp(measurement_kinds=lambda: [soak_kind()], off_at=("ST",)):
        assert [code for code, *_ in refused(plant, lot.number)] == ["unknown_word"]
    with lamp(measurement_kinds=lambda: [soak_kind()]), pytest.raises(Refused, match="may not enter measurements"):
        book("soaking test", {"lot": lot.number, "dry": "1", "wet": "2"}, station=plant.station, by=plant.line)


SHEET = "Lot;Date;dry seed (g);soaked seed (g);water;hours of each reading\n{lot};2025-05-30;100;80;tap;1; 2\n"


@pytest.mark.parametrize(("answer", "saved"), [([], 0), ([("wet", "keep")], 1)])
def test_its_sheet_asks_what_the_act_would_ask(answer: list[tuple[str, str]], saved: int) -> None:
    plant = house()
    lot = received(plant)
    text = SHEET.format(lot=lot.number).replace("1; 2", '"1; 2"')
    answers = [{"row": 2, "column": "soaked seed (g)", "answer": what} for _column, what in answer]
    with lamp(measurement_kinds=lambda: [soak_kind(work_out=lighter)]):
        outcome = load(plant, "soaking_test", text, answers)
    assert outcome.saved == saved
    assert [row.typed["hours"] for row in Measured.objects.all()] == [["1", "2"]] * saved
    assert verify(plant.station).is_whole


def lighter(values: Any) -> WorkedOut:
    found = soak_kind().work_out(values)
    return WorkedOut((Result("loss", values["dry"] - values["wet"], "g"),), found.findings)
