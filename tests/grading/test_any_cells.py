"""Whatever stands in the cells of a sheet: sentences, never a fault, and the books stay whole."""

import json
import random
from typing import Any

import pytest

from inventory.importing.answers import read_answers
from inventory.importing.kinds import kind_named
from inventory.importing.loading import Outcome, load_sheet
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.grading.station import NOW, Bench, station

pytestmark = pytest.mark.django_db
ODD = (
    "", "2024-10-10", "10/02/24", "45567", "45567.5", "1e999", "NaN", "inf", "-5", "0", "1,234", "12,5", "842 kg",
    "24-0016-5", "240016", "24-00O1", "QM24-N-1-1/QM24-N-1-2", "QM24-B-1-1 QM24-N-1-1", "Z-9", "maybe", "R1", "116",
    "9" * 20, "١٢", "２４", "'", '"x', "=1+1", "#REF!", "2024-10-10 08:15", "0001-01-01", "9999-12-31", "x" * 300,
    "120%", "½", "\t", "🌱", "5e2", "0x10", "1_000", "TOTAL", "true",
)  # fmt: skip
USUAL: dict[str, tuple[str, ...]] = {
    "date": ("2024-10-10", "10/02/24"), "lot": ("24-0001-5", "24-0016-5"), "line": ("N-1",), "net": ("800", "1,234"),
    "plot": ("QM24-N-1-1", "QM24-N-1-2"), "gross": ("842",), "tare": ("42",), "moisture": ("16.2", "0.16", "21.1"),
    "place": ("F-1", "", "F-9"), "unit": ("kg", "lb"), "machine": ("air-screen", "gravity"), "feed": ("100", "20"),
    "feed_lot": ("24-0001-5", "24-0016-5"), "clean": ("95", "19.9"), "out_lot": ("24-0100", "24-0101", ""),
    "portion": ("500",), "taken": ("2", ""), "area": ("14.4",), "season": ("2024",), "rep": ("1",), "site": ("ST",),
    "dockage": ("46",), "rep_1": ("94",), "rep_2": ("93",), "rep_3": ("", "90"), "rep_4": ("", "91"),
    "field_weight": ("4.2",), "low": ("9", "11,2", "-1"), "high": ("21", "24.6"),
}  # fmt: skip


def sheet_of(kind: str, dice: random.Random) -> str:
    """A sheet that would mostly do, with odd things in it."""
    fields = list(kind_named(kind).vocabulary.fields)
    taken = [field for field in fields if field.needed or field.name in USUAL or dice.random() < 0.3]
    rows = [
        ['"' + _cell(kind, field.name, dice).replace('"', '""') + '"' for field in taken]
        for _ in range(dice.randint(1, 5))
    ]
    return "\n".join(";".join(row) for row in [[field.title for field in taken], *rows])


def _cell(kind: str, name: str, dice: random.Random) -> str:
    if (kind, name) == ("intake", "lot") and dice.random() < 0.9:
        return f"24-{dice.randint(200, 999):04d}"
    if (kind, name) == ("weather", "unit"):
        return dice.choice(("", "C", "F", "K"))
    if (kind, name) == ("weather", "date"):
        return f"2024-0{dice.randint(1, 9)}-{dice.randint(1, 31):02d}"
    return dice.choice(USUAL.get(name, ("",)) if dice.random() < 0.93 else ODD)


def load_answering(bench: Bench, kind: str, text: str, dice: random.Random) -> Outcome:
    """Load it, answer whatever is asked, and load it again, until nothing is open."""
    answers: dict[tuple[Any, str], dict[str, Any]] = {}
    for _ in range(4):
        given = read_answers(json.dumps(list(answers.values())))
        outcome = load_sheet(
            text.encode(), "in.csv", kind_named(kind), station=bench.plant.station, by=bench.plant.records, now=NOW,
            answers=given,
        )  # fmt: skip
        for finding in (finding for finding in outcome.findings if finding.is_open):
            where = (finding.row, finding.column)
            said = "leave_out" if where in answers or finding.proposal is None else dice.choice(("accept", "keep"))
            answers[where] = {"row": finding.row, "column": finding.column, "answer": said}
        if not outcome.is_open:
            break
    return outcome


@pytest.mark.parametrize("kind", ["intake", "runs", "plots", "weather", "samples", "germination"])
def test_whatever_is_typed_ends_in_sentences_and_whole_books(kind):
    bench = station()
    bench.lots("24-0001-5", "24-0016-5")
    saved = 0
    for seed in range(40):
        dice = random.Random(seed)  # noqa: S311 - it guards no secret
        try:
            outcome = load_answering(bench, kind, sheet_of(kind, dice), dice)
        except Refused as refused:
            assert str(refused).strip()
            continue
        json.dumps(outcome.as_json())
        assert not outcome.is_open, [finding.says for finding in outcome.findings if finding.is_open]
        saved += outcome.saved
    assert saved > 0
    assert verify(bench.plant.station).is_whole
