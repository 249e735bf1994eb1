"""The example programs of the documents, run against a site as their readers run them."""

import io
import os
import re
import runpy
import shutil
import subprocess
import sys
from email.message import Message
from pathlib import Path
from urllib.error import HTTPError, URLError
from urllib.request import Request

import pytest
from django.contrib.auth.models import User

from api.tokens import make_token
from api.webhooks.signing import new_secret, signature_of
from inventory.actions.loading import unload
from inventory.models import Load, Stock
from tests.api.asking import Program, program_of
from tests.make import NOW, House, house, received

pytestmark = [pytest.mark.django_db(transaction=True)]
PROGRAMS = Path(__file__).resolve().parents[2] / "docs" / "programs"


@pytest.fixture
def plant() -> House:
    return house()


def run(live_server, person: User, *command: str) -> subprocess.CompletedProcess[str]:
    secret = make_token(person, scopes=("read", "write"), days=None, now=NOW)
    told = {**os.environ, "HILUM_URL": live_server.url, "HILUM_KEY": secret}
    return subprocess.run(command, env=told, capture_output=True, text=True, timeout=60, check=False)


def test_the_python_program_reads_all_pages_moves_a_lot_and_keeps_in_step(live_server, plant: House) -> None:
    lots = [received(plant, mass=str(100 + index)) for index in range(25)]
    done = run(
        live_server, plant.records, sys.executable, str(PROGRAMS / "keep_in_step.py"), lots[0].number, "A-01"
    )  # fmt: skip
    assert done.stderr == ""
    assert done.stdout.splitlines() == ["25 rows of stock", "moved: act 26", "26 move by records-st"]
    assert Stock.objects.get(lot=lots[0], mg__gt=0).place.code == "A-01"


def test_the_python_program_says_the_sites_own_sentence_when_it_is_refused(live_server, plant: House) -> None:
    received(plant)
    done = run(live_server, plant.records, sys.executable, str(PROGRAMS / "keep_in_step.py"), "24-0001-5", "Z-99")
    assert done.returncode == 1
    assert done.stderr == "'Z-99' is not a place we know. Check the tag, or enter the place first.\n"


def python(live_server, person: User, program: str, *words: str) -> subprocess.CompletedProcess[str]:
    return run(live_server, person, sys.executable, str(PROGRAMS / program), *words)


def test_a_balance_receives_a_lot_with_what_it_read(live_server, plant: House) -> None:
    words = ("floor", "ST,GS,+ 842.0 kg", "42", "ST24-N-1-1", "F-1")
    aside = python(live_server, plant.intake, "scale_to_lot.py", *words)
    assert "no driver reads floor here" in aside.stderr
    secret = make_token(plant.records, scopes=("write",), days=None, now=NOW)
    Program(secret).post("/api/v1/devices", {"code": "floor", "driver": "scale"})
    done = python(live_server, plant.intake, "scale_to_lot.py", *words)
    assert done.stderr == ""
    assert done.stdout.splitlines()[0].endswith("800.0 kg at F-1")
    net = python(live_server, plant.intake, "scale_to_lot.py", "floor", "ST,NT,+ 790.0 kg", *words[2:])
    assert net.stderr == "floor took its own tare off. Clear it and weigh again.\n"
    doubtful = python(live_server, plant.intake, "scale_to_lot.py", *words)  # the same bag again: a person is asked
    assert doubtful.stdout.startswith("A bag of 800.0 kg from plot ST24-N-1-1 is already in")


def test_a_buyer_sees_that_the_masses_of_a_lot_add_up(live_server, plant: House) -> None:
    lot = received(plant)
    records = program_of(plant.records, "write")
    spilled = records.post("/api/v1/acts/write-off", {"lot": lot.number, "mass": "30", "reason": "spilled"})
    records.post("/api/v1/acts/reverse", {"act": f"#{spilled['operations'][0]['number']}", "reason": "another lot"})
    records.post("/api/v1/acts/split", {"lot": lot.number, "pieces": [{"mass": "300", "place": "A-01"}]})
    done = python(live_server, plant.intake, "bought_lot.py", lot.number)
    assert done.stderr == ""
    assert f"{lot.number} 500.0 kg left" in done.stdout.splitlines()
    assert "does not add up" not in done.stdout


def test_a_sheet_is_answered_and_saved_at_once(live_server, plant: House, tmp_path: Path) -> None:
    sheet, answers = tmp_path / "intake.csv", tmp_path / "answers.json"
    sheet.write_text("plot,date,net,place\nST24-N-1-1,2024-09-24,800,F-1\nST24-N-1-9,2024-09-24,5,F-1\n")
    found = python(live_server, plant.records, "sheet_in.py", str(sheet), "intake")
    assert found.stdout.startswith("row 3, plot: 'ST24-N-1-9' is not a plot we know."), found.stderr
    answers.write_text('[{"row": 3, "answer": "leave_out"}]')
    saved = python(live_server, plant.records, "sheet_in.py", str(sheet), "intake", str(answers))
    assert saved.stdout == "saved as L1: 1 rows\n", saved.stderr
    unload(Load.objects.get(), station=plant.station, by=plant.records)
    again = python(live_server, plant.records, "sheet_in.py", str(sheet), "intake", str(answers))
    assert again.stdout == "saved as L2: 1 rows\n", again.stderr


def test_a_receiver_takes_what_we_signed_and_nothing_else() -> None:
    is_ours = runpy.run_path(str(PROGRAMS / "told_of_acts.py"))["is_ours"]
    secret = new_secret()
    headers = {"webhook-id": "msg_1", "webhook-timestamp": "1700000000"}
    signed = {**headers, "webhook-signature": "v1,x " + signature_of(secret, "msg_1", 1700000000, "{}")}
    assert is_ours(secret, signed, b"{}", 1700000009.5)
    assert not is_ours(secret, signed, b"{ }", 1700000009.5)
    assert not is_ours(new_secret(), signed, b"{}", 1700000009.5)
    assert not is_ours(secret, signed, b"{}", 1700000301)
    assert not is_ours(secret, headers, b"{}", 1700000009.5)


def test_a_lost_answer_is_asked_for_again_under_the_same_key(monkeypatch: pytest.MonkeyPatch) -> None:
    client = runpy.run_path(str(PROGRAMS / "hilum_client.py"))
    keys: list[str | None] = []

    def lost(wanted: Request, timeout: float) -> io.BytesIO:
        keys.append(wanted.get_header("Idempotency-key"))
        if len(keys) == 1:
            raise URLError("the line broke")
        if len(keys) == 2:
            raise HTTPError(wanted.full_url, 429, "", Message(), io.BytesIO(b"{}"))
        return io.BytesIO(b'{"operations": []}')

    monkeypatch.setattr("urllib.request.urlopen", lost)
    monkeypatch.setattr("time.sleep", lambda _seconds: None)
    assert client["act"]("move", {"lot": "24-0001-5", "to": "A-01"}) == {"operations": []}
    assert len(keys) == 3
    assert len(set(keys)) == 1


def test_the_r_program_reads_all_pages(live_server, plant: House) -> None:
    if shutil.which("Rscript") is None:
        pytest.skip("no R: Rscript is not on PATH, so the R example is not run here")
    done = run(live_server, plant.records, "Rscript", str(PROGRAMS / "observations.R"))
    assert re.search(r"\d+ units, \d+ observations", done.stdout), done.stderr


def test_pages_are_read_as_the_r_program_reads_them(live_server, plant: House) -> None:
    """The same loop where there is no R: page 0 first, then as many as totalPages says."""
    code = """
import json, os, urllib.request
def page(n):
    ask = urllib.request.Request(os.environ["HILUM_URL"] + f"/brapi/v2/observationunits?page={n}&pageSize=2",
                                 headers={"Authorization": "Bearer " + os.environ["HILUM_KEY"]})
    return json.load(urllib.request.urlopen(ask))
first = page(0)
rows = first["result"]["data"]
for n in range(1, first["metadata"]["pagination"]["totalPages"]):
    rows += page(n)["result"]["data"]
print(len(rows), len({row["observationUnitDbId"] for row in rows}))
"""
    done = run(live_server, plant.records, sys.executable, "-c", code)
    assert done.stdout.split() == ["6", "6"], done.stderr
