"""Bag off a lot: loose seed becomes numbered bags at the same place."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Known, Slot, Typed
from inventory.actions.drafts import Draft, EntryDraft, outside, seed
from inventory.actions.posting import post
from inventory.actions.reader import Reader
from inventory.actions.taking import take
from inventory.models import Bag, Station
from inventory.queries.bagging import next_bag
from inventory.rules.bagging import bagging_mistakes


@dataclass(frozen=True, kw_only=True)
class Bagging:
    """A bagging as it was typed."""

    lot: Typed
    count: int
    bag_mass: Typed = "25.0"
    part_bag: Typed = None
    spilled: Typed = None
    place: str = ""
    unit: str = "kg"
    at: Typed = None


@action("bag")
def bag_off(
    bagging: Bagging, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Bag off loose seed: whole bags numbered on from the highest, the part bag last; a rest stays loose.

    Raises:
        Refused: the bags hold more than was there, or something cannot be read.
    """
    reader = Reader(Desk(station, now), answers)
    at = reader.when(bagging.at)
    reader.note_typed(**vars(bagging))
    known = reader.lot(bagging.lot)
    nominal = reader.positive(bagging.bag_mass, "bag_mass", bagging.unit)
    part = reader.mass(bagging.part_bag, "part_bag", bagging.unit, needed=False)
    spilled = reader.mass(bagging.spilled, "spilled", bagging.unit, needed=False)
    there = take(reader, known, None, place=bagging.place) if known else None
    part_mg, spilled_mg = part.mg if part else 0, spilled.mg if spilled else 0
    if there and nominal:
        reader.add(
            *bagging_mistakes(
                there_mg=there.mg, count=bagging.count, nominal_mg=nominal.mg, part_mg=part_mg, spilled_mg=spilled_mg
            )
        )
    facts = reader.finish()
    if known is None or there is None or nominal is None:
        raise AssertionError("finish() lets nothing unread through")
    masses = [nominal.mg] * bagging.count + ([part_mg] if part_mg else [])
    entries = _entries(known, next(iter(there.slots)), masses, spilled_mg)
    draft = Draft(
        kind="bag", station=station, by=by, at=at, reason=reason, key=key, facts=facts, entries=entries
    )  # fmt: skip
    return Booked((post(draft),))


def _entries(known: Known, slot: Slot, masses: list[int], spilled_mg: int) -> list[EntryDraft]:
    place, _loose = slot
    lot = known.lot
    first = next_bag(lot)
    Bag.objects.bulk_create(
        [Bag(station=lot.station, lot=lot, number=first + index) for index in range(len(masses))], ignore_conflicts=True
    )
    bags = [seed(lot.pk, place, mg, first + index) for index, mg in enumerate(masses)]
    spilled = [outside("spilled", spilled_mg)] if spilled_mg else []
    return [seed(lot.pk, place, -sum(masses) - spilled_mg), *bags, *spilled]
