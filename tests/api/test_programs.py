"""The example programs of the documents, run against a site as their readers run them."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from django.contrib.auth.models import User

from api.tokens import make_token
from inventory.models import Stock
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
