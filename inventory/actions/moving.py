"""Move seed between places, loose or in whole bags, and tip seed from one bag into another of the same lot."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Known, Typed
from inventory.actions.drafts import Draft, seed
from inventory.actions.posting import post_all
from inventory.actions.reader import Missing, Reader
from inventory.actions.taking import NoSuchBag, Taken, take
from inventory.models import Station
from inventory.rules.bag_numbers import read_bags
from inventory.rules.mistakes import Mistake


@dataclass(frozen=True, kw_only=True)
class Move:
    """A move as it was typed: bags by their numbers, or loose seed (all of it where no mass is given)."""

    lot: Typed
    to: str
    mass: Typed = None
    bags: Typed = ""
    place: str = ""
    unit: str = "kg"
    at: Typed = None


@dataclass(frozen=True, kw_only=True)
class Tip:
    """Seed tipped into a bag of the same lot: out of another bag, or loose where none is named."""

    lot: Typed
    into: Typed
    mass: Typed = None
    from_bag: Typed = ""
    place: str = ""
    unit: str = "kg"
    at: Typed = None


class AlreadyThere(Mistake):
    """The seed stands where it is to be moved."""

    code = "already_there"

    def __init__(self, lot: str, place: str) -> None:
        super().__init__(f"{lot} stands at {place} already. Name another place, or leave the move out.", field="to")


class BagsMoveWhole(Mistake):
    """A mass was asked for out of bags that are to be moved."""

    code = "bags_move_whole"

    def __init__(self) -> None:
        super().__init__(
            "Bags are moved whole: leave the mass out. To take some of a bag, tip it into another bag first.",
            field="mass",
        )


class SameBag(Mistake):
    """A bag was to be tipped into itself."""

    code = "same_bag"

    def __init__(self, lot: str, number: int) -> None:
        super().__init__(f"Bag {lot}/{number} cannot be tipped into itself. Name another bag.", field="into")


class OneBag(Mistake):
    """Several bags where one is meant."""

    code = "one_bag"

    def __init__(self, field: str) -> None:
        super().__init__("Tip one bag at a time: name one bag number, for example 24.", field=field)


@action("move")
def move(
    asked: Move, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Move once: `move_all` with one."""
    return move_all([asked], station=station, by=by, key=key, reason=reason, answers=answers, now=now)


@action("move")
def move_all(
    moves: Sequence[Move], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Move seed in the order given; all or none.

    Raises:
        Refused: everything that stands in the way of the first move that cannot be booked.
    """
    desk = Desk(station, now)
    drafts = [plan_move(Reader(desk, answers), asked, by=by, key=key, reason=reason) for asked in moves]
    return Booked(tuple(post_all(drafts)))


def plan_move(reader: Reader, asked: Move, *, by: User, key: str = "", reason: str = "") -> Draft:
    """Plan a move on the reader's desk.

    Raises:
        Refused: all that stands in the way of this move.
    """
    at = reader.when(asked.at)
    reader.note_typed(**vars(asked))
    known, to = reader.lot(asked.lot), reader.place(asked.to, "to")
    taken = _moved(reader, asked, known) if known else None
    if taken and to and any(place == to.pk for place, _bag in taken.slots):
        reader.add(AlreadyThere(taken.known.lot.number, to.code))
    facts = reader.finish()
    if taken is None or to is None:
        raise AssertionError("finish() lets nothing unread through")
    arriving = [seed(taken.known.lot.pk, to.pk, mg, bag) for (_place, bag), mg in taken.slots.items()]
    draft = Draft(
        kind="move", station=reader.desk.station, by=by, at=at, reason=reason, key=key, facts=facts,
        entries=[*taken.entries, *arriving],
    )  # fmt: skip
    return reader.desk.plan(draft)


def _moved(reader: Reader, asked: Move, known: Known) -> Taken | None:
    if asked.mass in (None, ""):
        return take(reader, known, None, place=asked.place, bags=asked.bags)
    if asked.bags not in (None, ""):
        reader.add(BagsMoveWhole())
    mass = reader.positive(asked.mass, "mass", asked.unit)
    return take(reader, known, mass.mg, place=asked.place) if mass else None


@action("move")
def into_bag(
    tip: Tip, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Tip seed into a bag that is in store, from another bag of the lot or from its loose seed.

    Raises:
        Refused: a bag is not in store, holds less, or something cannot be read.
    """
    reader = Reader(Desk(station, now), answers)
    draft = plan_tip(reader, tip, by=by, key=key, reason=reason)
    return Booked(tuple(post_all([draft])))


def plan_tip(reader: Reader, tip: Tip, *, by: User, key: str = "", reason: str = "") -> Draft:
    """Plan the tipping of seed into a bag on the reader's desk.

    Raises:
        Refused: all that stands in the way.
    """
    at = reader.when(tip.at)
    reader.note_typed(**vars(tip))
    known = reader.lot(tip.lot)
    taken = _tipped(reader, tip, known) if known else None
    into = _bag_in_store(reader, known, tip) if known else None
    if taken and into and into in {bag for _place, bag in taken.slots}:
        reader.add(SameBag(taken.known.lot.number, into))
    facts = reader.finish()
    if taken is None or into is None:
        raise AssertionError("finish() lets nothing unread through")
    place = next(place for (place, bag), mg in reader.desk.stock(taken.known.lot).items() if bag == into and mg)
    draft = Draft(
        kind="move", station=reader.desk.station, by=by, at=at, reason=reason, key=key, facts=facts,
        entries=[*taken.entries, seed(taken.known.lot.pk, place, taken.mg, into)],
    )  # fmt: skip
    return reader.desk.plan(draft)


def _tipped(reader: Reader, tip: Tip, known: Known) -> Taken | None:
    source = _one_bag(reader, tip.from_bag, "from_bag") if tip.from_bag not in (None, "") else 0
    mass = reader.positive(tip.mass, "mass", tip.unit) if tip.mass not in (None, "") else None
    if source is None or (mass is None and tip.mass not in (None, "")):
        return None
    return take(reader, known, mass.mg if mass else None, place=tip.place, bags=str(source) if source else "")


def _bag_in_store(reader: Reader, known: Known, tip: Tip) -> int | None:
    if tip.into in (None, ""):
        reader.add(Missing("into", "the bag number 24"))
        return None
    number = _one_bag(reader, tip.into, "into")
    in_store = {bag for (_place, bag), mg in reader.desk.stock(known.lot).items() if bag and mg}
    if number is not None and number not in in_store:
        reader.add(NoSuchBag(known.lot.number, number))
        return None
    return number


def _one_bag(reader: Reader, typed: Typed, field: str) -> int | None:
    numbers = reader.attempt(lambda: read_bags(typed))
    if numbers and len(numbers) > 1:
        reader.add(OneBag(field))
        return None
    return numbers[0] if numbers else None
