"""Print labels: each print is kept as an act that moves no seed, so that a second label says that it is one."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Known, Typed
from inventory.actions.drafts import Draft
from inventory.actions.origin import entered
from inventory.actions.posting import post
from inventory.actions.reader import Missing, Reader
from inventory.actions.taking import no_such_bags
from inventory.models import Label, Lot, Station
from inventory.queries.labels import printed_before
from inventory.rules.bag_numbers import read_bags
from inventory.rules.mistakes import Mistake

ALL_BAGS = "all"
MOST_LABELS = 2_000  # of one act: a longer roll than a printer holds


@dataclass(frozen=True, kw_only=True)
class Printing:
    """Labels as they were asked for: of lots, of the bags of one lot ("1-6, 24" or "all"), of containers, of places."""

    lots: Sequence[str] = ()
    bags: Typed = ""
    containers: Sequence[str] = ()
    places: Sequence[str] = ()
    trial_only: bool = False


@dataclass(frozen=True)
class Wanted:
    """One label that is to be printed."""

    what: str
    name: str
    lot: Lot | None = None


class BagsOfOneLot(Mistake):
    """Bags were named, and no lot or several."""

    code = "bags_of_one_lot"

    def __init__(self) -> None:
        super().__init__("Bags belong to one lot. Name that lot alone, or print their labels lot by lot.", field="lots")


class NotBagged(Mistake):
    """All bags of a lot that is in none."""

    code = "not_bagged"

    def __init__(self, lot: str) -> None:
        super().__init__(f"{lot} has no bags in store. Bag it off first, or print the lot's own label.", field="bags")


class TooManyLabels(Mistake):
    """More labels than one act prints."""

    code = "too_many_labels"

    def __init__(self, count: int) -> None:
        super().__init__(f"{count:,} labels are more than {MOST_LABELS:,} at once. Print them in parts.", field="bags")


@action("label")
def print_labels(
    printing: Printing, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Keep that labels are printed, all by one act.

    Raises:
        Refused: nothing was named, or it is not known, was taken back, or is not in store.
    """
    reader = Reader(Desk(station, now), answers)
    return Booked((post(plan_printing(reader, printing, by=by, key=key, reason=reason)),))


def plan_printing(reader: Reader, printing: Printing, *, by: User, key: str = "", reason: str = "") -> Draft:
    """Plan the labels of lots, bags, containers and places on the reader's desk.

    Raises:
        Refused: all that stands in the way of any of them.
    """
    reader.note_typed(**vars(printing))
    lots = [known for typed in printing.lots if (known := reader.lot(typed, "lots")) is not None]
    wanted = _of_bags(reader, lots, printing.bags) if printing.bags else [_of_lot(known) for known in lots]
    bins = [reader.container(code, "containers") for code in printing.containers]
    places = [reader.place(code, "places") for code in printing.places]
    wanted += [Wanted("container", one.code) for one in bins if one is not None]
    wanted += [Wanted("place", one.code) for one in places if one is not None]
    if not wanted and not reader.has_errors:
        reader.add(Missing("lots", "24-0016-5"))
    return plan_labels(reader, wanted, by=by, key=key, reason=reason, trial_only=printing.trial_only)


def plan_labels(
    reader: Reader, wanted: Sequence[Wanted], *, by: User, key: str = "", reason: str = "", trial_only: bool = False,
) -> Draft:  # fmt: skip
    """Plan the act that keeps these labels, each with the number of its copy (1 query for each kind of thing).

    Raises:
        Refused: all that was gathered by the reader before and here.
    """
    at = reader.when(None)
    if len(wanted) > MOST_LABELS:
        reader.add(TooManyLabels(len(wanted)))
    station = reader.desk.station
    before: Counter[tuple[str, str]] = Counter()
    for what in dict.fromkeys(one.what for one in wanted):
        names = list(dict.fromkeys(one.name for one in wanted if one.what == what))
        before.update({(what, name): n for name, n in printed_before(station, what, names).items()})
    rows = []
    for one in wanted:
        before[(one.what, one.name)] += 1
        copy = before[(one.what, one.name)]
        rows.append(
            Label(station=station, what=one.what, name=one.name, lot=one.lot, copy=copy, trial_only=trial_only)
        )  # fmt: skip
    return entered(reader, {}, kind="label", by=by, at=at, reason=reason, key=key, rows=rows)


def _of_lot(known: Known) -> Wanted:
    return Wanted("lot", known.lot.number, known.lot)


def _of_bags(reader: Reader, lots: Sequence[Known], typed: Typed) -> list[Wanted]:
    if len(lots) != 1:
        reader.add(*([] if reader.has_errors else [BagsOfOneLot()]))
        return []
    lot = lots[0].lot
    there = {bag for (_place, bag), mg in reader.desk.stock(lot).items() if bag and mg}
    if str(typed).strip().casefold() == ALL_BAGS:
        reader.add(*([] if there else [NotBagged(lot.number)]))
        return [_of_bag(lot, bag) for bag in sorted(there)]
    numbers = reader.attempt(lambda: read_bags(typed)) or []
    reader.add(*no_such_bags(lot.number, [number for number in numbers if number not in there]))
    return [_of_bag(lot, number) for number in numbers if number in there]


def _of_bag(lot: Lot, number: int) -> Wanted:
    return Wanted("bag", f"{lot.number}/{number}", lot)
