"""The command `rules`: checks a file fault by fault, and shows a station's own editions and drafts."""

import json
from pathlib import Path
from typing import Any

import pytest

from tests.grading.ruling import draft, edition, put
from tests.grading.station import Bench, station
from tests.inventory.management.asking import Answer, ask

pytestmark = pytest.mark.django_db


def check(folder: Path, document: Any, *words: str) -> Answer:
    file = folder / "rules.json"
    file.write_text(document if isinstance(document, str) else json.dumps(document), encoding="utf-8")
    return ask("rules", "--check", str(file), *words)


def test_a_file_without_fault_passes(tmp_path: Path) -> None:
    answer = check(tmp_path, edition())
    assert (answer.status, answer.err) == (0, "")
    assert answer.out.startswith("QM-DEMO, edition 2: nothing is wrong with its form.")
    assert check(tmp_path, edition(), "--json").json == {"faults": [], "rule_set": "QM-DEMO", "edition": "2"}


def test_every_fault_is_said_at_its_pointer(tmp_path: Path) -> None:
    document = edition(total="4.50")
    document["tables"][0]["grades"][1]["limits"]["stons"] = "0.40"
    document["in_force"]["from"] = "soon"
    answer = check(tmp_path, document)
    assert (answer.status, answer.out) == (2, "")
    lines = answer.err.splitlines()
    assert any(line.startswith("/tables/0/grades/1/limits: We know no factor 'stons'.") for line in lines)
    assert any(line.startswith("/tables/0/grades: total_defects: No. 2 allows 4.00 %") for line in lines)
    assert "/in_force/from: in_force from is 'soon'. Write a date such as 2024-01-31, or null." in lines
    faults = check(tmp_path, document, "--json").json["faults"]
    assert [f"{each['pointer']}: {each['says']}" for each in faults] == lines


@pytest.mark.parametrize("text", ["", "{", "[]", '{"form": 1, "form": 1}', "\ufeffnull"])
def test_what_is_no_rule_set_is_refused_in_a_sentence(tmp_path: Path, text: str) -> None:
    answer = check(tmp_path, text)
    assert answer.status == 2
    assert answer.err.strip().endswith(".")
    assert "Traceback" not in answer.err


def test_a_file_of_other_bytes_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "rules.json"
    file.write_bytes(b"\xff\xfe\x00")
    assert "is not UTF-8 text" in ask("rules", "--check", str(file)).err


@pytest.fixture
def bench() -> Bench:
    return station()


def test_a_stations_own_editions_stand_in_the_list_with_their_days(bench: Bench) -> None:
    draft(bench, edition(total="1.50"))
    put(bench, begins="2025-01-01")
    listed = [each for each in ask("rules", "--json").json if each["id"] == "QM-DEMO"]
    assert [(each["edition"], each["in_force_from"], each["in_force_until"]) for each in listed] == [
        ("1", "2024-01-01", "2024-12-31"),
        ("2", "2025-01-01", None),
    ]
    shown = ask("rules", "QM-DEMO:2", "--json").json
    assert shown["tables"][0]["grades"][0]["limits"]["total_defects"] == "1.50"
    assert ask("rules", "qm-demo", "--json").json == shown  # in force today
    assert "edition 1, in force from 2024-01-01 until 2024-12-31" in ask("rules", "QM-DEMO:1").out


def test_grade_from_standard_input_uses_the_edition_in_force_or_the_one_that_is_named(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    draft(bench, edition(total="1.50"))
    put(bench, begins="2025-01-01")
    portion = {"rule_set": "QM-DEMO", "class": "navy", "portion_g": 500, "weights_g": {"splits": 9}}
    for named, grade in (("QM-DEMO", "No. 2"), ("QM-DEMO:1", "No. 1"), ("QM-DEMO:2", "No. 2")):
        text = json.dumps({**portion, "rule_set": named})
        monkeypatch.setattr("grading.management.commands.grade.stdin_text", lambda text=text: text)
        assert ask("grade", "-").json["grade"] == grade


def test_drafts_are_listed_with_who_wrote_them(bench: Bench) -> None:
    assert "There is no draft." in ask("rules", "--drafts").out
    draft(bench, edition())
    assert ask("rules", "--drafts").out == "QM-DEMO:2  drafted by bench-qm\n"
    assert ask("rules", "--drafts", "--json").json == [{"id": "QM-DEMO", "edition": "2", "by": "bench-qm"}]
