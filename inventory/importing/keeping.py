"""Sheets kept aside while they are answered: the file under its hash beside the database, its answers in it.

All goes through what `manage.py sheet` goes through: the gate, the reader in its own process, check, load.
"""

import hashlib
import json
import os
import tempfile
from pathlib import Path

from django.conf import settings
from django.contrib.auth.models import User

from inventory.actions.acting import Booked, one_effect, require
from inventory.actions.loading import LoadedBefore, LoadedSheet
from inventory.actions.sheet_drafts import clean_drafts, keep_sheet, throw_away
from inventory.importing.answers import Answers, read_answers
from inventory.importing.checking import Progress, silent
from inventory.importing.headings import match_headings
from inventory.importing.kinds import all_kinds, kind_named
from inventory.importing.kinds.kind import Kind
from inventory.importing.loading import Outcome, check_sheet, load_sheet, save_checked
from inventory.importing.sheets import read_sheet
from inventory.importing.table import SheetTable
from inventory.models import Command, Load, SheetDraft, Station
from inventory.queries.loads import live_load, loads_of
from inventory.queries.today import now_at
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.sheet_drafts import NothingToSave, StillOpen


class FileGone(Mistake):
    """The file that was kept aside is not there any more, or is another."""

    code = "file_gone"

    def __init__(self, name: str) -> None:
        super().__init__(f"{name} is no longer kept on this computer. Drop the file again; your answers are kept.")


def keep(content: bytes, name: str, kind: str = "", *, station: Station, by: User) -> SheetDraft:
    """Keep a sheet aside, with the kind it seems to be unless one is named.

    Args:
        content: all bytes of the file, at most one more than is allowed.
        name: of the file.

    Raises:
        Refused: the file can't be used, or the account may not load sheets.
    """
    require(by, "load", station)
    kind = kind_named(kind, station.code).name if kind else ""
    table = read_sheet(content, name)
    digest = hashlib.sha256(content).hexdigest()
    for old in clean_drafts(station=station, by=by):
        _path(old).unlink(missing_ok=True)
    _write(digest, content)
    return keep_sheet(
        sha256=digest, file_name=name or table.name, kind=kind or guess_kind(table, station.code), rows=len(table.rows),
        station=station, by=by,
    )  # fmt: skip


def guess_kind(table: SheetTable, station: str = "") -> str:
    """Say what a sheet lists by its headings; "" where no kind, or more than one, takes as many of them."""
    counts = {name: _headings_of(table, kind) for name, kind in all_kinds(station).items()}
    most = max(counts.values(), default=0)
    best = [name for name, count in counts.items() if count == most]
    return best[0] if most and len(best) == 1 else ""


def _headings_of(table: SheetTable, kind: Kind) -> int:
    try:
        return len(match_headings(table, kind.vocabulary).columns)
    except Refused:
        return 0


def looked_through(draft: SheetDraft, progress: Progress = silent) -> Outcome:
    """Check a sheet with the answers it has; nothing is saved.

    Raises:
        Refused: the file can't be used, holds no record, or is no longer there.
    """
    return check_sheet(
        content_of(draft), draft.file_name, kind_named(draft.kind, draft.station.code), station=draft.station,
        answers=answers_of(draft), now=now_at(draft.station), progress=progress,
    )  # fmt: skip


def saved(draft: SheetDraft, *, by: User) -> Outcome:
    """Save a sheet with the answers it has, all or nothing; saved before, it names its load.

    Raises:
        Refused: the file can't be used, or the account may not do what it does.
    """
    return load_sheet(
        content_of(draft), draft.file_name, kind_named(draft.kind, draft.station.code), station=draft.station, by=by,
        answers=answers_of(draft), now=now_at(draft.station),
    )  # fmt: skip


def saved_once(draft: SheetDraft, *, by: User, key: str, progress: Progress = silent) -> tuple[Load, bool]:
    """Save a sheet under a key: sent again with the same key it is saved once and answers as the first time.

    It is checked before the transaction in which it is saved, so that others wait for the second half alone.

    Args:
        progress: told how far it is; what it raises leaves nothing saved.

    Returns:
        Its load, and whether this key saved it; False where it was saved before, which is then all there is to say.

    Raises:
        Refused: something is still to decide, the account may not do what it does, or the key was used before.
    """
    station = draft.station
    is_again = Command.objects.filter(station=station, key=key).exists()
    before = live_load(station, draft.sha256, draft.kind)
    if before is not None and not is_again:
        return before, False
    words = ["save sheet", draft.sha256, draft.kind]
    outcome = None if is_again else looked_through(draft, lambda done, of: progress(done, 3 * of))
    try:
        one_effect(lambda: _saved_anew(draft, by, outcome, progress), words, station=station, key=key)
    except Refused as refused:  # by someone else, a moment ago
        meanwhile = next((said.load for said in refused.mistakes if isinstance(said, LoadedBefore)), None)
        if meanwhile is None:
            raise
        return meanwhile, False
    return loads_of(station).filter(sha256=draft.sha256, kind=draft.kind)[0], True


def _saved_anew(draft: SheetDraft, by: User, found: Outcome | None, progress: Progress) -> Booked:
    given = [answer.as_json() for answer in answers_of(draft)]
    sheet = LoadedSheet(kind=draft.kind, file_name=draft.file_name, sha256=draft.sha256, answers=given)
    outcome = save_checked(
        found or looked_through(draft), sheet, station=draft.station, by=by, now=now_at(draft.station),
        progress=lambda done, of: progress(of + done, 3 * of),
    )  # fmt: skip
    load = load_of(outcome)
    if not outcome.saved:
        raise Refused([LoadedBefore(load)])
    return Booked(())


def load_of(outcome: Outcome) -> Load:
    """Give the load that a sheet was saved as.

    Raises:
        Refused: it was not saved, since something is open or nothing in it is new.
    """
    if outcome.load is None:
        waiting = sum(1 for finding in outcome.findings if finding.is_open)
        raise Refused([StillOpen(waiting) if waiting else NothingToSave()])
    return outcome.load


def forget(draft: SheetDraft, *, by: User) -> None:
    """Throw a sheet away that was kept aside; what was saved of it stays in the books.

    Raises:
        Refused: the account may not load sheets.
    """
    if digest := throw_away(draft.uid, station=draft.station, by=by):
        _path(digest).unlink(missing_ok=True)


def answers_of(draft: SheetDraft) -> Answers:
    """Read the answers that a sheet has as the kind it is."""
    return read_answers(json.dumps(draft.answers.get(draft.kind, [])))


def content_of(draft: SheetDraft) -> bytes:
    """Give the bytes of the file, the same that were dropped.

    Raises:
        Refused: they are not there any more.
    """
    try:
        content = _path(draft.sha256).read_bytes()
    except OSError as error:
        raise Refused([FileGone(draft.file_name)]) from error
    if hashlib.sha256(content).hexdigest() != draft.sha256:
        raise Refused([FileGone(draft.file_name)])
    return content


def _path(digest: str) -> Path:
    return Path(settings.DATA_DIR) / "sheets" / digest


def _write(digest: str, content: bytes) -> None:
    """Write the file whole under another name first: one that breaks off never stands under its hash."""
    path = _path(digest)
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        Path(name).replace(path)
    except OSError:
        Path(name).unlink(missing_ok=True)
        raise
