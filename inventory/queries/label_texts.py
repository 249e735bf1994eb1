"""What stands on labels, read for many at once: the number of queries does not grow with the labels."""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.utils.dateformat import format as date_words
from django.utils.translation import gettext

from hilum.plugins.host import the_host
from inventory.models import (
    Bag,
    Container,
    Cross,
    Entry,
    Label,
    Link,
    Lot,
    Moisture,
    Place,
    Plant,
    Plot,
    Sender,
    Standing,
    Station,
    Stock,
)
from inventory.papers.labels import BagLabel, ContainerTag, LotLabel, PlaceLabel
from inventory.queries.treated import caution_words, treatments_on, warning_words
from inventory.rules.label_codes import LabelKind, label_code
from inventory.rules.mass import kg_words
from inventory.rules.nodes import NodeKind, key_of, kind_of, node

Drawn = LotLabel | BagLabel | ContainerTag | PlaceLabel
MOST_PARENTS = 2  # named on a label; more are counted
_ORIGINS: Mapping[NodeKind, tuple[type, str]] = {
    NodeKind.LOT: (Lot, "number"),
    NodeKind.PLOT: (Plot, "code"),
    NodeKind.PLANT: (Plant, "number"),
    NodeKind.CROSS: (Cross, "code"),
    NodeKind.SENDER: (Sender, "their_lot"),
}


@dataclass(frozen=True)
class LotsRead:
    """What the labels of some lots need, read at once."""

    station: Station
    standings: Mapping[int, Standing]
    origins: Mapping[int, list[str]]
    moistures: Mapping[int, str]
    facts: Mapping[str, Mapping[str, str]]
    cautions: Mapping[int, str] = field(default_factory=dict)


def label_texts(station: Station, rows: Sequence[Label], address: str, person: str = "") -> list[Drawn]:
    """Read what stands on labels that were printed, in their order (about 12 queries).

    Args:
        address: of this site, "http://10.0.0.5:8000"; the codes for phones end in the number.
        person: name of the account that prints; what is hidden from it now stays out.
    """
    lots = read_lots(station, {row.lot_id for row in rows if row.lot_id}, person)
    bags = _bags(rows)
    bins = {one.code: one for one in Container.objects.filter(station=station, code__in=_names(rows, "container"))}
    places = {one.code: one for one in Place.objects.filter(station=station, code__in=_names(rows, "place"))}
    write: dict[str, Callable[[Label], Drawn]] = {
        "lot": lambda row: _lot(row, lots, address),
        "bag": lambda row: _bag(row, lots, bags, address),
        "container": lambda row: _container(row, bins[row.name], station, address),
        "place": lambda row: _place(row, places[row.name], address),
    }
    return [write[row.what](row) for row in rows if row.what in write]


def read_lots(station: Station, keys: Collection[int], person: str = "") -> LotsRead:
    """Read what the labels of lots need (8 queries, and those of the plugins)."""
    standings = {
        one.lot_id: one
        for one in Standing.objects.filter(lot__in=keys).select_related("lot", "line", "market_class", "made_by")
    }
    numbers = [one.lot.number for one in standings.values()]
    treated = [key for key, one in standings.items() if one.treated]
    return LotsRead(
        station,
        standings,
        origins_of(keys),
        _moistures(keys),
        the_host().lot_facts(numbers, station.code, person) if numbers else {},
        {key: caution_words(treatments_on([key])) for key in treated},
    )


def origins_of(keys: Collection[int]) -> dict[int, list[str]]:
    """Name what lots were made of, one step back: lots, plots, plants, crosses, a sender's lots (1 query a kind)."""
    links = Link.objects.filter(child__in=[node(NodeKind.LOT, key) for key in keys], is_sowing=False)
    pairs = [(key_of(link.child), link.parent) for link in links.order_by("pk")]
    names: dict[int, str] = {}
    for kind, (model, column) in _ORIGINS.items():
        wanted = {key_of(parent) for _lot, parent in pairs if kind_of(parent) is kind}
        if wanted:
            found = model._default_manager.filter(pk__in=wanted).values_list("pk", column)  # type: ignore[attr-defined]
            names.update({node(kind, key): name for key, name in found})
    origins: dict[int, list[str]] = {}
    for lot, parent in pairs:
        origins.setdefault(lot, []).append(names[parent])
    return origins


def copy_words(copy: int) -> str:
    """Say of a label that it was printed before; nothing on the first."""
    return gettext("copy %(n)s") % {"n": copy} if copy > 1 else ""


def day_words(moment: date | datetime, station: Station) -> str:
    """Write a day as labels and papers do: 9 Oct 2024."""
    if isinstance(moment, datetime):
        moment = moment.astimezone(ZoneInfo(station.zone)).date()
    return date_words(moment, "j M Y")


def scan_address(address: str, digits: str) -> str:
    """Write what a phone's camera opens: this site, ending in the number."""
    return f"{address.rstrip('/')}/s/{digits}"


def _lot(row: Label, lots: LotsRead, address: str) -> LotLabel:
    standing, number = lots.standings[_lot_key(row)], row.name
    digits = number.replace("-", "")
    return LotLabel(
        number=number,
        digits=digits,
        address=scan_address(address, digits),
        lines=_lot_lines(standing, lots),
        copy=copy_words(row.copy),
        **_warning(standing, lots),
    )


def _lot_lines(standing: Standing, lots: LotsRead) -> tuple[str, ...]:
    made = day_words(standing.made_at, lots.station) if standing.made_at else ""
    wet = lots.moistures.get(standing.lot_id)
    return (
        *_what(standing),
        _from(lots.origins.get(standing.lot_id, [])),
        gettext("net %(kg)s kg, %(day)s") % {"kg": kg_words(standing.opening_mg), "day": made},
        gettext("moisture %(percent)s %% wet basis") % {"percent": wet} if wet else "",
    )


def _what(standing: Standing) -> tuple[str, str]:
    line = standing.line.name if standing.line else gettext("blend")
    return line, standing.market_class.name if standing.market_class else ""


def _from(origins: Sequence[str]) -> str:
    if not origins:
        return ""
    named = ", ".join(origins[:MOST_PARENTS])
    more = len(origins) - MOST_PARENTS
    if more > 0:
        return gettext("from %(lots)s and %(n)s more") % {"lots": named, "n": more}
    return gettext("from %(lots)s") % {"lots": named}


def _warning(standing: Standing, lots: LotsRead) -> dict[str, str]:
    if not standing.treated:
        return {}
    heading = gettext("Cautions on the next label")
    return {
        "warning": warning_words(), "caution": lots.cautions.get(standing.lot_id, ""), "caution_heading": heading
    }  # fmt: skip


@dataclass(frozen=True)
class _BagRead:
    key: int
    mg: int
    of: int


def _bags(rows: Sequence[Label]) -> dict[str, _BagRead]:
    """Read the bags that are named: their rows, what is in them [mg], how many their lot has (3 queries).

    A bag that left says what was counted into it: its label is printed again for whoever has it.
    """
    lots = {row.lot_id for row in rows if row.what == "bag"}
    found = list(Bag.objects.filter(lot__in=lots).select_related("lot"))
    held: dict[tuple[int, int], int] = {}
    for lot, bag, mg in Stock.objects.filter(lot__in=lots, bag_no__gt=0).values_list("lot_id", "bag_no", "mg"):
        held[(lot, bag)] = held.get((lot, bag), 0) + mg
    there = _counted_in(lots) | {name: mg for name, mg in held.items() if mg}
    last: dict[int, int] = {}
    for one in found:
        last[one.lot_id] = max(last.get(one.lot_id, 0), one.number)
    return {
        f"{one.lot.number}/{one.number}": _BagRead(one.pk, there.get(_named(one), 0), last[one.lot_id]) for one in found
    }


def _named(bag: Bag) -> tuple[int, int]:
    return bag.lot_id, bag.number


def _counted_in(lots: Iterable[int | None]) -> dict[tuple[int, int], int]:
    """What the newest bagging that stands put into each bag [mg] (1 query)."""
    rows = Entry.objects.filter(lot__in=lots, bag_no__gt=0, mg__gt=0, operation__kind="bag")
    stand = rows.filter(operation__reversed_by__isnull=True).order_by("operation__seq")
    return {(lot, bag): mg for lot, bag, mg in stand.values_list("lot_id", "bag_no", "mg") if lot is not None}


def _bag(row: Label, lots: LotsRead, bags: Mapping[str, _BagRead], address: str) -> BagLabel:
    standing, bag = lots.standings[_lot_key(row)], bags[row.name]
    number, _slash, bag_no = row.name.partition("/")
    digits = label_code(LabelKind.BAG, bag.key)
    return BagLabel(
        number=number,
        bag=gettext("bag %(n)s of %(all)s") % {"n": bag_no, "all": bag.of},
        digits=digits,
        address=scan_address(address, digits),
        lines=_bag_lines(standing, bag, lots),
        trial=gettext("for trial use only") if row.trial_only else "",
        copy=copy_words(row.copy),
        **_warning(standing, lots),
    )


def _bag_lines(standing: Standing, bag: _BagRead, lots: LotsRead) -> tuple[str, ...]:
    known = lots.facts.get(standing.lot.number, {})
    treated = gettext("Y") if standing.treated else gettext("N")
    return (
        " ".join(_what(standing)).strip(),
        gettext("net %(kg)s kg") % {"kg": kg_words(bag.mg)},
        with_day(known, "last_grade", lots.station),
        with_day(known, "last_germination", lots.station, gettext("germination %(found)s"), gettext("tested %(day)s")),
        gettext("treated: %(yes_or_no)s") % {"yes_or_no": treated},
        lots.station.name,
    )


def with_day(
    known: Mapping[str, str], fact: str, station: Station, words: str = "%(found)s", dated: str = "%(day)s"
) -> str:
    """Write a fact with the day on which it was found: "germination 94 %, tested 25 Nov 2024"; nothing for nothing."""
    if not known.get(fact):
        return ""
    said, day = words % {"found": known[fact]}, known.get(f"{fact}_on", "")
    return f"{said}, {dated % {'day': day_words(date.fromisoformat(day), station)}}" if day else said


def _container(row: Label, one: Container, station: Station, address: str) -> ContainerTag:
    digits = label_code(LabelKind.CONTAINER, one.pk)
    day = day_words(one.checked_on, station) if one.checked_on else ""
    checked = gettext("checked %(day)s") % {"day": day} if day else gettext("tare not checked yet")
    tare = gettext("tare %(kg)s kg") % {"kg": kg_words(one.tare_mg)}
    return ContainerTag(
        one.code, digits, scan_address(address, digits), (one.kind, tare, checked), copy_words(row.copy)
    )  # fmt: skip


def _place(row: Label, one: Place, address: str) -> PlaceLabel:
    digits = label_code(LabelKind.PLACE, one.pk)
    return PlaceLabel(one.code, digits, scan_address(address, digits), one.name, copy_words(row.copy))


def _moistures(keys: Collection[int]) -> dict[int, str]:
    """The moisture read last of each lot [% wet basis] (1 query)."""
    rows = Moisture.objects.filter(lot__in=keys, operation__reversed_by__isnull=True)
    read = rows.order_by("operation__at", "operation__seq").values_list("lot_id", "wet_basis_pct")
    return {lot: f"{Decimal(percent).normalize():f}" for lot, percent in read}


def _names(rows: Sequence[Label], what: str) -> list[str]:
    return [row.name for row in rows if row.what == what]


def _lot_key(row: Label) -> int:
    if row.lot_id is None:
        raise AssertionError("labels of lots and bags carry their lot")
    return row.lot_id
