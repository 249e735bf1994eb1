"""Dry a lot: the water that went is booked to moisture, the new reading stays with the lot."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.contrib.auth.models import User

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Known, Typed
from inventory.actions.drafts import Draft, outside, seed
from inventory.actions.posting import post_all
from inventory.actions.reader import Missing, Reader
from inventory.actions.taking import take
from inventory.models import Moisture, Station
from inventory.queries.moistures import newest_moisture
from inventory.rules.drying import DriedAsExpected, MoistureBeforeMissing, drying_mistakes
from inventory.rules.moisture import dried_mass


@dataclass(frozen=True, kw_only=True)
class Drying:
    """A drying as it was typed: the loose seed of a lot at one place, whole."""

    lot: Typed
    weighed: Typed
    after: Typed
    before: Typed = None
    place: str = ""
    unit: str = "kg"
    at: Typed = None


@action("dry")
def dry(
    drying: Drying, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Dry one lot: `dry_all` with one."""
    return dry_all([drying], station=station, by=by, key=key, reason=reason, answers=answers, now=now)


@action("dry")
def dry_all(
    dryings: Sequence[Drying], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Dry lots; all or none.

    Raises:
        Refused: a lot would gain, got no drier, or weighs other than its dry matter says and nobody said why.
    """
    desk = Desk(station, now)
    drafts = [plan_drying(Reader(desk, answers), drying, by=by, key=key, reason=reason) for drying in dryings]
    return Booked(tuple(post_all(drafts)))


def plan_drying(reader: Reader, drying: Drying, *, by: User, key: str = "", reason: str = "") -> Draft:
    """Plan a drying on the reader's desk; facts keep the expected mass beside the weighed one [mg].

    Raises:
        Refused: all that stands in the way of this drying.
    """
    at = reader.when(drying.at)
    reader.note_typed(**vars(drying))
    known = reader.lot(drying.lot)
    there = take(reader, known, None, place=drying.place) if known else None
    weighed = reader.positive(drying.weighed, "weighed", drying.unit)
    before, after = _before(reader, drying, known), _after(reader, drying)
    if there and weighed and before is not None and after is not None:
        reader.add(*drying_mistakes(there.mg, weighed.mg, before, after))
        reader.notes.append(DriedAsExpected(weighed.mg, dried_mass(there.mg, before, after)))
    facts = reader.finish()
    if there is None or weighed is None or before is None or after is None:
        raise AssertionError("finish() lets nothing unread through")
    facts |= {"before_pct": str(before), "after_pct": str(after), "expected_mg": dried_mass(there.mg, before, after)}
    lot, water = there.known.lot, there.mg - weighed.mg
    (place, _loose), *_ = there.slots
    draft = Draft(
        kind="dry", station=reader.desk.station, by=by, at=at, reason=reason, key=key, facts=facts,
        entries=[seed(lot.pk, place, -water), outside("moisture", water)] if water else [],
        rows=[Moisture(station=reader.desk.station, lot=lot, wet_basis_pct=str(after))],
    )  # fmt: skip
    return reader.desk.plan(draft)


def _before(reader: Reader, drying: Drying, known: Known | None) -> Decimal | None:
    """The moisture that was typed, else the newest one in the books."""
    if drying.before not in (None, ""):
        return reader.moisture(drying.before, "before")
    if known is None:
        return None
    newest = newest_moisture(known.lot)
    reader.add(*([] if newest is not None else [MoistureBeforeMissing(known.lot.number)]))
    return newest


def _after(reader: Reader, drying: Drying) -> Decimal | None:
    if drying.after in (None, ""):
        reader.add(Missing("after", "15.2"))
    return reader.moisture(drying.after, "after")
