"""Measurements that take no seed: dated acts without masses, which never stand in the way of a reversal."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.contrib.auth.models import User
from django.db.models import Model

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Typed
from inventory.actions.drafts import Draft
from inventory.actions.origin import plan_each
from inventory.actions.posting import post_all
from inventory.actions.reader import Missing, Reader, sure
from inventory.models import Moisture, Station


@dataclass(frozen=True, kw_only=True)
class MoistureReading:
    """A moisture of a lot as it was typed [% wet basis]."""

    lot: Typed
    moisture: Typed
    at: Typed = None


def plan_measure(
    reader: Reader, rows: Sequence[Model], *, by: User, at: datetime, key: str = "", reason: str = "",
    facts: Mapping[str, Any] | None = None,
) -> Draft:  # fmt: skip
    """Plan a measurement on the reader's desk.

    Args:
        rows: what was measured, each row with its own `operation` to be filled in.
        facts: what the caller keeps with the act beside what was typed.

    Raises:
        Refused: all that was gathered by the reader.
    """
    kept = {**reader.finish(), **(facts or {})}
    draft = Draft(
        kind="measure", station=reader.desk.station, by=by, at=at, reason=reason, key=key, facts=kept, rows=tuple(rows)
    )  # fmt: skip
    return reader.desk.plan(draft)


@action("moisture")
def read_moisture_of(
    readings: Sequence[MoistureReading], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Enter moistures of lots; unlikely ones are asked about.

    Raises:
        Refused: a lot is not known, or a reading looks like a fraction, a dry-basis number or a slip.
    """
    desk = Desk(station, now)

    def plan(asked: MoistureReading) -> Draft:
        reader = Reader(desk, answers)
        at, known = reader.when(asked.at), reader.lot(asked.lot)
        reader.note_typed(**vars(asked))
        moisture = reader.moisture(asked.moisture)
        if asked.moisture in (None, ""):
            reader.add(Missing("moisture", "16.2"))
        facts = reader.finish()
        row = Moisture(station=station, lot=sure(known).lot, wet_basis_pct=str(sure(moisture)))
        return plan_measure(reader, [row], by=by, at=at, key=key, reason=reason, facts=facts)

    return Booked(tuple(post_all(plan_each(readings, plan))))
