"""A sheet being answered, outside the ledger: kept aside, answered question by question by several people, then saved.

Saving goes through `loading.save_load`, as the command does; here is only what a closed browser must not lose.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from uuid import UUID

from django.contrib.auth.models import User

from inventory.actions.acting import preparing
from inventory.models import SheetDraft, Station
from inventory.queries.sheet_drafts import forgotten_drafts, sheets_kept
from inventory.rules.mistakes import Refused
from inventory.rules.sheet_drafts import LONGEST, AnswerTooLong, NoSheetDraft, merged


@dataclass(frozen=True, kw_only=True)
class GivenAnswer:
    """One answer as a page sends it.

    Args:
        row: as the spreadsheet shows it.
        column: the heading as typed; "" for the whole row.
        answer: accept, keep, leave_out or a value; "" takes an answer away.
        seen: the answer that the page showed; "" for none.
    """

    row: int
    column: str
    answer: str
    reason: str = ""
    seen: str = ""


@preparing("load")
def keep_sheet(*, sha256: str, file_name: str, kind: str, rows: int, station: Station, by: User) -> SheetDraft:
    """Keep a sheet aside; the same bytes again are the same sheet with the answers it has."""
    draft, is_new = SheetDraft.objects.get_or_create(
        station=station, sha256=sha256,
        defaults={
            "file_name": file_name[:255], "kind": kind, "rows": rows, "started_by": by, "touched_at": datetime.now(UTC),
        },
    )  # fmt: skip
    if not is_new:
        draft.kind, draft.rows, draft.touched_at = kind or draft.kind, rows, datetime.now(UTC)
        draft.save(update_fields=["kind", "rows", "touched_at"])
    return draft


@preparing("load")
def choose_kind(uid: UUID, kind: str, *, station: Station, by: User) -> SheetDraft:  # noqa: ARG001 - `preparing` asks who it is
    """Say what a sheet lists; answers given to it as another kind are kept with that kind.

    Raises:
        Refused: it is no longer kept aside.
    """
    draft = _locked(station, uid)
    draft.kind, draft.touched_at = kind, datetime.now(UTC)
    draft.save(update_fields=["kind", "touched_at"])
    return draft


@preparing("load")
def answer_sheet(uid: UUID, given: Sequence[GivenAnswer], *, station: Station, by: User) -> SheetDraft:
    """Keep answers to a sheet's questions; what others answered meanwhile stays.

    Raises:
        Refused: it is no longer kept aside, somebody answered the same otherwise, or an answer is too long.
    """
    draft = _locked(station, uid)
    long = [text for one in given for text in (one.answer, one.reason) if len(text) > LONGEST]
    if long:
        raise Refused([AnswerTooLong(len(long[0]))])
    seen: dict[tuple[object, str], str] = {(one.row, one.column): one.seen for one in given}
    new = [_kept(one, by) for one in given]
    answers, mistakes = merged(draft.answers.get(draft.kind, []), new, seen)
    if mistakes:
        raise Refused(mistakes)
    draft.answers[draft.kind], draft.touched_at = answers, datetime.now(UTC)
    draft.save(update_fields=["answers", "touched_at"])
    return draft


@preparing("load")
def throw_away(uid: UUID, *, station: Station, by: User) -> str:  # noqa: ARG001 - `preparing` asks who it is
    """Forget a sheet and its answers; what was saved of it stays in the books.

    Returns:
        The file's hash, if nothing needs the file any more; else "".

    Raises:
        Refused: it is no longer kept aside.
    """
    draft = _locked(station, uid)
    draft.delete()
    return "" if sheets_kept([draft.sha256]) else draft.sha256


@preparing("load")
def clean_drafts(*, station: Station, by: User) -> set[str]:  # noqa: ARG001 - `preparing` asks who it is
    """Forget sheets that nobody touched for a long time.

    Returns:
        The hashes of files that nothing needs any more.
    """
    old = forgotten_drafts(datetime.now(UTC))
    hashes = set(old.values_list("sha256", flat=True))
    old.delete()
    return hashes - sheets_kept(hashes)


def _locked(station: Station, uid: UUID) -> SheetDraft:
    draft = SheetDraft.objects.select_for_update().filter(station=station, uid=uid).first()
    if draft is None:
        raise Refused([NoSheetDraft()])
    return draft


def _kept(one: GivenAnswer, by: User) -> Mapping[str, object]:
    why = {"reason": one.reason.strip()} if one.reason.strip() else {}
    return {"row": one.row, "column": one.column, "answer": one.answer.strip(), **why, "by": by.get_username()}
