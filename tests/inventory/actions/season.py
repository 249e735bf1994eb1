"""Acts of every kind on whatever the books hold, chosen by numbers: what the stateful test plays with."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.contrib.auth.models import User

from inventory.actions.acting import Booked
from inventory.actions.additions import Addition, add_to_run
from inventory.actions.adjusting import Adjustment, adjust
from inventory.actions.bagging import Bagging, bag_off
from inventory.actions.blending import Blend, Part, blend
from inventory.actions.counting import Count, Found, count
from inventory.actions.drying import Drying, dry
from inventory.actions.holding import hold, lift
from inventory.actions.labelling import Printing, print_labels
from inventory.actions.moving import Move, Tip, into_bag, move
from inventory.actions.promising import Promising, promise
from inventory.actions.reassigning import Reassignment, reassign
from inventory.actions.receiving import Delivery, receive
from inventory.actions.returning import Returning, take_back
from inventory.actions.reversing import reverse
from inventory.actions.running import Out, Run, book_run
from inventory.actions.sampling import Drawing, draw
from inventory.actions.shipping import Item, Shipping, ship
from inventory.actions.sowing import Sowing, sow
from inventory.actions.splitting import Piece, Split, split
from inventory.actions.testing import take_for_test
from inventory.actions.treating import Treating, treat
from inventory.actions.writing_off import WriteOff, write_off
from inventory.models import ActiveHold, Link, Lot, Operation, Plot, RunRecord, Shipment, Standing, Stock
from inventory.rules.mistakes import Level, Mistake
from tests.make import NOW, House

PLACES = ("F-1", "L-1", "A-01", "B-01")


def _every(mistake: type[Mistake]) -> list[type[Mistake]]:
    return [mistake, *(each for below in mistake.__subclasses__() for each in _every(below))]


ANSWERS = {
    mistake.code: "a test" for mistake in _every(Mistake) if mistake.level in (Level.QUESTION, Level.DUPLICATE)
}  # fmt: skip


@dataclass(frozen=True)
class Choice:
    """Numbers that choose: `pick` a lot, `other` a row, place or manner, `share` the per cent of what is left."""

    pick: int
    other: int
    share: int


@dataclass(frozen=True)
class Season:
    """A station at play."""

    house: House

    def lot(self, pick: int) -> Lot | None:
        """One of the lots, most often one that holds seed."""
        lots = Lot.objects.filter(station=self.house.station)
        full = lots.filter(stock__mg__gt=0).distinct().order_by("pk")
        some = list(full if pick % 7 else lots.order_by("pk"))
        return some[pick % len(some)] if some else None

    def slot(self, lot: Lot, pick: int, *, bags: bool | None = None) -> Stock | None:
        """A stock row of a lot: loose, in a bag, or either."""
        rows = Stock.objects.filter(lot=lot, mg__gt=0).order_by("pk")
        if bags is not None:
            rows = rows.filter(bag_no__gt=0) if bags else rows.filter(bag_no=0)
        some = list(rows.select_related("place"))
        return some[pick % len(some)] if some else None

    def do(self, act: Callable[..., Booked], asked: Any, by: User, **more: Any) -> Booked:
        """Do it with every question answered."""
        return act(asked, station=self.house.station, by=by, reason="a test", now=NOW, answers=ANSWERS, **more)

    def state(self) -> dict[str, Any]:
        """How everything stands: what a reversal has to bring back."""
        station = self.house.station
        standing = Standing.objects.filter(station=station, made_by__isnull=False).order_by("lot_id")
        return {
            "stock": {(s.lot_id, s.place_id, s.bag_no): s.mg for s in Stock.objects.filter(station=station, mg__gt=0)},
            "lots": list(standing.values()),
            "links": set(Link.objects.filter(station=station).values_list("operation", "parent", "child", "weight",
                                                                          "total", "is_sowing", "is_assumed")),
            "holds": set(ActiveHold.objects.filter(station=station).values_list("lot", "hold")),
        }  # fmt: skip


def _mg(row: Stock, share: int) -> str:
    """A share of what is there, at least one milligram; more than 100 asks for too much."""
    return f"{max(1, row.mg * share // 100)} mg"


def a_delivery(season: Season, choice: Choice) -> Booked | None:
    plots = [plot.code for plot in Plot.objects.filter(station=season.house.station).order_by("pk")]
    chosen = (plots[choice.pick % 9], *([plots[choice.pick % 6 // 2 * 2 + 1]] if choice.other % 3 == 0 else []))
    back = Lot.objects.filter(station=season.house.station, standing__made_by__isnull=True).order_by("pk").first()
    lot = back.number if back and choice.other % 4 == 0 else None
    net = f"{choice.share * 7_654_321 + 1} mg"
    asked = Delivery(
        plots=tuple(dict.fromkeys(chosen)), net=net, place=PLACES[choice.other % 4], lot=lot, at="2024-09-24"
    )
    return season.do(receive, asked, season.house.intake)


def a_run(season: Season, choice: Choice) -> Booked | None:
    lot = season.lot(choice.pick)
    row = season.slot(lot, choice.other) if lot else None
    if lot is None or row is None:
        return None
    feed = max(1, row.mg * choice.share // 100)
    out = feed * 9 // 10
    outs = (
        (Out(mass=f"{out // 2} mg"), Out(mass=f"{out - out // 2} mg")) if choice.other % 2 else (Out(mass=f"{out} mg"),)
    )
    machines = ("air-screen", "air-screen + gravity", "sizing", "colour sorter")[choice.other % 4]
    asked = Run(
        number=f"R{Operation.objects.count()}", machines=machines, feed_lot=lot.number, feed=f"{feed} mg",
        feed_place=row.place.code, feed_bags=str(row.bag_no) if row.bag_no else "", outs=outs,
        taken_off={"throughs": f"{feed - out - feed // 1_000} mg"}, at="2024-10-08",
    )  # fmt: skip
    return season.do(book_run, asked, season.house.line)


def a_bagging(season: Season, choice: Choice) -> Booked | None:
    lot = season.lot(choice.pick)
    row = season.slot(lot, choice.other, bags=False) if lot else None
    if lot is None or row is None:
        return None
    bags = 1 + choice.other % 4
    each = max(1, row.mg * choice.share // 100 // bags)
    part = f"{each // 3} mg" if choice.other % 3 == 0 and each > 3 else None
    asked = Bagging(
        lot=lot.number, count=bags, bag_mass=f"{each} mg", part_bag=part, place=row.place.code, at="2024-12-02"
    )
    return season.do(bag_off, asked, season.house.intake)


def a_move(season: Season, choice: Choice) -> Booked | None:
    lot = season.lot(choice.pick)
    row = season.slot(lot, choice.other) if lot else None
    if lot is None or row is None:
        return None
    bags, mass = (str(row.bag_no), None) if row.bag_no else ("", _mg(row, choice.share))
    asked = Move(
        lot=lot.number, to=PLACES[choice.other % 4], mass=mass, bags=bags, place=row.place.code, at="2024-12-10"
    )
    return season.do(move, asked, season.house.intake)


def a_tip(season: Season, choice: Choice) -> Booked | None:
    here = Stock.objects.filter(station=season.house.station, mg__gt=0)
    bagged = list(here.filter(bag_no__gt=0).values_list("lot", flat=True))
    loose = here.filter(lot__in=bagged, bag_no=0).select_related("lot", "place").order_by("pk").first()
    bag = season.slot(loose.lot, choice.other, bags=True) if loose else None
    if loose is None or bag is None:
        return None
    mass, place = _mg(loose, choice.share), loose.place.code
    asked = Tip(lot=loose.lot.number, into=str(bag.bag_no), mass=mass, place=place, at="2024-12-12")
    return season.do(into_bag, asked, season.house.intake)


def a_blend(season: Season, choice: Choice) -> Booked | None:
    parts = []
    for lot in dict.fromkeys((season.lot(choice.pick), season.lot(choice.pick + 1 + choice.other))):
        row = season.slot(lot, choice.other) if lot else None
        if lot is None or row is None:
            return None
        bags = str(row.bag_no) if row.bag_no else ""
        parts.append(
            Part(lot=lot.number, bags=bags, loose=None if bags else _mg(row, choice.share), place=row.place.code)
        )
    return season.do(blend, Blend(parts=parts, place=PLACES[choice.other % 4], at="2025-01-10"), season.house.line)


def a_split(season: Season, choice: Choice) -> Booked | None:
    lot = season.lot(choice.pick)
    row = season.slot(lot, choice.other, bags=False) if lot else None
    if lot is None or row is None:
        return None
    whole = max(2, row.mg * choice.share // 100)
    pieces = (Piece(mass=f"{whole // 2} mg", place="A-01"), Piece(mass=f"{whole - whole // 2} mg", place="B-01"))
    asked = Split(lot=lot.number, pieces=pieces, mass=f"{whole} mg", place=row.place.code, at="2025-01-12")
    return season.do(split, asked, season.house.line)


def a_drying(season: Season, choice: Choice) -> Booked | None:
    lot = season.lot(choice.pick)
    row = season.slot(lot, choice.other, bags=False) if lot else None
    if lot is None or row is None:
        return None
    weighed = f"{row.mg - row.mg * (choice.share % 5) // 100} mg"
    asked = Drying(lot=lot.number, weighed=weighed, before="19", after="16", place=row.place.code, at="2024-09-28")
    return season.do(dry, asked, season.house.line)


def a_treatment(season: Season, choice: Choice) -> Booked | None:
    lot = season.lot(choice.pick)
    row = season.slot(lot, choice.other) if lot else None
    if lot is None or row is None:
        return None
    added = _mg(row, 1) if choice.other % 2 else None
    asked = Treating(
        lot=lot.number, product="a fungicide", dose="3 ml/kg", caution="not for food", added=added, at="2025-02-01"
    )
    return season.do(treat, asked, season.house.line)


def a_sample(season: Season, choice: Choice) -> Booked | None:
    lot = season.lot(choice.pick)
    row = season.slot(lot, choice.other) if lot else None
    if lot is None or row is None:
        return None
    bags = str(row.bag_no) if row.bag_no else ""
    is_test = choice.other % 2 == 0
    asked = Drawing(lot=lot.number, mass=_mg(row, choice.share % 10), place=row.place.code, bags=bags,
                    purpose="germination" if is_test else "", at="2025-02-10")  # fmt: skip
    return season.do(take_for_test if is_test else draw, asked, season.house.bench)


def a_sowing(season: Season, choice: Choice) -> Booked | None:
    lot = season.lot(choice.pick)
    row = season.slot(lot, choice.other) if lot else None
    if lot is None or row is None:
        return None
    plots = [plot.code for plot in Plot.objects.filter(station=season.house.station).order_by("pk")]
    bags = str(row.bag_no) if row.bag_no else ""
    on = (
        (plots[choice.other % 6], plots[6 + choice.other % 3])
        if choice.other % 4 == 0
        else (plots[6 + choice.other % 3],)
    )
    asked = Sowing(
        lot=lot.number, plots=on, mass=_mg(row, choice.share), bags=bags, place=row.place.code, at="2025-05-20"
    )
    return season.do(sow, asked, season.house.breeder)


def a_shipment(season: Season, choice: Choice) -> Booked | None:
    lot = season.lot(choice.pick)
    row = season.slot(lot, choice.other) if lot else None
    if lot is None or row is None:
        return None
    bags, mass = (str(row.bag_no), None) if row.bag_no else ("", _mg(row, choice.share))
    item = Item(lot=lot.number, mass=mass, bags=bags, place=row.place.code)
    asked = Shipping(code=f"S{Operation.objects.count()}", recipient="A grower", items=(item,), at="2025-04-01")
    return season.do(ship, asked, season.house.intake)


def a_return(season: Season, choice: Choice) -> Booked | None:
    shipments = list(Shipment.objects.filter(station=season.house.station).order_by("pk"))
    if not shipments:
        return None
    shipment = shipments[choice.pick % len(shipments)]
    entry = shipment.operation.entries.filter(lot__isnull=False).select_related("lot").first()
    if entry is None or entry.lot is None:
        return None
    bags, mass = (str(entry.bag_no), None) if entry.bag_no else ("", f"{max(1, -entry.mg * choice.share // 100)} mg")
    lot, place = entry.lot.number, PLACES[choice.other % 4]
    asked = Returning(shipment=shipment.code, lot=lot, place=place, mass=mass, bags=bags, at="2025-04-20")
    return season.do(take_back, asked, season.house.intake)


def a_count(season: Season, choice: Choice) -> Booked | None:
    lot = season.lot(choice.pick)
    row = season.slot(lot, choice.other, bags=False) if lot else None
    if lot is None or row is None:
        return None
    found = Found(lot=lot.number, mass=f"{row.mg * (95 + choice.share % 10) // 100} mg")
    return season.do(count, Count(place=row.place.code, found=(found,), at="2025-03-31"), season.house.intake)


def a_writing_off(season: Season, choice: Choice) -> Booked | None:
    lot = season.lot(choice.pick)
    row = season.slot(lot, choice.other) if lot else None
    if lot is None or row is None:
        return None
    bags = str(row.bag_no) if row.bag_no else ""
    asked = WriteOff(lot=lot.number, mass=_mg(row, choice.share), bags=bags, place=row.place.code, at="2025-05-01")
    return season.do(write_off, asked, season.house.records)


def an_adjustment(season: Season, choice: Choice) -> Booked | None:
    lot = season.lot(choice.pick)
    row = season.slot(lot, choice.other, bags=False) if lot else None
    if lot is None or row is None:
        return None
    mass = f"{'-' if choice.other % 2 else ''}{max(1, row.mg * choice.share // 100)} mg"
    asked = Adjustment(lot=lot.number, mass=mass, place=row.place.code, at="2025-05-02")
    return season.do(adjust, asked, season.house.records)


def a_reassignment(season: Season, choice: Choice) -> Booked | None:
    lot = season.lot(choice.pick)
    if lot is None:
        return None
    plots = [plot.code for plot in Plot.objects.filter(station=season.house.station).order_by("pk")]
    line = ("N-1", "N-2", "B-1")[choice.other % 3]
    asked = Reassignment(
        lot=lot.number, line=line, plots=(plots[choice.share % 6],) if choice.share % 2 else (), at="2025-05-03"
    )
    return season.do(reassign, asked, season.house.records)


def a_late_addition(season: Season, choice: Choice) -> Booked | None:
    runs = list(RunRecord.objects.filter(station=season.house.station).order_by("pk"))
    if not runs:
        return None
    number = runs[choice.pick % len(runs)].number
    asked = Addition(run=number, taken_off={"stones": f"{choice.share} mg"}, at="2025-05-04")
    return season.do(add_to_run, asked, season.house.line)


def a_hold(season: Season, choice: Choice) -> Booked | None:
    lot = season.lot(choice.pick)
    if lot is None:
        return None
    deep = choice.other % 2 == 0
    return hold(
        [lot.number],
        station=season.house.station,
        by=season.house.bench,
        reason="smell",
        now=NOW,
        with_descendants=deep,
    )


def a_lifting(season: Season, choice: Choice) -> Booked | None:
    held = list(ActiveHold.objects.filter(station=season.house.station).select_related("lot").order_by("pk"))
    if not held:
        return None
    number = held[choice.pick % len(held)].lot.number
    return lift(number, station=season.house.station, by=season.house.breeder, reason="aired", now=NOW,
                answers=ANSWERS, with_descendants=choice.other % 2 == 0)  # fmt: skip


def a_promise(season: Season, choice: Choice) -> Booked | None:
    lot = season.lot(choice.pick)
    if lot is None:
        return None
    asked = Promising(lot=lot.number, mass=f"{choice.share} kg", recipient="A grower", at="2025-05-05")
    return season.do(promise, asked, season.house.breeder)


def a_label(season: Season, choice: Choice) -> Booked | None:
    lot = season.lot(choice.pick)
    if lot is None:
        return None
    return season.do(print_labels, Printing(lots=[lot.number], places=["A-01"]), season.house.bench)


def a_reversal(season: Season, choice: Choice) -> Booked | None:
    acts = list(Operation.objects.filter(station=season.house.station, reverses__isnull=True).order_by("-seq"))
    if not acts:
        return None
    return reverse(
        acts[choice.pick % len(acts)], station=season.house.station, by=season.house.records, reason="a slip", now=NOW
    )


ACTS: dict[str, Callable[[Season, Choice], Booked | None]] = {
    act.__name__: act
    for act in (
        a_delivery, a_run, a_bagging, a_move, a_tip, a_blend, a_split, a_drying, a_treatment, a_sample, a_sowing,
        a_shipment, a_return, a_count, a_writing_off, an_adjustment, a_reassignment, a_late_addition, a_hold, a_lifting,
        a_promise, a_label, a_reversal,
    )
}  # fmt: skip
