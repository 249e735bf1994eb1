"""Figures and many portions go by the station's own editions where its books are there."""

import json
from pathlib import Path
from typing import Any

import pytest

from grading.queries.figures import FIGURES
from grading.queries.figures.grading_words import rule_set_of
from tests.grading.ruling import draft, edition, put
from tests.grading.station import Bench, station
from tests.inventory.management.asking import ask

pytestmark = pytest.mark.django_db
CLEANING = json.dumps(dict(FIGURES["cleaning"].example))
PORTION = {"rule_set": "QM-DEMO", "class": "navy", "portion_g": "500", "weights_g": {"splits": "7.5"}}


@pytest.fixture
def stricter() -> Bench:
    """A station whose own edition allows half of what the shipped one does, from now on."""
    bench = station()
    draft(bench, edition(total="1.00"))
    put(bench)
    return bench


def figure(words: str, monkeypatch: pytest.MonkeyPatch) -> Any:
    monkeypatch.setattr("grading.management.commands.figure.stdin_text", lambda: words)
    return ask("figure", "cleaning", "-", "--json").json


def test_a_figure_reads_under_the_stations_own_edition(stricter: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    assert figure(CLEANING, monkeypatch)["edition"] == "2"
    assert figure(CLEANING.replace("QM-DEMO", "QM-DEMO:1"), monkeypatch)["edition"] == "1"
    assert rule_set_of("qm-demo", stricter.plant.station).edition == "2"


def test_it_reads_under_the_shipped_edition_where_there_is_no_station(monkeypatch: pytest.MonkeyPatch) -> None:
    assert figure(CLEANING, monkeypatch)["edition"] == "1"


def test_many_portions_are_graded_by_the_stations_own_edition(stricter: Bench, tmp_path: Path) -> None:
    file = tmp_path / "portions.ndjson"
    file.write_text("\n".join(json.dumps({**PORTION, "rule_set": name}) for name in ("QM-DEMO", "QM-DEMO:1")))
    own, shipped = map(json.loads, ask("grade", "--all", str(file)).out.splitlines())
    assert (own["edition"], own["grade"]) == ("2", "No. 2")
    assert (shipped["edition"], shipped["grade"]) == ("1", "No. 1")
