"""What people call the nodes and acts of a lineage: name, a longer label and a day; a query for each kind."""

from collections.abc import Callable, Collection
from dataclasses import dataclass
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from inventory.models import Cross, Line, Lot, Operation, Plant, Plot, Sender, Shipment, Station
from inventory.queries.lineage import Key, Lineage


@dataclass(frozen=True)
class Described:
    """What people call a node.

    Args:
        id: as they type it.
        label: with what they want to read beside it.
        day: when it was made, sown or shipped, in the station's calendar.
    """

    id: str
    label: str
    day: date | None = None


Descriptions = dict[Key, Described]


def describe(station: Station, lineage: Lineage) -> Descriptions:
    """Describe every node that was met."""
    described: Descriptions = {}
    for kind, by in _BY_KIND.items():
        keys = [key for key in lineage.met if key[0] == kind]
        if keys:
            described.update(by(station, lineage, keys))
    return described


def name_acts(lineage: Lineage) -> dict[int, str]:
    """Name the acts of the steps by their own number (R01, S2) or their kind (1 query)."""
    keys = {step.operation for step in lineage.steps.values() if step.operation}
    acts = Operation.objects.filter(pk__in=keys).select_related("run", "shipment").defer("content")
    return {0: "", **{act.pk: own_name(act) for act in acts}}


def own_name(act: Operation) -> str:
    """The number that people gave an act, else its kind."""
    for record, column in (("run", "number"), ("shipment", "code")):
        row = getattr(act, record, None)
        if row is not None:
            return str(getattr(row, column))
    return act.kind


def _lots(station: Station, lineage: Lineage, keys: Collection[Key]) -> Descriptions:
    rows = {key: lineage.lots.get(int(key[1])) for key in keys}
    lines = Line.objects.in_bulk({row.line for row in rows.values() if row and row.line})
    unread = Lot.objects.in_bulk([key[1] for key, row in rows.items() if row is None or row.number is None])
    zone = ZoneInfo(station.zone)
    described = {}
    for key, row in rows.items():
        if row is None or row.number is None:
            number = unread[int(key[1])].number
            described[key] = Described(number, number)
            continue
        what = lines[row.line].name if row.line else "blend" if row.opening_mg else "taken back"
        described[key] = Described(row.number, f"{row.number} ({what})", local_day(row.made_at, zone))
    return described


def local_day(moment: object, zone: ZoneInfo) -> date | None:
    """The station's day of a moment as either engine gives it: PostgreSQL a moment, SQLite its text in UTC."""
    if isinstance(moment, str):
        moment = datetime.fromisoformat(moment)
    if not isinstance(moment, datetime):
        return None
    return (moment if moment.tzinfo else moment.replace(tzinfo=UTC)).astimezone(zone).date()


def _plots(station: Station, _lineage: Lineage, keys: Collection[Key]) -> Descriptions:
    plots = Plot.objects.filter(station=station).select_related("line").in_bulk([key[1] for key in keys])
    return {
        ("plot", plot.pk): Described(plot.code, f"{plot.code} ({plot.line.name}, {plot.season})", plot.sown_on)
        for plot in plots.values()
    }


def _plants(station: Station, _lineage: Lineage, keys: Collection[Key]) -> Descriptions:
    plants = Plant.objects.filter(station=station).select_related("plot").in_bulk([key[1] for key in keys])
    return {
        ("plant", plant.pk): Described(plant.number, f"{plant.number} (from {plant.plot.code})")
        for plant in plants.values()
    }


def _lines(station: Station, _lineage: Lineage, keys: Collection[Key]) -> Descriptions:
    lines = Line.objects.filter(station=station).select_related("market_class").in_bulk([key[1] for key in keys])
    return {
        ("line", line.pk): Described(
            line.name, f"{line.name} ({line.market_class})" if line.market_class else line.name
        )
        for line in lines.values()
    }


def _crosses(station: Station, _lineage: Lineage, keys: Collection[Key]) -> Descriptions:
    parents = ("female", "male", "female_cross", "male_cross")
    crosses = Cross.objects.filter(station=station).select_related(*parents).in_bulk([key[1] for key in keys])
    return {
        ("cross", cross.pk): Described(
            cross.code,
            f"{cross.code} ({cross.female or cross.female_cross} × {cross.male or cross.male_cross})",
        )
        for cross in crosses.values()
    }


def _senders(station: Station, _lineage: Lineage, keys: Collection[Key]) -> Descriptions:
    rows = Sender.objects.filter(station=station).in_bulk([key[1] for key in keys if isinstance(key[1], int)])
    groups = {key: Described(str(key[1]), str(key[1])) for key in keys if isinstance(key[1], str)}
    return groups | {
        ("sender", row.pk): Described(str(row), f"{row.name}, their lot {row.their_lot}", row.shipped_on)
        for row in rows.values()
    }


def _shipments(station: Station, _lineage: Lineage, keys: Collection[Key]) -> Descriptions:
    rows = Shipment.objects.filter(
        station=station, code__in=[key[1] for key in keys], operation__reversed_by__isnull=True
    ).select_related("operation")
    return {
        ("shipment", row.code): Described(
            row.code, f"{row.code} to {row.recipient}", local_day(row.operation.at, ZoneInfo(station.zone))
        )
        for row in rows.order_by("-operation__at")
    }


def _bags(_station: Station, _lineage: Lineage, keys: Collection[Key]) -> Descriptions:
    return {key: Described(str(key[1]), "bag {1} of {0}".format(*str(key[1]).split("/"))) for key in keys}


def _seasons(_station: Station, _lineage: Lineage, keys: Collection[Key]) -> Descriptions:
    return {key: Described(str(key[1]), f"season {key[1]}") for key in keys}


_BY_KIND: dict[str, Callable[[Station, Lineage, Collection[Key]], Descriptions]] = {
    "lot": _lots,
    "bag": _bags,
    "plot": _plots,
    "plant": _plants,
    "line": _lines,
    "cross": _crosses,
    "sender": _senders,
    "shipment": _shipments,
    "season": _seasons,
}
