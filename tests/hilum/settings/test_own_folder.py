"""Tests keep to a folder of their own."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]


def test_a_test_run_never_writes_where_real_lots_may_lie(tmp_path: Path) -> None:
    says = "import os, tests.settings as s; print(s.DATA_DIR == type(s.DATA_DIR)(os.environ['HILUM_DATA']), s.DATA_DIR)"
    said = subprocess.run(
        [sys.executable, "-c", says],
        cwd=ROOT,
        env={"TMPDIR": str(tmp_path)},
        capture_output=True,
        text=True,
        check=True,
    )
    is_the_same, folder = said.stdout.split()
    assert is_the_same == "True"
    assert Path(folder).parent == tmp_path
