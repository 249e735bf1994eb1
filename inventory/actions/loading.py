"""Save a sheet as one act of many, and take it back whole."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from django.contrib.auth.models import User
from django.db.models import Max

from inventory.actions.acting import Booked, action, require
from inventory.actions.drafts import Draft
from inventory.actions.posting import post_all, under_load
from inventory.actions.reversing import reverse_all
from inventory.models import Load, Operation, Station
from inventory.queries.loads import acts_of, live_load
from inventory.rules.mistakes import Mistake, Note, Refused

# Gives drafts in parts; each part is posted before the next is asked for, which may point at what was posted.
Plan = Callable[[Load], Iterable[Sequence[Draft]]]


class LoadedBefore(Note):
    """The same file was loaded as the same kind, and stands."""

    code = "loaded_before"

    def __init__(self, load: Load) -> None:
        super().__init__(
            f"This file is loaded already: load {load}, {load.file_name}, {load.rows} rows on "
            f"{load.loaded_at:%Y-%m-%d} by {load.by.get_username()}. Nothing was changed. "
            f"To load it again, take that load back first: unload {load}."
        )
        self.load = load


class NothingNew(Note):
    """Everything in the sheet is in the books as it stands."""

    code = "nothing_new"

    def __init__(self) -> None:
        super().__init__("Everything in this sheet is in the books already. Nothing was changed.")


class UnloadedBefore(Mistake):
    """The load was taken back already."""

    code = "unloaded_before"

    def __init__(self, load: Load) -> None:
        super().__init__(
            f"{load} ({load.file_name}) was taken back already on {load.unloaded_at:%Y-%m-%d}. "
            "Nothing is left to take back."
        )


@dataclass(frozen=True, kw_only=True)
class LoadedSheet:
    """A sheet that was checked and is to be saved.

    Args:
        answers: as given, in the form they are read in.
    """

    kind: str
    file_name: str
    sha256: str
    answers: Sequence[Any] = ()


@action("load")
def save_load(
    sheet: LoadedSheet, plan: Plan, *, station: Station, by: User, verbs: Sequence[str] = (),
) -> Booked:  # fmt: skip
    """Save a sheet: all that `plan` drafts for it, in one transaction, under one load.

    Args:
        plan: drafts the acts, and counts the records that they come from in the load's rows.
        verbs: the acts that the sheet does; who loads it must be allowed each of them.

    Raises:
        Refused: the file is loaded already, or something stands in the way of an act; nothing is saved.
    """
    for verb in verbs:
        require(by, verb, station)
    if before := live_load(station, sheet.sha256, sheet.kind):
        raise Refused([LoadedBefore(before)])
    load = _new_load(sheet, station, by)
    token = under_load.set(load)
    try:
        for drafts in plan(load):
            post_all(drafts)
    finally:
        under_load.reset(token)
    if not load.rows:
        raise Refused([NothingNew()])
    load.save(update_fields=["rows"])
    return Booked(tuple(Operation.objects.filter(load=load).order_by("seq")))


@action("unload")
def unload(
    load: Load, *, station: Station, by: User, reason: str = "", key: str = "", now: datetime | None = None
) -> Booked:  # fmt: skip
    """Take a load back: every act of it that stands is reversed, the newest first; all or none.

    Raises:
        Refused: it was taken back before, or later acts stand on it; they are named.
    """
    load = Load.objects.select_for_update().get(pk=load.pk)
    if load.unloaded_at is not None:
        raise Refused([UnloadedBefore(load)])
    why = reason.strip() or f"Load {load} ({load.file_name}) is taken back."
    booked = reverse_all(acts_of(load), station=station, by=by, reason=why, key=key, now=now, load=load)
    Load.objects.filter(pk=load.pk).update(unloaded_at=datetime.now(UTC))
    return booked


def _new_load(sheet: LoadedSheet, station: Station, by: User) -> Load:
    newest = Load.objects.filter(station=station).aggregate(newest=Max("number"))["newest"] or 0
    return Load.objects.create(
        station=station,
        number=newest + 1,
        kind=sheet.kind,
        file_name=sheet.file_name[:255],
        sha256=sheet.sha256,
        answers=list(sheet.answers),
        rows=0,
        by=by,
        loaded_at=datetime.now(UTC),
    )
