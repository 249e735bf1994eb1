"""Every hook is documented on a page of its own, has a test and keeps to the manner of hooks."""

import inspect
import re
from pathlib import Path
from types import ModuleType

import pytest

from hilum.plugins import hookspecs
from hilum.plugins.books import Books
from hilum.plugins.host import Host
from hilum.plugins.tables import OPEN_TABLES

FOLDER = Path(hookspecs.__file__).parent
README = (FOLDER / "README.md").read_text(encoding="utf-8")
PAGES = {file.stem: file.read_text(encoding="utf-8") for file in (FOLDER / "docs").glob("*.md")}
TESTS = Path(__file__).with_name("test_host.py").read_text(encoding="utf-8")
HOOKS = {name: spec for name, spec in vars(hookspecs).items() if hasattr(spec, "hilum_spec")}
OTHER_PAGES = {"books", "pages", "routes", "settings", "tables"}
PARTS = ("When it is asked", "What it gets", "What it answers", "When it fails")


def test_there_are_hooks() -> None:
    assert len(HOOKS) >= 4


@pytest.mark.parametrize("hook", HOOKS)
def test_every_hook_stands_in_the_readme_with_its_arguments(hook: str) -> None:
    arguments = ", ".join(inspect.signature(HOOKS[hook]).parameters)
    assert f"| [`{hook}({arguments})`](docs/{hook}.md) |" in README


def test_the_readme_names_no_hook_that_does_not_exist() -> None:
    assert set(re.findall(r"^\| \[`(\w+)\(", README, re.MULTILINE)) == set(HOOKS)


def test_there_is_a_page_for_every_hook_and_none_for_what_is_none() -> None:
    assert set(PAGES) == {*HOOKS, *OTHER_PAGES}
    assert [page for page in OTHER_PAGES if f"(docs/{page}.md)" not in README] == []


@pytest.mark.parametrize("hook", HOOKS)
def test_the_page_of_a_hook_has_its_signature_and_all_its_parts(hook: str) -> None:
    arguments = ", ".join(inspect.signature(HOOKS[hook]).parameters)
    assert PAGES[hook].startswith(f"# {hook}\n\n    {hook}({arguments})\n")
    assert re.findall(r"^\*\*(.*?)\.\*\*", PAGES[hook], re.MULTILINE) == list(PARTS)


@pytest.mark.parametrize("hook", HOOKS)
def test_the_example_of_a_hook_is_a_plugin_that_answers_as_promised(hook: str) -> None:
    [code] = re.findall(r"```python\n(.*?)```", PAGES[hook], re.DOTALL)
    example = ModuleType(hook)
    exec(compile(code, f"{hook}.md", "exec"), vars(example))  # noqa: S102 - our own page
    host = Host([("example", lambda: example)], raising=True)
    assert host.quarantined() == ()
    assert host.plugins_with(hook) == ("example",)
    given = {
        "lot_numbers": ["24-0016-5"], "lot_number": "24-0016-5", "station": "QM", "person": "", "typed": "SOAK-1",
        "parts": [("24-0016-5", 1)], "acts": [],
    }  # fmt: skip
    wanted = {name: given[name] for name in inspect.signature(getattr(Host, hook)).parameters if name in given}
    if hook != "after_commit":
        getattr(host, hook)(**wanted)


def test_the_open_tables_and_calls_are_those_of_the_pages() -> None:
    assert [table for table in OPEN_TABLES if f"`{table}`" not in PAGES["tables"]] == []
    calls = {name for name in vars(Books) if not name.startswith("_")}
    assert set(re.findall(r"^\| `books\(\)\.(\w+)\(", PAGES["books"], re.MULTILINE)) == calls


@pytest.mark.parametrize("hook", HOOKS)
def test_every_hook_has_one_sentence_and_types(hook: str) -> None:
    doc = inspect.getdoc(HOOKS[hook]) or ""
    assert doc.endswith(".")
    assert "\n" not in doc
    annotations = HOOKS[hook].__annotations__
    assert set(annotations) == {*inspect.signature(HOOKS[hook]).parameters, "return"}


@pytest.mark.parametrize("hook", HOOKS)
def test_every_hook_has_a_test_and_a_typed_caller_in_the_host(hook: str) -> None:
    assert f".{hook}(" in TESTS
    assert callable(getattr(Host, hook))
