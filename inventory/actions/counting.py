"""Count stock: an assertion about a place, held against the books; differences are shown first, then booked."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Known, Typed
from inventory.actions.drafts import Draft, outside, seed
from inventory.actions.locking import lock_lots
from inventory.actions.posting import post
from inventory.actions.reader import Missing, Reader
from inventory.actions.taking import no_such_bags
from inventory.models import Bag, Place, Station
from inventory.queries.counts import numbers_of, standing_at
from inventory.rules import counting as rules
from inventory.rules.bag_numbers import read_bags
from inventory.rules.mistakes import Refused
from inventory.rules.reading import typed_text


@dataclass(frozen=True, kw_only=True)
class Found:
    """What was found of a lot: loose seed or one bag with its mass, or bags that are there and were not weighed."""

    lot: Typed
    mass: Typed = None
    bags: Typed = ""


@dataclass(frozen=True, kw_only=True)
class Count:
    """A count as it was typed; `is_all` says that nothing else stands at the place."""

    place: str
    found: Sequence[Found] = ()
    is_all: bool = False
    unit: str = "kg"
    at: Typed = None


def show_count(asked: Count, *, station: Station, now: datetime | None = None) -> list[rules.Difference]:
    """Show how a count differs from the books; nothing is written.

    Raises:
        Refused: something of the count cannot be read.
    """
    reader = Reader(Desk(station, now))
    _place, found = _read(reader, asked, reader.when(asked.at))
    if reader.has_errors:
        raise Refused(reader.mistakes)
    return found


@action("count")
def count(
    asked: Count, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Book a count: where it equals the books an act without masses, else the differences with their reason.

    Raises:
        Refused: the count differs and nobody said why, or something cannot be read.
    """
    reader = Reader(Desk(station, now), answers)
    return Booked((post(plan_count(reader, asked, by=by, key=key, reason=reason)),))


def plan_count(reader: Reader, asked: Count, *, by: User, key: str = "", reason: str = "") -> Draft:
    """Plan a count on the reader's desk; each difference goes to unaccounted.

    Raises:
        Refused: all that stands in the way of this count.
    """
    at = reader.when(asked.at)
    words = [" ".join(typed_text(word) for word in vars(found).values()) for found in asked.found]
    reader.note_typed(**{**vars(asked), "found": words})
    place, found = _read(reader, asked, at)
    if place is not None:
        reader.add(*rules.count_questions(found, place.code))
    facts = reader.finish()
    if place is None:
        raise AssertionError("finish() lets nothing unread through")
    entries = [
        entry
        for difference in found
        for entry in (
            seed(difference.lot_id, place.pk, difference.mg, difference.bag_no),
            outside("unaccounted", -difference.mg),
        )
    ]
    draft = Draft(
        kind="count", station=reader.desk.station, by=by, at=at, key=key, facts={**facts, "place": place.code},
        reason=reason or reader.answers.get("count_differs", ""), entries=entries,
    )  # fmt: skip
    return reader.desk.plan(draft)


def _read(reader: Reader, asked: Count, at: datetime) -> tuple[Place | None, list[rules.Difference]]:
    """Read a count and compare it with the books as they stand, or stood on the day of a count entered late."""
    place = reader.place(asked.place)
    is_late = reader.desk.local_day(at) < reader.desk.local_day(reader.desk.now)
    lots = [reader.lot(found.lot) for found in asked.found]
    if place:
        lock_lots(lot for lot, _bag in standing_at(place))
    books = standing_at(place, at if is_late else None) if place else {}
    if not asked.found and not asked.is_all:
        reader.add(Missing("found", "24-0016-5, 584.3 kg"))
    counted: dict[rules.Counted, int] = {}
    for known, found in zip(lots, asked.found, strict=True):
        for slot, mg in _found(reader, asked, known, found, books).items():
            if slot in counted:
                reader.add(rules.CountedTwice(str(found.lot)))
            counted[slot] = mg
    if place is None or reader.has_errors:
        return place, []
    numbers = numbers_of({lot for lot, _bag in (*books, *counted)})
    return place, rules.differences(books, counted, numbers, is_all=asked.is_all)


def _found(
    reader: Reader, asked: Count, known: Known | None, found: Found, books: Mapping[rules.Counted, int]
) -> dict[rules.Counted, int]:
    """Read one line of the count; bags that were not weighed hold what the books say."""
    is_bagged, is_weighed = found.bags not in (None, ""), found.mass not in (None, "")
    mass = reader.mass(found.mass, "mass", asked.unit, needed=not is_bagged)
    bags = reader.attempt(lambda: read_bags(found.bags)) if is_bagged else [0]
    if known is None or bags is None or (mass is None and (is_weighed or not is_bagged)):
        return {}
    if mass is not None and len(bags) > 1:
        reader.add(rules.WeighEachBag(len(bags)))
    if is_bagged:
        _look_for_bags(reader, known, bags, books, is_weighed=is_weighed)
    return {(known.lot.pk, bag): mass.mg if mass else books.get((known.lot.pk, bag), 0) for bag in bags}


def _look_for_bags(
    reader: Reader, known: Known, bags: Sequence[int], books: Mapping[rules.Counted, int], *, is_weighed: bool
) -> None:
    """A bag that the books have elsewhere is moved, not counted here; one that never was is a slip."""
    number = known.lot.number
    missing = [bag for bag in bags if (known.lot.pk, bag) not in books]
    elsewhere = {bag: place for (place, bag), mg in reader.desk.stock(known.lot).items() if bag in missing and mg}
    codes = dict(Place.objects.filter(pk__in=elsewhere.values()).values_list("pk", "code")) if elsewhere else {}
    reader.add(*(rules.StandsElsewhere(f"Bag {number}/{bag}", codes[place]) for bag, place in elsewhere.items()))
    emptied = set(Bag.objects.filter(lot=known.lot).values_list("number", flat=True)) if is_weighed else set()
    reader.add(*no_such_bags(number, [bag for bag in missing if bag not in elsewhere and bag not in emptied]))
