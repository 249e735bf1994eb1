import os
import subprocess
import sys
from pathlib import Path

import psycopg
import pytest

ROOT = Path(__file__).resolve().parents[2]
SKIPPING = """
import pytest

@pytest.mark.postgres
def test_two_processes():
    pytest.skip("no server")

def test_a_picture():
    pytest.skip("no chromium")
"""


def outcome(folder: Path, **environment: str) -> tuple[int, str]:
    (folder / "test_skipping.py").write_text(SKIPPING)
    said = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-c", os.devnull, "-p", "tests.in_ci", "-p", "no:django", str(folder)],
        cwd=ROOT,
        env={"PATH": os.environ["PATH"], **environment},
        capture_output=True,
        text=True,
        check=False,
    )
    return said.returncode, said.stdout


def test_a_skipped_postgresql_test_fails_in_ci(tmp_path: Path) -> None:
    code, said = outcome(tmp_path, CI="true")
    assert code == 1
    assert "1 failed, 1 skipped" in said
    assert "CI promises PostgreSQL" in said


def test_a_skipped_postgresql_test_is_only_skipped_elsewhere(tmp_path: Path) -> None:
    code, said = outcome(tmp_path)
    assert code == 0
    assert "2 skipped" in said


@pytest.mark.postgres
def test_the_postgresql_fixture_gives_an_empty_database_of_its_own(postgres_url: str) -> None:
    with psycopg.connect(postgres_url) as door:
        tables = door.execute("SELECT count(*) FROM information_schema.tables WHERE table_schema = 'public'").fetchone()
    assert tables == (0,)


def test_what_asks_for_a_database_is_marked_so_and_runs_on_the_second_engine(
    request: pytest.FixtureRequest, db: None
) -> None:
    assert request.node.get_closest_marker("books") is not None


def test_what_asks_for_none_is_not_run_on_the_second_engine(request: pytest.FixtureRequest) -> None:
    assert request.node.get_closest_marker("books") is None
