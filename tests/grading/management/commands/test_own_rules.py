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
def bench() -> Bench:
    return station()


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


def test_a_shipped_set_is_copied_in_its_form_checked_and_drafted_from_its_file(bench: Bench, tmp_path: Path) -> None:
    path = tmp_path / "own.json"
    told = ask("rules", "QM-DEMO", "--copy", str(path))
    assert (told.status, told.err) == (0, "")
    assert f"document=@{path}" in told.out
    assert "That edition is in use already" in ask("rules", "--check", str(path)).out
    assert "is not there yet" in ask("rules", "QM-DEMO", "--copy", str(path)).err
    path.write_text(path.read_text("utf-8").replace('"edition": "1"', '"edition": "7"', 1), "utf-8")
    assert "Draft it, then try it." in ask("rules", "--check", str(path)).out
    booked = ask("book", "draft", "rules", f"document=@{path}", "--by", bench.plant.bench.username, "--station", "QM")
    assert (booked.status, booked.err) == (0, "")
    assert "QM-DEMO:7" in ask("rules", "--drafts", "--station", "QM").out


def test_a_file_that_is_not_there_is_a_sentence(bench: Bench) -> None:
    told = ask(
        "book", "draft", "rules", "document=@nowhere.json", "--by", bench.plant.bench.username, "--station", "QM"
    )
    assert told.status == 2
    assert "nowhere.json cannot be read" in told.err


def test_what_rules_json_shows_is_told_from_the_form(tmp_path: Path) -> None:
    path = tmp_path / "shown.json"
    path.write_text(ask("rules", "QM-DEMO", "--json").out, "utf-8")
    told = ask("rules", "--check", str(path))
    assert (told.status, len(told.err.splitlines())) == (2, 1)
    assert "`rules ID --copy FILE` writes the form" in told.err


def test_a_rule_set_names_its_dishes_as_they_are_typed() -> None:
    assert "other_foreign_material (foreign material other than stones)" in ask("rules", "QM-DEMO").out
