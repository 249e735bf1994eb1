"""Copies of everything: what is in them, how they are spoiled, and that a spoiled one changes nothing."""

import json
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command

from inventory.queries.archives import copied_models


def all_rows() -> dict[str, list[Any]]:
    """Every row of every table that a backup holds."""
    return {model._meta.db_table: list(model._base_manager.order_by("pk").values_list()) for model in copied_models()}


def refused(capsys: pytest.CaptureFixture[str], *command: Any) -> str:
    """Run a command that has to refuse: exit status 2 and a sentence, and the rows as they were."""
    before = all_rows()
    with pytest.raises(SystemExit) as end:
        call_command(*map(str, command))
    assert end.value.code == 2
    assert all_rows() == before
    said = capsys.readouterr().err
    assert said.strip().endswith(".")
    return said


def rewritten(
    change: Callable[[dict[str, Any], dict[str, bytes]], Any], said: str = "contents.json"
) -> Callable[[Path], None]:
    """Change the contents or the tables of a copy, as somebody with an editor could.

    Args:
        said: name of the part that says what is in it.
    """

    def rewrite(file: Path) -> None:
        with zipfile.ZipFile(file) as packed:
            parts = {name: packed.read(name) for name in packed.namelist()}
        contents = json.loads(parts[said])
        change(contents, parts)
        parts[said] = json.dumps(contents).encode()
        with zipfile.ZipFile(file, "w") as packed:
            for name, data in parts.items():
                packed.writestr(name, data)

    return rewrite


def wrong_in_package(file: Path) -> list[str]:
    """What an outside reader finds wrong with a package."""
    from frictionless import Package  # noqa: PLC0415 - half a second to import, for two tests

    report = Package(str(file)).validate()
    told = [*report.errors, *(error for task in report.tasks for error in task.errors)]
    assert report.valid is not bool(told)
    return [f"{error.type}: {error.message}" for error in told]
