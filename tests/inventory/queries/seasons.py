"""Two seasons of one line, as a person would tell them, for tests of what is read from the books."""

from dataclasses import dataclass
from datetime import UTC, datetime
from decimal import Decimal

from inventory.actions.bagging import Bagging, bag_off
from inventory.actions.blending import Blend, Part, blend
from inventory.actions.drafts import Draft, EntryDraft, LinkDraft, outside, seed
from inventory.actions.posting import post
from inventory.actions.running import Out, Run, book_run
from inventory.models import Cross, Line, LineName, Lot, Operation, Plot, Shipment, Site, Stock
from inventory.rules.nodes import NodeKind, node
from tests.make import NOW, House, house, received

KG = 1_000_000


def at(day: str) -> datetime:
    """Noon of a day."""
    return datetime.fromisoformat(f"{day}T12:00").replace(tzinfo=UTC)


def mg_of(kg: str) -> int:
    """Kilograms as typed, in milligrams."""
    return int(Decimal(kg) * KG)


def out_of(lot: Lot, mg: int, bag_no: int = 0) -> EntryDraft:
    """Seed that leaves a lot or bag where it stands."""
    return seed(lot.pk, Stock.objects.get(lot=lot, bag_no=bag_no).place_id, -mg, bag_no)


def blended(plant: House, parts: dict[Lot, str], out: str, *, day: str = "2025-05-01") -> Lot:
    """A lot blended of loose seed at hand; the rest of what went in was spilled."""
    spilled = sum(map(Decimal, parts.values())) - Decimal(out)
    asked = Blend(
        parts=[Part(lot=lot.number, loose=kg) for lot, kg in parts.items()],
        place="A-01", out=out, spilled=str(spilled) if spilled else None, at=day,
    )  # fmt: skip
    return blend(asked, station=plant.station, by=plant.line, reason="one line", now=NOW).lots[0]


def sown(plant: House, lot: Lot, kg: str, code: str, *, bag_no: int = 0, day: str = "2025-05-20") -> Plot:
    """A block sown with a lot of its line."""
    mg = mg_of(kg)
    site, line = Site.objects.get(station=plant.station), lot.standing.line
    plot, _made = Plot.objects.get_or_create(
        station=plant.station, site=site, code=code, defaults={"season": int(day[:4]), "line": line, "is_block": True}
    )
    post(
        Draft(
            kind="sow", station=plant.station, by=plant.breeder, at=at(day),
            entries=[out_of(lot, mg, bag_no), outside("sown", mg)],
            links=[LinkDraft(node(NodeKind.LOT, lot.pk), node(NodeKind.PLOT, plot.pk), mg, mg, is_sowing=True)],
        )
    )  # fmt: skip
    return plot


def shipped(plant: House, lot: Lot, bags: dict[int, str], code: str, recipient: str = "A grower") -> Operation:
    """Bags (0 is loose) of a lot that left."""
    taken = {bag: mg_of(kg) for bag, kg in bags.items()}
    entries = [out_of(lot, mg, bag) for bag, mg in taken.items()]
    return post(
        Draft(
            kind="ship", station=plant.station, by=plant.intake, at=at("2025-05-28"),
            entries=[*entries, outside("shipped", sum(taken.values()))],
            rows=[Shipment(station=plant.station, code=code, recipient=recipient)],
        )
    )  # fmt: skip


def bagged(plant: House, lot: Lot, count: int, part: str | None = None) -> None:
    """Bags of 25 kg, and a part bag."""
    asked = Bagging(lot=lot.number, count=count, part_bag=part, at="2025-05-25")
    bag_off(asked, station=plant.station, by=plant.intake, now=NOW)


def ran(plant: House, lot: Lot, feed: str, outs: tuple[str, ...], number: str) -> list[Lot]:
    """Lots that came out of a run whose throughs took the rest."""
    rest = Decimal(feed) - sum(map(Decimal, outs))
    a_run = Run(
        number=number, machines="sizing", feed_lot=lot.number, feed=feed, at="2024-10-09",
        outs=tuple(Out(mass=out) for out in outs), taken_off={"throughs": str(rest)} if rest else {},
    )  # fmt: skip
    return book_run(a_run, station=plant.station, by=plant.line, now=NOW).lots


@dataclass
class Seasons:
    """ST24-N-1-1 → raw → big and small; small sown on ST25-I1 → second; big + second → blend, in bags."""

    plant: House
    raw: Lot
    big: Lot
    small: Lot
    block: Plot
    second: Lot
    blend: Lot


def two_seasons() -> Seasons:
    """Tell the two seasons, up to a shipment S1 of the blend's first two bags."""
    plant = house()
    mothers = {name: Line.objects.create(station=plant.station, name=name) for name in ("Mother", "Father")}
    for line in mothers.values():
        LineName.objects.create(station=plant.station, line=line, name=line.name)
    cross = Cross.objects.create(station=plant.station, code="C19-04", female=mothers["Mother"], male=mothers["Father"])
    Line.objects.filter(name="N-1").update(cross=cross)
    raw = received(plant, "800")
    big, small = ran(plant, raw, "800", ("587.2", "103.8"), "R1")
    block = sown(plant, small, "44", "ST25-I1")
    second = received(plant, "1840", "ST25-I1", at="2025-05-21")
    both = blended(plant, {big: "434", second: "600"}, "1033.5", day="2025-05-22")
    bagged(plant, both, 41)
    shipped(plant, both, {1: "25", 2: "25"}, "S1")
    return Seasons(plant, raw, big, small, block, second, both)
