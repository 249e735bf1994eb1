"""What the scripts say on a machine that lacks something."""

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
TOO_OLD = "#!/bin/sh\nexit 1\n"
WITHOUT_PIP = """#!/bin/sh
case $* in
    --version) echo "Python 3.11.9" ;;
    *"import venv"* | *"import ensurepip"* | *"import pip"*) exit 1 ;;
esac
"""


@pytest.fixture
def checkout(tmp_path: Path) -> Path:
    """A checkout with the scripts, a lock and a PATH of its own that holds no Python."""
    shutil.copytree(ROOT / "bin", tmp_path / "bin")
    (tmp_path / "requirements.lock").touch()
    (tmp_path / "path").mkdir()
    for tool in ("dirname", "cat", "rm"):
        (tmp_path / "path" / tool).symlink_to(shutil.which(tool) or "missing")
    return tmp_path


def setup(checkout: Path, *arguments: str, python: str | None = None) -> subprocess.CompletedProcess[str]:
    if python is not None:
        (checkout / "path" / "python3").write_text(python)
        (checkout / "path" / "python3").chmod(0o755)
    command = [shutil.which("sh") or "sh", str(checkout / "bin" / "setup"), *arguments]
    environment = {"PATH": str(checkout / "path")}
    return subprocess.run(command, env=environment, capture_output=True, text=True, check=False)


def test_the_commands_say_how_to_start_them_where_the_packages_are_missing() -> None:
    command = [sys.executable, "-S", "-E", str(ROOT / "manage.py"), "stock"]  # -S: a Python without our packages
    told = subprocess.run(command, capture_output=True, text=True, check=False)
    assert (told.returncode, told.stdout) == (2, "")
    assert told.stderr.startswith("This Python has none of the packages")
    assert "Traceback" not in told.stderr


@pytest.mark.parametrize("python", [None, TOO_OLD])
def test_without_a_python_that_is_new_enough_it_says_which_one_it_needs(checkout: Path, python: str | None) -> None:
    said = setup(checkout, python=python)
    assert said.returncode == 1
    assert "Hilum needs Python 3.11 or later" in said.stderr


def test_without_venv_and_pip_it_says_what_to_install(checkout: Path) -> None:
    said = setup(checkout, python=WITHOUT_PIP)
    assert said.returncode == 1
    assert "has no venv module or no pip. On Debian and Ubuntu, install python3-venv" in said.stderr


def test_a_lock_that_is_not_there_is_named(checkout: Path) -> None:
    said = setup(checkout, "no.lock")
    assert said.returncode == 2
    assert "There is no no.lock" in said.stderr
