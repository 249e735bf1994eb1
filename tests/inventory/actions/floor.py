"""The acts of the floor and the line, each as one call with words that go through unless a case changes them."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from django.contrib.auth.models import User

from inventory.actions.acting import Booked
from inventory.actions.additions import Addition, add_to_run
from inventory.actions.blending import Blend, Part, blend
from inventory.actions.drying import Drying, dry
from inventory.actions.moving import Move, Tip, into_bag, move
from inventory.actions.splitting import Piece, Split, split
from inventory.actions.treating import Treating, treat
from inventory.actions.writing_off import WriteOff, write_off
from inventory.models import Lot, Operation, Standing, Stock
from tests.make import NOW, House, bagged, received, run

AT = "2025-05-05"


@dataclass(frozen=True)
class Floor:
    """A station with a loose lot of 900 kg, one of another line, and one of 4 bags and 9 kg in the part bag."""

    house: House
    loose: Lot
    black: Lot
    bags: Lot


def floor(house: House) -> Floor:
    """Fill the floor; run R1 of the loose lot's neighbour misses 8 kg."""
    loose = received(house, "900", moisture="17.4")
    black = received(house, "300", plot="ST24-B-1-1")
    bags = bagged(house, received(house, "109", at="2024-09-25"), count=4, part_bag="9")
    other = received(house, "1000", at="2024-09-26")
    run(house, other, "1000", "900", taken_off={"throughs": "92"}, at="2024-10-08")
    return Floor(house, loose, black, bags)


Act = Callable[..., Booked]


def acts_of(at: Floor) -> Mapping[str, Act]:
    """Name the acts; a call's words replace those that would go through."""
    return {
        "move": _act(at, at.house.line, move, Move(lot=at.loose.number, to="A-01", mass="100.0", at=AT)),
        "move bags": _act(at, at.house.line, move, Move(lot=at.bags.number, to="A-01", bags="1-2", at=AT)),
        "tip": _act(at, at.house.line, into_bag, Tip(lot=at.bags.number, into="5", from_bag="2", mass="5", at=AT)),
        "dry": _act(at, at.house.line, dry, Drying(lot=at.loose.number, weighed="876.4", after="15.2", at=AT)),
        "treat": _act(at, at.house.line, treat, _treating(lot=at.loose.number)),
        "blend": _act(at, at.house.line, blend, _blend(at)),
        "split": _act(at, at.house.line, split, _split(at)),
        "write off": _act(at, at.house.records, write_off, _write_off(lot=at.loose.number), reason="mice"),
        "add": _act(at, at.house.line, add_to_run, Addition(run="R1", taken_off={"lights": "7.5"}, at=AT)),
    }


def _act(at: Floor, usual: User, act: Act, asked: Any, **usual_arguments: Any) -> Act:
    def call(*, by: User | None = None, answers: Any = None, **words: Any) -> Booked:
        arguments = {name: words.pop(name) for name in ("reason", "key") if name in words}
        return act(
            replace(asked, **words), station=at.house.station, by=by or usual, now=NOW, answers=answers,
            **{**usual_arguments, **arguments},
        )  # fmt: skip

    return call


def _treating(lot: str) -> Treating:
    return Treating(lot=lot, product="Seed coat A", dose="3 mL per kg", caution="Wear gloves.", added="2.7", at=AT)


def _write_off(lot: str) -> WriteOff:
    return WriteOff(lot=lot, mass="12.5", at=AT)


def _blend(at: Floor) -> Blend:
    parts = (Part(lot=at.loose.number, loose="400"), Part(lot=at.bags.number, bags="1-5"))
    return Blend(parts=parts, place="A-01", out="508.5", spilled="0.5", at=AT)


def _split(at: Floor) -> Split:
    return Split(lot=at.loose.number, pieces=(Piece(mass="400", place="A-01"), Piece(mass="100", place="B-01")), at=AT)


def everything(house: House) -> dict[str, Any]:
    """What stands in the books now: stock, standings, links and holds."""
    stock = Stock.objects.filter(station=house.station, mg__gt=0).values_list("lot", "place", "bag_no", "mg")
    standing = Standing.objects.filter(station=house.station, made_by__isnull=False).values_list("lot", "treated")
    return {"stock": sorted(stock), "standing": sorted(standing)}


def acts_done(house: House) -> int:
    """How many acts are in the books."""
    return Operation.objects.filter(station=house.station).count()
