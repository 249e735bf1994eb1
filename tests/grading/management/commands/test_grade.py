"""The commands `grade -` and `rules`: JSON out, sentences and exit status 2 for what can't be used."""

import io
import json
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.management import call_command

from tests.inventory.management.asking import ask

pytestmark = pytest.mark.django_db
SHIPPED = (
    *("CA-BEANS", "CA-SEED-BEAN", "CODEX-171", "IN-RAJMA", "QM-DEMO"),
    *("US-MI-ADZUKI", "US-MI-BEAN-SEED", "US-SEED-CLASSES"),
)
ROOT = Path(__file__).parents[4]
PORTION = {
    "rule_set": "QM-DEMO",
    "class": "navy",
    "portion_g": 499.6,
    "weights_g": {"splits": 3.1, "damaged": 2.6, "contrasting_classes": "3.1"},
    "seed_weight_g_per_100": 17.6,
}


def run(monkeypatch, text):
    monkeypatch.setattr(sys, "stdin", io.StringIO(text))
    out = io.StringIO()
    call_command("grade", "-", "--json", stdout=out)
    return json.loads(out.getvalue())


def test_grade_answers_with_the_promised_names(monkeypatch):
    result = run(monkeypatch, json.dumps(PORTION))
    promised = ("grade", "qualifies_for", "limiting", "factors", "rule_set", "edition", "source", "notes")
    assert set(promised) <= set(result)
    assert (result["grade"], result["qualifies_for"]) == ("No. 2", ["No. 2", "No. 3"])
    assert {"factor", "grade", "raw_pct", "read_pct", "limit"} <= set(result["limiting"][0])
    assert {"factor", "basis", "raw_pct", "read_pct", "interval", "within"} <= set(result["factors"][0])


def test_grade_says_for_which_day_its_edition_was_chosen(monkeypatch):
    assert "is the one in force on" in run(monkeypatch, json.dumps(PORTION))["notes"][-1]
    named = run(monkeypatch, json.dumps({**PORTION, "rule_set": "QM-DEMO:1"}))
    assert not any("is the one in force on" in note for note in named["notes"])


def test_grade_answers_in_words_where_they_are_asked_for(monkeypatch):
    monkeypatch.setattr(sys, "stdin", io.StringIO(json.dumps(PORTION)))
    answer = ask("grade", "-", "--words")
    lines = answer.out.splitlines()
    assert lines[0].startswith("No. 2: ")
    assert "Working" in lines and len(lines) < 80


@pytest.mark.parametrize(
    "text", ["", "[]", "{", "null", '{"portion_g": NaN}', json.dumps({**PORTION, "class": "zebra"})]
)
def test_grade_refuses_what_it_cannot_use_with_status_2(monkeypatch, text):
    monkeypatch.setattr("sys.stdin", io.StringIO(text))
    answer = ask("grade", "-")
    assert (answer.status, answer.out) == (2, "")
    assert answer.err.strip().endswith((".", "?"))


@pytest.mark.parametrize(
    ("given", "status"),
    [(json.dumps(PORTION).encode(), 0), (b"not json", 2), (b"\xff\xfe\x00", 2), (b'\xef\xbb\xbf{"a": 1}', 2)],
)
def test_grade_works_in_a_shell_pipe(given, status):
    command = [sys.executable, "manage.py", "grade", "-"]
    done = subprocess.run(command, input=given, capture_output=True, cwd=ROOT, check=False)
    assert (done.returncode, b"Traceback" in done.stderr) == (status, False)
    assert bool(done.stdout) == (status == 0)
    assert bool(done.stderr) == (status == 2)


def test_rules_lists_every_set_with_edition_dates_and_source():
    out = io.StringIO()
    call_command("rules", "--json", stdout=out)
    listed = {entry["id"]: entry for entry in json.loads(out.getvalue())}
    assert set(listed) == {*SHIPPED}
    for entry in listed.values():
        assert entry["edition"]
        assert entry["source"]
        assert entry["official"] is False
    assert {name for name, entry in listed.items() if entry["standing"] == "unverified"} == {
        *("CODEX-171", "IN-RAJMA", "US-MI-ADZUKI", "US-MI-BEAN-SEED"),
    }  # fmt: skip
    assert {name for name, entry in listed.items() if entry["purpose"] == "seed"} == {
        *("CA-SEED-BEAN", "US-MI-BEAN-SEED", "US-SEED-CLASSES"),
    }  # fmt: skip
    assert {name for name, entry in listed.items() if not entry["in_force_from"]} == {
        *("CODEX-171", "IN-RAJMA", "US-MI-BEAN-SEED", "US-SEED-CLASSES"),
    }  # fmt: skip


def test_rules_shows_the_tables_of_one_set():
    out = io.StringIO()
    call_command("rules", "ca-beans", "--json", stdout=out)
    tables = json.loads(out.getvalue())["tables"]
    assert [table["table"][-2:] for table in tables] == ["30", "31", "32"]
    assert tables[0]["grades"][0]["limits"]["stones"] == "0.01"


def test_rules_reads_as_a_table_for_people():
    out = io.StringIO()
    call_command("rules", "QM-DEMO", stdout=out)
    assert "total defects" in out.getvalue()
    assert out.getvalue().startswith("QM-DEMO  Beans")
    out = io.StringIO()
    call_command("rules", stdout=out)
    assert len(out.getvalue().strip().splitlines()) == len(SHIPPED)


def test_rules_of_an_unknown_id_are_refused_with_a_proposal():
    answer = ask("rules", "CA-BEAN")
    assert (answer.status, answer.err) == (
        2,
        f"We know no rule set 'CA-BEAN'. Did you mean CA-BEANS? Known: {', '.join(SHIPPED[:-1])} and {SHIPPED[-1]}.\n",
    )


def test_the_site_starts_without_numpy_or_scipy():
    code = (
        "import django, sys; django.setup(); import grading.queries.answers, grading.management.commands.grade; "
        "print([name for name in ('numpy', 'scipy') if name in sys.modules])"
    )
    env = {"DJANGO_SETTINGS_MODULE": "tests.settings", "PATH": ""}
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, env=env, check=False)
    assert (done.stdout.strip(), done.stderr) == ("[]", "")
