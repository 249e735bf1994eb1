"""The desk at which acts are planned: the books as they stand, and on top what was planned before in the same act.

A bulk act plans its items one after the other on one desk, so that the second item sees the lot that the first one
makes. Nothing here writes but `new_lot`, which reserves a number.
"""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date, datetime, time
from functools import cached_property
from typing import Any, TypeVar, cast
from zoneinfo import ZoneInfo

from inventory.actions.drafts import Draft
from inventory.actions.locking import lock_lots
from inventory.actions.numbering import number_lot
from inventory.models import ActiveHold, FieldWeight, Identity, Lot, Place, Plot, Standing, Station, Stock, Treatment
from inventory.queries import finding
from inventory.queries.histories import masses_by_day
from inventory.queries.today import now_at
from inventory.rules.histories import DayMass
from inventory.rules.lot_number import LotNumber, read_lot_number
from inventory.rules.mistakes import Mistake, Note, Refused
from inventory.rules.nodes import NodeKind, key_of, kind_of
from inventory.rules.reading import ReadCode, typed_text

T = TypeVar("T")
Slot = tuple[int, int]  # place, bag number (0 is loose)
Came = tuple[str, int, date]  # number of the lot, net [mg], day
Typed = Any  # what a person or a cell says: text, Decimal, int, float or None; the rules read it


class NotMade(Mistake):
    """The lot's making was reversed: the number stands for nothing now."""

    code = "not_made"

    def __init__(self, number: str, *, field: str = "lot") -> None:
        super().__init__(
            f"{number} was taken back and holds no seed. Receive it again, or use the right lot.", field=field
        )


class LotTaken(Mistake):
    """The number stands for a lot already."""

    code = "lot_taken"

    def __init__(self, number: str, *, field: str = "lot") -> None:
        super().__init__(
            f"{number} is already in the books. Use the next number, or reverse that lot first.", field=field
        )


@dataclass
class Known:
    """What a lot is, in the books or by a plan on this desk."""

    lot: Lot
    line_id: int | None
    market_class_id: int | None
    opening_mg: int
    treated: bool
    holds: set[int] = field(default_factory=set)
    crop_year: int | None = None


class Desk:
    """What planners know; see the module's own words.

    Args:
        station: whose books.
        now: the clock, passed in; acts after it are refused.
    """

    def __init__(self, station: Station, now: datetime | None = None) -> None:
        self.station = station
        self.now = now or now_at(station)
        self.lots: dict[str, Lot] = {}  # by number: looked up, expected or planned here
        self._known: dict[int, Known | None] = {}  # None: looked up, and not made
        self._stock: dict[int, dict[Slot, int]] = {}
        self.found: dict[tuple[Any, str], Any] = {}
        self.weights: dict[int, FieldWeight | None] = {}  # by plot; None: looked up, and not weighed
        self._beside: dict[Any, Any] = {}
        self.new_plots: list[Plot] = []  # entered by plans here, to be written before their acts
        self.expected_plots: set[int] = set()  # plots whose earlier deliveries are in `seen`
        self._days: dict[int, list[DayMass]] = {}
        self._planned: dict[int, list[DayMass]] = {}
        self._reserved: dict[int, None] = {}  # lots that a plan here is about to make, in order
        self.came: dict[int, list[Came]] = {}  # by plot: deliveries in the books and on this desk
        self.seen: dict[tuple[Any, ...], list[tuple[str, int]]] = {}  # same day's likes: number and mass [mg]

    @cached_property
    def zone(self) -> ZoneInfo:
        """The station's zone."""
        return ZoneInfo(self.station.zone)

    def find(self, find: finding.Find[T], typed: str, field_name: str, notes: list[Note]) -> T:
        """Find a line, place, plot, plant, cross or container; asked twice it is looked up once."""
        key = (find, typed)
        if key not in self.found:
            self.found[key] = find(self.station, typed, field=field_name)
        found, said = self.found[key]
        notes.extend(said)
        return cast("T", found)

    def lot(self, typed: Typed, field_name: str, notes: list[Note]) -> Known:
        """Find a lot that stands in the books or was planned here.

        Raises:
            Mistake: it cannot be read, is unknown, or its making was reversed.
        """
        read = _readable(typed)
        lot = self.lots.get(read.value.text) if read else None
        if lot is None:
            lot, said = finding.find_lot(self.station, typed_text(typed), field=field_name)
            self.lots[lot.number] = lot
        else:
            said = read.notes if read else ()
        notes.extend(said)
        known = self.known(lot)
        if known is None:
            was_made = Standing.objects.filter(lot=lot).exists()
            raise (NotMade if was_made else finding.UnknownLot)(lot.number, field=field_name)
        return known

    def known(self, lot: Lot) -> Known | None:
        """Say what a lot is; None where it is not made (2 queries the first time)."""
        if lot.pk not in self._known:
            self.look_up([lot])
        return self._known[lot.pk]

    def look_up(self, lots: Sequence[Lot]) -> None:
        """Look up what lots are and what is left of them, all at once (3 queries for up to 500 lots)."""
        by_key = {lot.pk: lot for lot in lots}
        lock_lots(by_key)  # else two acts could both make the lot, or fill the same bags of it
        holds: dict[int, set[int]] = {key: set() for key in by_key}
        for lot_id, hold_id in ActiveHold.objects.filter(lot__in=lots).values_list("lot_id", "hold_id"):
            holds[lot_id].add(hold_id)
        self._known.update(dict.fromkeys(by_key))
        for standing in Standing.objects.filter(lot__in=lots, made_by__isnull=False):
            self._known[standing.lot_id] = _known(by_key[standing.lot_id], standing, holds[standing.lot_id])
        self._stock.update({key: {} for key in by_key})
        for row in Stock.objects.filter(lot__in=lots, mg__gt=0).order_by("bag_no", "place_id"):
            self._stock[row.lot_id][(row.place_id, row.bag_no)] = row.mg

    def stock(self, lot: Lot) -> dict[Slot, int]:
        """Say what is left of a lot, by place and bag [mg]."""
        if lot.pk not in self._stock:
            self.look_up([lot])
        return self._stock[lot.pk]

    def history(self, lot: Lot) -> list[DayMass]:
        """Say what came and went of a lot, by day and slot, in the books and by plans on this desk.

        The first time it is looked up for every lot that this desk knows (1 query for up to 500).
        """
        if lot.pk not in self._days:
            unread = [key for key in {lot.pk, *self._known} if key not in self._days]
            self._days.update(masses_by_day(unread, self.zone))
        return [*self._days[lot.pk], *self._planned.get(lot.pk, ())]

    def new_lot(self, typed: Typed, at: datetime, notes: list[Note]) -> Lot:
        """Take the next number, or the one that a label or sheet already carries.

        Raises:
            Mistake: the number cannot be read, or stands for a lot already.
        """
        read = read_lot_number(typed, field="lot") if typed not in (None, "") else None
        if read is not None:
            notes.extend(read.notes)
        expected = self.lots.get(read.value.text) if read else None
        year = at.astimezone(self.zone).year % 100
        wanted = read.value if read else None
        lot, is_new = (expected, False) if expected else number_lot(self.station, year, wanted)
        if is_new:  # nobody else can see this row yet, so nothing of it is looked up or locked
            self._known[lot.pk], self._stock[lot.pk] = None, {}
        if lot.pk in self._reserved or self.known(lot) is not None:
            raise LotTaken(lot.number)
        self._reserved[lot.pk] = None
        self.lots[lot.number] = lot
        return lot

    def beside(self, make: Callable[["Desk"], T]) -> T:
        """Give what another planner keeps beside this desk, made when it is first asked for."""
        if make not in self._beside:
            self._beside[make] = make(self)
        return cast("T", self._beside[make])

    @contextmanager
    def trying(self) -> Iterator[None]:
        """Forget the numbers that a plan reserved, if it comes to nothing: it may be planned again otherwise."""
        before = len(self._reserved)
        try:
            yield
        except Refused:
            while len(self._reserved) > before:
                self._reserved.popitem()
            raise

    def place_of(self, lot: Lot) -> Place | None:
        """Say where a lot stands if it stands at one place only."""
        places = {place for place, _bag in self.stock(lot)}
        return Place.objects.get(pk=places.pop()) if len(places) == 1 else None

    def local_day(self, at: datetime) -> date:
        """The station's calendar day of a moment."""
        return at.astimezone(self.zone).date()

    def at_noon(self, day: date) -> datetime:
        """A day without a time is taken as its noon at the station."""
        return datetime.combine(day, time(12), self.zone)

    def plan(self, draft: Draft) -> Draft:
        """Let later plans on this desk see what this draft will do."""
        strangers = {entry.lot_id for entry in draft.entries if entry.lot_id is not None} - self._stock.keys()
        if strangers:
            self.look_up(list(Lot.objects.filter(pk__in=strangers)))
        for entry in draft.entries:
            if entry.lot_id is not None and entry.place_id is not None:
                stock, slot = self._stock[entry.lot_id], (entry.place_id, entry.bag_no)
                stock[slot] = stock.get(slot, 0) + entry.mg
                day = DayMass(self.local_day(draft.at), slot, entry.mg)
                self._planned.setdefault(entry.lot_id, []).append(day)
        for row in draft.rows:
            if isinstance(row, Identity):
                self._know(row, draft)
            if isinstance(row, Treatment) and (known := self._known.get(row.lot_id)):
                known.treated = True
        return draft

    def _know(self, identity: Identity, draft: Draft) -> None:
        into = [link for link in draft.links if kind_of(link.parent) is NodeKind.LOT and not link.is_sowing]
        parents = [known for link in into if (known := self._known.get(key_of(link.parent)))]
        self._known[identity.lot_id] = Known(
            identity.lot,
            identity.line_id,
            identity.market_class_id,
            identity.opening_mg,
            any(parent.treated for parent in parents),
            {hold for parent in parents for hold in parent.holds},
            identity.crop_year,
        )


def _known(lot: Lot, standing: Standing, holds: set[int]) -> Known:
    return Known(
        lot,
        standing.line_id,
        standing.market_class_id,
        standing.opening_mg,
        standing.treated,
        holds,
        standing.crop_year,
    )


def _readable(typed: Typed) -> ReadCode[LotNumber] | None:
    """Read a number that will be read again with its mistakes; here an unreadable one is passed over."""
    try:
        return read_lot_number(typed)
    except Mistake:
        return None
