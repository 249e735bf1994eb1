"""A sheet from its bytes to the ledger: check it, and save it if nothing is open."""

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from itertools import groupby
from typing import Any

from django.contrib.auth.models import User

from inventory.actions.desk import Desk
from inventory.actions.drafts import Draft
from inventory.actions.loading import LoadedBefore, LoadedSheet, NothingNew, save_load
from inventory.actions.reader import Reader
from inventory.importing.answers import Answers
from inventory.importing.asking import Record
from inventory.importing.checking import STEP, Checked, Progress, check, in_parts, silent
from inventory.importing.findings import Finding, finding_of_sheet
from inventory.importing.kinds.kind import Kind
from inventory.importing.sheets import read_sheet
from inventory.models import Load, Station
from inventory.queries.loads import live_load
from inventory.rules.mistakes import Refused

NO_ANSWERS = Answers()


@dataclass(frozen=True)
class Outcome:
    """What came of a sheet.

    Args:
        sheet: name of the worksheet.
        rows: how many records it holds.
        findings: by row and column.
        saved: how many records were saved.
        load: the load it was saved as, or that holds the same bytes already.
        checked: the sheet and its records, for whoever shows them; not where the same bytes stand already.
    """

    sheet: str
    rows: int
    findings: Sequence[Finding] = field(default_factory=tuple)
    saved: int = 0
    load: Load | None = None
    checked: Checked | None = None

    @property
    def is_open(self) -> bool:
        """Say whether something has to be answered."""
        return any(finding.is_open for finding in self.findings)

    def as_json(self) -> dict[str, Any]:
        """Give it as `sheet --json` prints it."""
        return {
            "sheet": self.sheet,
            "rows": self.rows,
            "findings": [finding.as_json() for finding in self.findings],
            "saved": self.saved,
            "load": str(self.load) if self.load else None,
        }


def check_sheet(
    content: bytes, name: str, kind: Kind, *, station: Station, answers: Answers = NO_ANSWERS,
    now: datetime | None = None, progress: Progress = silent,
) -> Outcome:  # fmt: skip
    """Check a sheet and say what was found; nothing is saved.

    Args:
        content: all bytes of the file.
        name: of the file.
        now: the clock; later days are refused.

    Raises:
        Refused: the file can't be used, or holds no record.
    """
    table = read_sheet(content, name)
    if before := live_load(station, _print(content), kind.name):
        return Outcome(table.name, before.rows, [finding_of_sheet(LoadedBefore(before))], load=before)
    return _outcome(check(kind, table, station, answers, now, progress=progress))


def load_sheet(
    content: bytes, name: str, kind: Kind, *, station: Station, by: User, answers: Answers = NO_ANSWERS,
    now: datetime | None = None,
) -> Outcome:  # fmt: skip
    """Check a sheet and save it, all or nothing; with anything open nothing is saved.

    Raises:
        Refused: the file can't be used, holds no record, or the account may not do what it does.
    """
    outcome = check_sheet(content, name, kind, station=station, answers=answers, now=now)
    sheet = LoadedSheet(
        kind=kind.name, file_name=name, sha256=_print(content), answers=[answer.as_json() for answer in answers]
    )  # fmt: skip
    return save_checked(outcome, sheet, station=station, by=by, now=now)


def save_checked(
    outcome: Outcome, sheet: LoadedSheet, *, station: Station, by: User, now: datetime | None = None,
    progress: Progress = silent,
) -> Outcome:  # fmt: skip
    """Save a sheet that was checked, all or nothing; every record is planned once more, since others act meanwhile.

    Args:
        outcome: of `check_sheet`; with anything open, or saved before, it comes back as it is.

    Raises:
        Refused: something stands in the way by now, or the account may not do what it does.
    """
    checked = outcome.checked
    if checked is None or checked.is_open or not checked.to_save:
        return outcome
    try:
        save_load(
            sheet, lambda load: _drafts(checked, load, by, now, progress), station=station, by=by,
            verbs=checked.kind.verbs,
        )  # fmt: skip
    except Refused as refused:  # the same file, saved by someone else a moment ago; or nothing in it is new
        before = next((said.load for said in refused.mistakes if isinstance(said, LoadedBefore)), None)
        if before is not None:
            return Outcome(outcome.sheet, before.rows, [finding_of_sheet(LoadedBefore(before))], load=before)
        if not any(isinstance(said, NothingNew) for said in refused.mistakes):
            raise
        return outcome
    load = live_load(station, sheet.sha256, sheet.kind)
    return Outcome(outcome.sheet, outcome.rows, outcome.findings, load.rows if load else 0, load)


def _outcome(checked: Checked) -> Outcome:
    return Outcome(checked.sheet.table.name, len(checked.records), checked.findings, checked=checked)


def _print(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _drafts(
    checked: Checked, load: Load, by: User, now: datetime | None, progress: Progress
) -> Iterator[Sequence[Draft]]:  # fmt: skip
    """Plan all records once more, now for good, for another act may have come between; then what follows them."""
    desk, kind = Desk(load.station, now), checked.kind
    records = in_parts(kind, checked.to_save)
    kind.expect(desk, [record.words for record in records])
    numbered = enumerate(records)
    for _part, some in groupby(numbered, key=lambda one: kind.part(one[1].words)):
        drafts: list[Draft] = []
        for number, record in some:
            if number % STEP == 0:
                progress(number, len(records))
            planned = _planned(checked, desk, load, record, by)
            drafts.extend(planned)
            load.rows += bool(planned) or kind.books_later
        kind.before_posting(desk, drafts)
        yield drafts
    yield kind.follow(desk, by)


def _planned(checked: Checked, desk: Desk, load: Load, record: Record, by: User) -> Sequence[Draft]:
    planned = checked.kind.plan(Reader(desk, record.reasons), record.words, by)
    source = _source(checked, load, record)
    for draft in planned:
        draft.facts = {**draft.facts, "source": source}
    return planned


def _source(checked: Checked, load: Load, record: Record) -> dict[str, Any]:
    """Keep where a record came from: load, sheet, rows, every cell as it stood, and what was answered."""
    cells = {cell.ref: cell.text for row in record.rows for cell in row.cells if cell.text}
    source: dict[str, Any] = {
        "load": str(load), "sheet": checked.sheet.table.name, "rows": [row.number for row in record.rows],
        "cells": cells,
    }  # fmt: skip
    if record.given:
        source["answers"] = [answer.as_json() for answer in record.given]
    return source
