"""Sheets of many rows as jobs: checked, or saved all or nothing, while nobody waits for it."""

from dataclasses import dataclass
from typing import Any

from rest_framework.renderers import JSONRenderer

from api.jobs.kinds import JobKind, Made, Progress, Task
from api.scopes import WRITE
from api.v1.found import KindAsked, found_json, sheet_named
from api.v1.loads import load_json
from inventory.actions.acting import require
from inventory.importing.keeping import saved_once
from inventory.models import SheetDraft
from inventory.rules.chain import fingerprint
from inventory.rules.mistakes import Level, Mistake, Refused
from inventory.rules.reading import quoted

CHECK_SHEET, SAVE_SHEET = "check-sheet", "save-sheet"
JSON = "application/json"


class AnsweredSince(Mistake):
    """A sheet that has other answers than those it was to be checked with."""

    code = "answered_since"

    def __init__(self) -> None:
        super().__init__("This sheet was answered while its check waited. Ask for its findings again.")


class ListsOther(Mistake):
    """A sheet that was to be saved as one kind, and is of another by now."""

    code = "kind_changed"

    def __init__(self, asked: str, now: str) -> None:
        super().__init__(
            f"This sheet was to be saved as {quoted(asked)} and is listed as {quoted(now)} by now. Nothing was saved. "
            "Look at its findings, then save it again.",
            field="kind",
        )


@dataclass(frozen=True)
class CheckWords:
    """A sheet to check, by its id or the hash of its bytes.

    Attributes:
        answers: print of the kind and answers that it is to be checked with; empty for those that it has then.
    """

    sheet: str
    answers: str = ""


@dataclass(frozen=True)
class SaveWords:
    """A sheet to save, by its id or the hash of its bytes.

    Attributes:
        kind: as which it is saved; empty for what it is then.
    """

    sheet: str
    kind: str = ""


def answers_print(draft: SheetDraft) -> str:
    """Print what decides, beside the books, what is found in a sheet: its kind and its answers."""
    return fingerprint([draft.kind, draft.answers.get(draft.kind, [])])[:16]


def _sheet(task: Task) -> SheetDraft:
    draft = sheet_named(task.station, task.words.sheet)
    if not draft.kind:
        raise Refused([KindAsked(draft.station.code)])
    return draft


def _may_check(task: Task) -> None:
    _sheet(task)


def _may_save(task: Task) -> None:
    require(task.person, "load", task.station)
    _sheet(task)


def _check(task: Task, progress: Progress) -> Made:
    draft, words = _sheet(task), task.words
    if words.answers and words.answers != answers_print(draft):
        raise Refused([AnsweredSince()])
    found = found_json(draft, progress)
    waiting = sum(1 for finding in found["findings"] if finding["level"] != Level.NOTE)
    _write(task, found)
    return Made(f"{found['rows']:,} records, {waiting:,} things to decide.", f"{draft.uid}-findings.json", JSON)


def _save(task: Task, progress: Progress) -> Made:
    draft, kind = _sheet(task), task.words.kind
    if kind and kind != draft.kind:
        raise Refused([ListsOther(kind, draft.kind)])
    load, is_new = saved_once(draft, by=task.person, key=task.key, progress=progress)
    _write(task, {**load_json(load), "saved": load.rows if is_new else 0})
    says = f"Saved as load {load}: {load.rows:,} records." if is_new else f"It was saved before, as load {load}."
    return Made(says, f"{load}.json", JSON)


def _write(task: Task, told: dict[str, Any]) -> None:
    task.file.write_bytes(JSONRenderer().render(told))


CHECK = JobKind(
    CHECK_SHEET, "Check a sheet that is kept aside", CheckWords, _check, _may_check, reads=lambda _words: "sheets"
)  # fmt: skip
SAVE = JobKind(
    SAVE_SHEET, "Save a sheet that is kept aside, all or nothing", SaveWords, _save, _may_save,
    reads=lambda _words: "sheets", verb=WRITE,
)  # fmt: skip
