"""Every hook is documented, has a test and keeps to the manner of hooks."""

import inspect
import re
from pathlib import Path

import pytest

from hilum.plugins import hookspecs
from hilum.plugins.host import Host

README = Path(hookspecs.__file__).with_name("README.md").read_text(encoding="utf-8")
TESTS = Path(__file__).with_name("test_host.py").read_text(encoding="utf-8")
HOOKS = {name: spec for name, spec in vars(hookspecs).items() if hasattr(spec, "hilum_spec")}


def test_there_are_hooks() -> None:
    assert len(HOOKS) >= 4


@pytest.mark.parametrize("hook", HOOKS)
def test_every_hook_stands_in_the_readme_with_its_arguments(hook: str) -> None:
    arguments = ", ".join(inspect.signature(HOOKS[hook]).parameters)
    assert f"| `{hook}({arguments})` |" in README


def test_the_readme_names_no_hook_that_does_not_exist() -> None:
    assert set(re.findall(r"^\| `(\w+)\(", README, re.MULTILINE)) == set(HOOKS)


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
