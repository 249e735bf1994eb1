"""Take seed out of a lot: loose from its place, or out of bags by their numbers."""

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.actions.desk import Known, Slot, Typed
from inventory.actions.drafts import EntryDraft, seed
from inventory.actions.reader import Reader
from inventory.actions.stocking import NotEnough
from inventory.models import Place
from inventory.rules.bag_numbers import read_bags
from inventory.rules.histories import short_on_its_day
from inventory.rules.mistakes import Mistake


class WhichPlace(Mistake):
    """The lot stands at several places and none was named."""

    code = "which_place"

    def __init__(self, lot: str, places: list[str]) -> None:
        super().__init__(f"{lot} stands at {', '.join(places)}. Say from which place it is taken.", field="place")


class OnlyInBags(Mistake):
    """Loose seed was asked for and the lot is in bags."""

    code = "only_in_bags"

    def __init__(self, lot: str, bags: str) -> None:
        super().__init__(f"{lot} is in bags ({bags}). Say which bags, for example 1-3.", field="bags")


class NoSuchBag(Mistake):
    """A bag that is not in store."""

    code = "no_such_bag"

    def __init__(self, lot: str, number: int) -> None:
        super().__init__(f"Bag {lot}/{number} is not in store. Check its label, or take another bag.", field="bags")


def no_such_bags(lot: str, numbers: Sequence[int]) -> list[Mistake]:
    """Word the bags that are not in store, the first ten of them."""
    return [NoSuchBag(lot, number) for number in numbers[:10]]


@dataclass(frozen=True)
class Taken:
    """What leaves a lot, slot by slot [mg]."""

    known: Known
    slots: dict[Slot, int]

    @property
    def mg(self) -> int:
        """The sum of it."""
        return sum(self.slots.values())

    @property
    def entries(self) -> list[EntryDraft]:
        """The leaving entries."""
        return [seed(self.known.lot.pk, place, -mg, bag) for (place, bag), mg in self.slots.items()]


def take(reader: Reader, known: Known, mg: int | None, *, place: Typed = "", bags: Typed = "") -> Taken | None:
    """Take seed out of a lot as planned on the reader's desk; what is wrong is gathered.

    Args:
        mg: how much [mg]; None takes the named bags, or the loose seed at the place, whole.
        place: where from; may be left out where the lot stands at one place.
        bags: numbers of bags; they are emptied in this order until `mg` is reached.
    """
    at = reader.place(place) if place else None
    stock = {
        slot: left for slot, left in reader.desk.stock(known.lot).items() if left and (at is None or slot[0] == at.pk)
    }
    if bags in ("", None):
        taken = _loose(reader, known, stock, mg, at)
    else:
        numbers = reader.attempt(lambda: read_bags(bags))
        taken = _from_bags(reader, known, stock, numbers, mg) if numbers else None
    if taken is not None:
        _ask_if_entered_late(reader, taken)
    return taken


def _ask_if_entered_late(reader: Reader, taken: Taken) -> None:
    """Ask about an act of an earlier day that took more than was there then; today's need no look (1 query)."""
    desk = reader.desk
    day = desk.local_day(reader.at or desk.now)
    if day < desk.local_day(desk.now):
        history = desk.history(taken.known.lot)
        reader.add(*short_on_its_day(taken.known.lot.number, day, taken.slots, history))


def _loose(reader: Reader, known: Known, stock: dict[Slot, int], mg: int | None, at: Place | None) -> Taken | None:
    loose = {slot: left for slot, left in stock.items() if slot[1] == 0}
    number = known.lot.number
    if len(loose) > 1:
        codes = Place.objects.filter(pk__in=[place for place, _bag in loose]).values_list("code", flat=True)
        reader.add(WhichPlace(number, sorted(codes)))
        return None
    if not loose and stock:
        bags = sorted(bag for _place, bag in stock)
        reader.add(OnlyInBags(number, f"{bags[0]}-{bags[-1]}" if len(bags) > 1 else str(bags[0])))
        return None
    slot, left = next(iter(loose.items()), ((0, 0), 0))
    wanted = left if mg is None else mg
    if wanted > left or not wanted:
        reader.add(NotEnough(number, _where(at, slot), left, wanted, stands_at=_elsewhere(reader, known, at)))
        return None
    return Taken(known, {slot: wanted})


def _elsewhere(reader: Reader, known: Known, at: Place | None) -> list[str]:
    """Name the places where the lot does stand, for somebody who took the wrong one (1 query)."""
    if at is None:
        return []
    places = {place for (place, _bag), left in reader.desk.stock(known.lot).items() if left and place != at.pk}
    return sorted(Place.objects.filter(pk__in=places).values_list("code", flat=True))


def _from_bags(
    reader: Reader, known: Known, stock: dict[Slot, int], numbers: list[int], mg: int | None
) -> Taken | None:
    by_bag = {bag: (place, left) for (place, bag), left in stock.items() if bag}
    missing = [number for number in numbers if number not in by_bag]
    if missing:
        reader.add(*no_such_bags(known.lot.number, missing))
        return None
    there = sum(by_bag[number][1] for number in numbers)
    wanted = there if mg is None else mg
    if wanted > there:
        reader.add(NotEnough(f"{known.lot.number} in these bags", "their places", there, wanted))
        return None
    slots: dict[Slot, int] = {}
    for number in numbers:
        place, left = by_bag[number]
        out = min(left, wanted)
        wanted -= out
        if out:
            slots[(place, number)] = out
    return Taken(known, slots)


def _where(at: Place | None, slot: Slot) -> str:
    if at is not None:
        return at.code
    return Place.objects.get(pk=slot[0]).code if slot[0] else "any place"
