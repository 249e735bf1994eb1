"""Write seed off: it is discarded, and its why is kept."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Typed
from inventory.actions.drafts import Draft, outside
from inventory.actions.posting import post_all
from inventory.actions.reader import Reader
from inventory.actions.taking import take
from inventory.models import Station


@dataclass(frozen=True, kw_only=True)
class WriteOff:
    """What is written off, as it was typed; without a mass it is all that is named."""

    lot: Typed
    mass: Typed = None
    bags: Typed = ""
    place: str = ""
    unit: str = "kg"
    at: Typed = None


@action("write off")
def write_off(
    asked: WriteOff, *, station: Station, by: User, reason: str, key: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Write off once: `write_off_all` with one."""
    return write_off_all([asked], station=station, by=by, reason=reason, key=key, answers=answers, now=now)


@action("write off")
def write_off_all(
    asked: Sequence[WriteOff], *, station: Station, by: User, reason: str, key: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Write seed off; all or none.

    Args:
        reason: why; it is kept.

    Raises:
        Refused: no reason, more than is left, or something cannot be read.
    """
    desk = Desk(station, now)
    drafts = [plan_write_off(Reader(desk, answers), one, by=by, key=key, reason=reason) for one in asked]
    return Booked(tuple(post_all(drafts)))


def plan_write_off(reader: Reader, asked: WriteOff, *, by: User, reason: str, key: str = "") -> Draft:
    """Plan a write-off on the reader's desk.

    Raises:
        Refused: all that stands in the way.
    """
    at = reader.when(asked.at)
    reader.note_typed(**vars(asked))
    why = reader.reason(reason, "a write-off")
    known = reader.lot(asked.lot)
    is_all = asked.mass in (None, "")
    mass = None if is_all else reader.positive(asked.mass, "mass", asked.unit)
    taken = None
    if known and (is_all or mass):
        taken = take(reader, known, mass.mg if mass else None, place=asked.place, bags=asked.bags)
    facts = reader.finish()
    if taken is None:
        raise AssertionError("finish() lets nothing unread through")
    draft = Draft(
        kind="write off", station=reader.desk.station, by=by, at=at, reason=why, key=key, facts=facts,
        entries=[*taken.entries, outside("discarded", taken.mg)],
    )  # fmt: skip
    return reader.desk.plan(draft)
