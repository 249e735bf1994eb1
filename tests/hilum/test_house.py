"""The shape of the house: top folders, sizes, what start-up imports, locks, scripts, no machine's own paths."""

import ast
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
# Import-linter's exhaustive contracts work inside the apps only; a new top folder must be given its floor here.
PACKAGES = {"api", "benchmarks", "canning", "docs", "fixtures_demo", "grading", "hilum", "inventory", "tests"}
LONGEST_FILE = 500
LONGEST_FUNCTION = 60
LOCKS = ("requirements.lock", "requirements-test.lock")
SCRIPTS = ("bench", "demo", "serve", "setup", "test")
# Folders of a person's or a machine's own; /home/ and the like never belong in what is shared.
OWN_PATHS = re.compile(r"(?<![\w.])/(?:home|Users|root|work)/\w")


def committed() -> list[Path]:
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    if listed.returncode:
        pytest.skip("not a git checkout, so there is no list of committed files")
    return [ROOT / name for name in listed.stdout.split("\0") if name and (ROOT / name).is_file()]


def python_files() -> list[Path]:
    return [file for file in committed() if file.suffix == ".py" and "migrations" not in file.parts]


def pinned(lock: str) -> dict[str, str]:
    """Read a lock: package and marker -> version."""
    text = (ROOT / lock).read_text()
    pins = re.findall(r"^([a-z0-9][\w.-]*)(?:\[[\w,-]+\])?==([^\s;]+)(?: ; ([^\\]+?))? \\$", text, re.MULTILINE)
    return {f"{name} {marker}".strip(): version for name, version, marker in pins}


def test_every_top_package_is_an_agreed_one() -> None:
    found = {file.relative_to(ROOT).parts[0] for file in python_files() if len(file.relative_to(ROOT).parts) > 1}
    assert found <= PACKAGES


def test_no_file_is_longer_than_the_wall() -> None:
    lengths = {str(file.relative_to(ROOT)): len(file.read_text().splitlines()) for file in python_files()}
    assert {name: length for name, length in lengths.items() if length > LONGEST_FILE} == {}


def test_no_function_is_longer_than_a_page() -> None:
    long = [
        f"{file.relative_to(ROOT)}:{node.lineno} {node.name}"
        for file in python_files()
        for node in ast.walk(ast.parse(file.read_text()))
        if isinstance(node, ast.FunctionDef) and (node.end_lineno or 0) - node.lineno + 1 > LONGEST_FUNCTION
    ]
    assert long == []


def test_starting_the_site_imports_no_numpy_or_scipy(tmp_path: Path) -> None:
    program = (
        "import sys; import hilum.wsgi; from django.urls import get_resolver; get_resolver().url_patterns; "
        "from hilum.plugins.host import the_host; the_host(); "
        "print([name for name in ('numpy', 'scipy', 'networkx') if name in sys.modules])"
    )
    said = subprocess.run(
        [sys.executable, "-c", program],
        cwd=ROOT,
        env={"HILUM_DATA": str(tmp_path), "DJANGO_SETTINGS_MODULE": "hilum.settings"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert (said.returncode, said.stdout.strip()) == (0, "[]"), said.stderr


@pytest.mark.parametrize("lock", LOCKS)
def test_every_locked_package_has_an_exact_version_and_hashes(lock: str) -> None:
    text = (ROOT / lock).read_text()
    entries = re.split(r"\n(?=[a-zA-Z0-9])", "\n".join(line for line in text.splitlines() if "# " not in line))
    assert len(entries) == len(pinned(lock)) > 10
    assert [entry.split()[0] for entry in entries if "--hash=sha256:" not in entry] == []


@pytest.mark.parametrize("lock", LOCKS)
def test_locks_name_no_index_and_no_address(lock: str) -> None:
    text = (ROOT / lock).read_text()
    assert re.findall(r"https?:|--(?:extra-)?index-url|--find-links|--trusted-host|^-i |^-f ", text, re.MULTILINE) == []


def test_the_test_lock_holds_all_of_the_other_in_the_same_versions() -> None:
    test_lock = pinned("requirements-test.lock")
    by_name = {(key.split(" ")[0], version) for key, version in test_lock.items()}
    assert {(key.split(" ")[0], version) for key, version in pinned("requirements.lock").items()} - by_name == set()


def test_every_script_is_known_and_executable() -> None:
    scripts = [file for file in committed() if file.parent == ROOT / "bin"]
    assert sorted(script.name for script in scripts) == sorted(SCRIPTS)
    assert [script.name for script in scripts if not script.stat().st_mode & 0o100] == []


@pytest.mark.parametrize("script", SCRIPTS)
def test_every_script_is_written_for_a_plain_sh(script: str) -> None:
    dash = shutil.which("dash")
    if dash is None:
        pytest.skip("no dash on PATH to read the scripts with")
    assert (ROOT / "bin" / script).read_text().startswith("#!/bin/sh\n")
    said = subprocess.run([dash, "-n", str(ROOT / "bin" / script)], capture_output=True, text=True, check=False)
    assert (said.returncode, said.stderr) == (0, "")


def test_no_committed_text_holds_a_path_of_someones_own() -> None:
    found = []
    for file in committed():
        try:
            text = file.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue  # a picture or a workbook
        found += [f"{file.relative_to(ROOT)}: {match.group()}" for match in OWN_PATHS.finditer(text)]
    assert found == []
