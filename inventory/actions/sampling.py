"""Draw seed for the bench or a test: it leaves its lot once and is never ledger mass again."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.contrib.auth.models import User
from django.db.models import Model

from inventory.actions.desk import Typed
from inventory.actions.drafts import Draft, outside
from inventory.actions.reader import Reader
from inventory.actions.taking import take

ACCOUNT_OF = {"sample": "sampled", "test": "tested"}


@dataclass(frozen=True, kw_only=True)
class Drawing:
    """Seed drawn out of a lot, as it was typed; `purpose` says what for where it is tested: germination, canning."""

    lot: Typed
    mass: Typed
    place: Typed = ""
    bags: Typed = ""
    purpose: str = ""
    unit: str = "kg"
    at: Typed = None


def plan_draw(
    reader: Reader, drawing: Drawing, *, by: User, key: str = "", reason: str = "", kind: str = "sample",
    rows: Sequence[Model] = (), facts: Mapping[str, Any] | None = None,
) -> Draft:  # fmt: skip
    """Plan a drawing on the reader's desk; seed on hold may be drawn.

    Args:
        kind: "sample" or "test".
        rows: what is recorded with it.
        facts: what is kept with it beside what was typed.

    Raises:
        Refused: all that stands in the way, with what the caller gathered before.
    """
    at = reader.when(drawing.at)
    reader.note_typed(lot=drawing.lot, mass=drawing.mass, bags=drawing.bags, place=drawing.place)
    known = reader.lot(drawing.lot)
    mass = reader.positive(drawing.mass, "mass", drawing.unit)
    taken = take(reader, known, mass.mg, place=drawing.place, bags=drawing.bags) if known and mass else None
    kept = {**reader.finish(), **(facts or {})}
    if taken is None:
        raise AssertionError("finish() lets no drawing through without its seed")
    draft = Draft(
        kind=kind, station=reader.desk.station, by=by, at=at, reason=reason, key=key, facts=kept,
        entries=[*taken.entries, outside(ACCOUNT_OF[kind], taken.mg, drawing.purpose)], rows=rows,
    )  # fmt: skip
    return reader.desk.plan(draft)
