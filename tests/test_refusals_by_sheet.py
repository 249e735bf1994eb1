"""The same table of refusals through the sheet door: the same words at a cell, the same level, nothing saved."""

from collections.abc import Callable, Mapping
from typing import Any

import pytest

from inventory.models import Operation
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Level
from tests.inventory.actions.floor import Floor, everything, floor
from tests.inventory.importing.kinds_of_rows import load
from tests.make import house
from tests.refusals import REFUSALS, Case
from tests.test_refusals import do_before

pytestmark = pytest.mark.django_db

NOT_IN_A_SHEET = {
    "a number without a unit": "a sheet's bare numbers are in the unit of its heading, else in kilograms",
    "a field that there is not": "a heading that says nothing is a note, the column is not read",
    "an account without a role": "the sheet asks for the right to load, tested with loading",
    "an account of another role": "the sheet asks for the right to load, tested with loading",
}


def delivery_sheet(words: Mapping[str, Any]) -> str:
    head = {"Date": "at", "Lot": "lot", "Line": "line", "Plot": "plots", "Gross": "gross", "Tare": "tare", "Net": "net"}
    return _sheet({title: words.get(name) for title, name in head.items()} | {"Bin": words["place"]})


def run_sheet(words: Mapping[str, Any]) -> str:
    out, taken = words["outs"][0], words.get("taken_off", {})
    return _sheet({
        "Run": words["number"], "Date": words["at"], "Machine": words["machines"], "Feed lot": words["feed_lot"],
        "Feed": words["feed"], "Out lot": out.get("lot"), "Clean": out["mass"], "Through": taken.get("throughs"),
    })  # fmt: skip


def _sheet(cells: Mapping[str, Any]) -> str:
    return f"{';'.join(cells)}\n{';'.join('' if value is None else str(value) for value in cells.values())}"


SHEETS: dict[str, tuple[str, Callable[[Mapping[str, Any]], str]]] = {
    "receive": ("intake", delivery_sheet), "clean": ("runs", run_sheet), "run": ("runs", run_sheet),
}  # fmt: skip
CASES = [case for case in REFUSALS if case.verb in SHEETS and case.name not in NOT_IN_A_SHEET]


@pytest.fixture
def plant() -> Floor:
    return floor(house())


def test_most_cases_of_deliveries_and_runs_can_stand_in_a_sheet():
    assert len(CASES) >= 15
    assert {case.name for case in REFUSALS} >= NOT_IN_A_SHEET.keys()


@pytest.mark.parametrize("case", CASES, ids=str)
def test_a_sheet_is_told_the_same_and_nothing_is_saved(plant: Floor, case: Case) -> None:
    do_before(plant, case)
    before = (everything(plant.house), Operation.objects.count())
    kind, sheet = SHEETS[case.verb]
    outcome = load(plant.house, kind, sheet(case.words))
    asked = [finding for finding in outcome.findings if finding.is_open]
    assert case.says in " ".join(finding.says for finding in asked)
    assert any(finding.row == 2 and finding.column for finding in asked)
    assert all(finding.level is not Level.ERROR for finding in asked) == case.is_question
    assert (outcome.saved, outcome.load) == (0, None)
    assert (everything(plant.house), Operation.objects.count()) == before
    assert verify(plant.house.station).is_whole
