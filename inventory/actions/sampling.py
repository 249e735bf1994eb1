"""Draw seed for the bench or a test: it leaves its lot once and is never ledger mass again."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.contrib.auth.models import User
from django.db.models import Model

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Typed
from inventory.actions.drafts import Draft, outside
from inventory.actions.origin import plan_each
from inventory.actions.posting import post_all
from inventory.actions.reader import Reader
from inventory.actions.stocking import NotEnough
from inventory.actions.taking import Taken, take
from inventory.models import Station
from inventory.rules.bag_numbers import read_bags
from inventory.rules.portions import split_mg

ACCOUNT_OF = {"sample": "sampled", "test": "tested"}


@dataclass(frozen=True, kw_only=True)
class Drawing:
    """Seed drawn out of a lot, as it was typed; from several bags it is drawn evenly.

    `purpose` says what for where it is tested: germination, canning.
    """

    lot: Typed
    mass: Typed
    place: Typed = ""
    bags: Typed = ""
    purpose: str = ""
    unit: str = "kg"
    at: Typed = None


@action("sample")
def draw(
    drawing: Drawing, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Draw one sample: `draw_all` with one."""
    return draw_all([drawing], station=station, by=by, key=key, reason=reason, answers=answers, now=now)


@action("sample")
def draw_all(
    drawings: Sequence[Drawing], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Draw samples, each an act of its own; a lot on hold may be sampled.

    Raises:
        Refused: a lot is not known, or there is less of it than is drawn.
    """
    desk = Desk(station, now)

    def plan(drawing: Drawing) -> Draft:
        return plan_draw(Reader(desk, answers), drawing, by=by, key=key, reason=reason)

    return Booked(tuple(post_all(plan_each(drawings, plan))))


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
    if taken and drawing.bags not in ("", None):
        taken = _evenly(reader, taken, drawing.bags)
    kept = {**reader.finish(), **(facts or {})}
    if taken is None:
        raise AssertionError("finish() lets no drawing through without its seed")
    draft = Draft(
        kind=kind, station=reader.desk.station, by=by, at=at, reason=reason, key=key, facts=kept,
        entries=[*taken.entries, outside(ACCOUNT_OF[kind], taken.mg, drawing.purpose)], rows=rows,
    )  # fmt: skip
    return reader.desk.plan(draft)


def _evenly(reader: Reader, taken: Taken, bags: Typed) -> Taken:
    """Take the same from each of the bags that were named."""
    numbers = set(read_bags(bags))
    there = {slot: left for slot, left in reader.desk.stock(taken.known.lot).items() if slot[1] in numbers and left}
    parts = dict(zip(there, split_mg(taken.mg, [1] * len(there)), strict=True))
    for slot, part in parts.items():
        if part > there[slot]:
            bag = f"bag {taken.known.lot.number}/{slot[1]}"
            reader.add(NotEnough(bag, "its place, drawn evenly", there[slot], part))
    return Taken(taken.known, {slot: part for slot, part in parts.items() if part})
