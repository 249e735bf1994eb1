"""The documents keep up with the code."""

import re
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
NOT_FOR_PEOPLE = {"HILUM_DEBUG"}


def packages() -> set[str]:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    wanted = [
        *project["dependencies"],
        *(item for extra in project["optional-dependencies"].values() for item in extra),
    ]
    return {re.split(r"[\[<>=~! ;]", item)[0].lower() for item in wanted}


def test_every_setting_the_site_reads_stands_in_the_readme() -> None:
    code = "".join(file.read_text(encoding="utf-8") for file in (ROOT / "hilum" / "settings").glob("*.py"))
    read = set(re.findall(r"environ(?:\.get\(|\[)\"(\w+)\"", code)) - NOT_FOR_PEOPLE
    assert read
    assert {name for name in read if f"| `{name}` |" not in README} == set()


def test_every_package_has_its_reason() -> None:
    reasons = DEVELOPERS.split("### Why each package is there")[1].lower()
    assert {
        name for name in packages() if not re.search(rf"^\|[^|]*\b{re.escape(name)}\b", reasons, re.MULTILINE)
    } == set()


def test_every_folder_and_file_the_developers_page_names_is_there() -> None:
    named = set(re.findall(r"`((?:\w+/)+[\w.]*\w?)`", DEVELOPERS)) - {"data/"}
    assert len(named) > 15
    assert {name for name in named if not (ROOT / name).exists()} == set()
