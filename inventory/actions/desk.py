"""The desk at which acts are planned: the books as they stand, and on top what was planned before in the same act.

A bulk act plans its items one after the other on one desk, so that the second item sees the lot that the first one
makes. Nothing here writes but `new_lot`, which reserves a number.
"""

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time
from functools import cached_property
from typing import Any, TypeVar, cast
from zoneinfo import ZoneInfo

from inventory.actions.drafts import Draft
from inventory.actions.numbering import number_lot
from inventory.models import ActiveHold, Identity, Lot, Place, Standing, Station, Stock, Treatment
from inventory.queries import finding
from inventory.rules.lot_number import read_lot_number
from inventory.rules.mistakes import Mistake, Note
from inventory.rules.nodes import NodeKind, key_of, kind_of

T = TypeVar("T")
Slot = tuple[int, int]  # place, bag number (0 is loose)
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
        self.now = now or datetime.now(UTC)
        self._known: dict[int, Known] = {}
        self._stock: dict[int, dict[Slot, int]] = {}
        self._lots: dict[str, Lot] = {}
        self._found: dict[tuple[Any, str], Any] = {}
        self.seen: dict[tuple[Any, ...], list[tuple[str, int]]] = {}  # same day's likes: number and mass [mg]

    @cached_property
    def zone(self) -> ZoneInfo:
        """The station's zone."""
        return ZoneInfo(self.station.zone)

    def find(self, find: finding.Find[T], typed: str, field_name: str, notes: list[Note]) -> T:
        """Find a line, place, plot, plant, cross or container; asked twice it is looked up once."""
        key = (find, typed)
        if key not in self._found:
            self._found[key] = find(self.station, typed, field=field_name)
        found, said = self._found[key]
        notes.extend(said)
        return cast("T", found)

    def lot(self, typed: Typed, field_name: str, notes: list[Note]) -> Known:
        """Find a lot that stands in the books or was planned here.

        Raises:
            Mistake: it cannot be read, is unknown, or its making was reversed.
        """
        planned = self._lots.get(str(typed))
        if planned is None:
            found, said = finding.find_lot(self.station, str(typed), field=field_name)
            notes.extend(said)
            planned = self._lots.setdefault(found.number, found)
        known = self.known(planned)
        if known is None:
            raise NotMade(planned.number, field=field_name)
        return known

    def known(self, lot: Lot) -> Known | None:
        """Say what a lot is; None where it is not made (2 queries the first time)."""
        if lot.pk not in self._known:
            standing = Standing.objects.filter(lot=lot, made_by__isnull=False).first()
            if standing is None:
                return None
            holds = set(ActiveHold.objects.filter(lot=lot).values_list("hold_id", flat=True))
            self._known[lot.pk] = Known(
                lot, standing.line_id, standing.market_class_id, standing.opening_mg, standing.treated, holds,
                standing.crop_year,
            )  # fmt: skip
        return self._known[lot.pk]

    def stock(self, lot: Lot) -> dict[Slot, int]:
        """Say what is left of a lot, by place and bag [mg] (1 query the first time)."""
        if lot.pk not in self._stock:
            rows = Stock.objects.filter(lot=lot, mg__gt=0).order_by("bag_no", "place_id")
            self._stock[lot.pk] = {(row.place_id, row.bag_no): row.mg for row in rows}
        return self._stock[lot.pk]

    def new_lot(self, typed: Typed, at: datetime, notes: list[Note]) -> Lot:
        """Take the next number, or the one that a label or sheet already carries.

        Raises:
            Mistake: the number cannot be read, or stands for a lot already.
        """
        read = read_lot_number(typed, field="lot") if typed not in (None, "") else None
        if read is not None:
            notes.extend(read.notes)
        lot = number_lot(self.station, at.astimezone(self.zone).year % 100, read.value if read else None)
        if lot.pk in self._known or self.known(lot) is not None:
            raise LotTaken(lot.number)
        self._lots[lot.number] = lot
        return lot

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
        for entry in draft.entries:
            if entry.lot_id is not None and entry.place_id is not None:
                stock = self._stock.setdefault(entry.lot_id, self._stock_of(entry.lot_id))
                slot = (entry.place_id, entry.bag_no)
                stock[slot] = stock.get(slot, 0) + entry.mg
        for row in draft.rows:
            if isinstance(row, Identity):
                self._know(row, draft)
            if isinstance(row, Treatment) and row.lot_id in self._known:
                self._known[row.lot_id].treated = True
        return draft

    def _stock_of(self, lot_id: int) -> dict[Slot, int]:
        rows = Stock.objects.filter(lot_id=lot_id, mg__gt=0)
        return {(row.place_id, row.bag_no): row.mg for row in rows}

    def _know(self, identity: Identity, draft: Draft) -> None:
        parents = [
            self._known[key_of(link.parent)]
            for link in draft.links
            if kind_of(link.parent) is NodeKind.LOT and key_of(link.parent) in self._known
        ]
        self._known[identity.lot_id] = Known(
            identity.lot,
            identity.line_id,
            identity.market_class_id,
            identity.opening_mg,
            any(parent.treated for parent in parents),
            {hold for parent in parents for hold in parent.holds},
            identity.crop_year,
        )
