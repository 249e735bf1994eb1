"""Find whatever a person typed or scanned: a lot, bag, plot, plant, line, cross, shipment, season or sender."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

from django.db.models import QuerySet, Value
from django.db.models.functions import Concat

from inventory.models import Bag, Cross, Line, LineName, Plant, Plot, Sender, Shipment, Station
from inventory.queries.finding import find_lot
from inventory.rules.codes import CodeAmbiguous, CodeUnknown, read_code
from inventory.rules.lot_number import NotABag, NotALotNumber, read_bag
from inventory.rules.mistakes import Mistake, Note
from inventory.rules.reading import UNKEPT, ReadAs, plain, quoted, typed_text

SEASON = re.compile(r"(?:season )?((?:19|20)[0-9]{2})", re.IGNORECASE)

_BAG_FIRST = re.compile(r"bag (no\.? ?|#)?(?P<bag>\d{1,5})( of| from|,)? (lot )?(?P<lot>\S+)", re.IGNORECASE)
_END_OF_PLOT = re.compile(r"[A-Za-z]{0,3}[0-9]{1,5}")
MOST_PLOTS = 4
_LOT_FIRST = re.compile(r"(lot )?(?P<lot>\S+?),? bag (no\.? ?|#)?(?P<bag>\d{1,5})", re.IGNORECASE)


class ThingKind(StrEnum):
    """What a person can ask about."""

    LOT = "lot"
    BAG = "bag"
    PLOT = "plot"
    PLANT = "plant"
    LINE = "line"
    CROSS = "cross"
    SHIPMENT = "shipment"
    SEASON = "season"
    SENDER = "sender"


@dataclass(frozen=True)
class Thing:
    """What was found.

    Args:
        id: its name as people type it: 24-0016-5, 24-0016-5/14, QM24-I1.
        keys: rows it stands for: one lot (of a bag, its lot), plot, plant, line or cross; the acts of a shipment, the
            plots of a season, the deliveries of a sender.
        bag_no: number of the bag, else 0.
    """

    kind: ThingKind
    id: str
    keys: tuple[int, ...]
    bag_no: int = 0
    notes: tuple[Note, ...] = ()


class UnknownBag(Mistake):
    """The lot is known and never had such a bag."""

    code = "unknown_bag"

    def __init__(self, bag: str, lot: str, numbers: tuple[int, ...]) -> None:
        has = f"has bags {numbers[0]} to {numbers[-1]}" if numbers else "was never bagged"
        super().__init__(f"Bag {bag} is not in the books: {lot} {has}. Scan the bag's label, or ask for the lot.")


class NothingCalledSo(Mistake):
    """Nothing in the books is called so, nor nearly so."""

    code = "nothing_called_so"

    def __init__(self, typed: str, unknown: CodeUnknown) -> None:
        says = unknown.says if unknown.proposal else f"{quoted(typed)} stands for nothing in the books."
        says += " Scan a label, or type a lot (24-0016-5), bag, plot, plant, line, cross, shipment, season or sender."
        super().__init__(says, field="ref", proposal=unknown.proposal)


def find_anything(station: Station, typed: object) -> Thing:
    """Find a thing by what people call it: exactly first, then as forgivingly as it can be read with certainty.

    Raises:
        Mistake: nothing is called so, with the nearest names; or a lot number that does not check.
    """
    text = UNKEPT.sub("", plain(typed_text(typed)))
    for look in (_season, _bag, _lot, _named):
        found = look(station, text)
        if found is not None:
            return found
    return _nearly(station, text)


def _season(station: Station, text: str) -> Thing | None:
    match = SEASON.fullmatch(text)
    if not match:
        return None
    plots = Plot.objects.filter(station=station, season=int(match[1])).order_by("code")
    keys = tuple(plots.values_list("pk", flat=True))
    return Thing(ThingKind.SEASON, match[1], keys) if keys else None


def _with_slash(text: str) -> str:
    """Write a bag as its label does, however it is said: "bag 14 of 24-0016-5", "24-0016-5 bag 14"."""
    said = _BAG_FIRST.fullmatch(text) or _LOT_FIRST.fullmatch(text)
    return f"{said['lot']}/{said['bag']}" if said else text


def _bag(station: Station, text: str) -> Thing | None:
    text = _with_slash(text)
    if "/" not in text:
        return None
    before = text.partition("/")[0]
    try:
        lot, notes = find_lot(station, before)
        bag = read_bag(f"{lot.number}/{text.partition('/')[2]}").value
    except (NotALotNumber, NotABag):
        return None
    numbers = tuple(Bag.objects.filter(lot=lot).order_by("number").values_list("number", flat=True))
    if bag.bag not in numbers:
        raise UnknownBag(bag.text, lot.number, numbers)
    return Thing(ThingKind.BAG, bag.text, (lot.pk,), bag.bag, notes)


def _lot(station: Station, text: str) -> Thing | None:
    try:
        lot, notes = find_lot(station, text)
    except NotALotNumber:
        return None
    return Thing(ThingKind.LOT, lot.number, (lot.pk,), notes=notes)


def _named(station: Station, text: str) -> Thing | None:
    """Look for exactly this name among each kind in turn (1 query a kind)."""
    for kind, rows, name, key in _kinds(station):
        keys = tuple(rows.filter(**{name: text}).order_by(key).values_list(key, flat=True))
        if keys:
            return _line(keys[0]) if kind is ThingKind.LINE else Thing(kind, text, keys)
    return None


def _line(key: int) -> Thing:
    """A line goes by its name of today, whatever name was typed."""
    line = Line.objects.select_related("merged_into").get(pk=key)
    line = line.merged_into or line
    return Thing(ThingKind.LINE, line.name, (line.pk,))


def _nearly(station: Station, text: str) -> Thing:
    known = {str(known) for _kind, rows, name, _key in _kinds(station) for known in rows.values_list(name, flat=True)}
    try:
        read = read_code(text, sorted(known), kind="name", field="ref")
    except CodeUnknown as unknown:
        plot = _plot_of_trial(station, text)
        if plot is not None:
            return plot
        raise NothingCalledSo(text, unknown) from unknown
    found = _named(station, read.value)
    if found is None:
        raise LookupError(f"{read.value} was listed and is gone: read again.")
    return replace(found, notes=read.notes)


def _plot_of_trial(station: Station, text: str) -> Thing | None:
    """Find a plot by the end of its code, as people call it within its trial: "T101" (1 query).

    Raises:
        CodeAmbiguous: several trials have one; the newest season is named first.
    """
    if not _END_OF_PLOT.fullmatch(text):
        return None
    ends = Plot.objects.filter(station=station, code__iendswith=f"-{text}").order_by("-season", "code")
    found = list(ends.values_list("pk", "code")[:MOST_PLOTS])
    if len(found) > 1:
        raise CodeAmbiguous(text, tuple(code for _key, code in found), kind="plot", field="ref")
    notes = tuple(ReadAs(text, code, field="ref") for _key, code in found)
    return Thing(ThingKind.PLOT, found[0][1], (found[0][0],), notes=notes) if found else None


def _kinds(station: Station) -> Iterator[tuple[ThingKind, "QuerySet[Any]", str, str]]:
    """List the kinds that go by a name: their rows, the column of the name, and the column of the key."""
    shipped = Shipment.objects.filter(station=station, operation__reversed_by__isnull=True)
    senders = Sender.objects.filter(station=station).annotate(whole=Concat("name", Value(" "), "their_lot"))
    yield ThingKind.PLOT, Plot.objects.filter(station=station), "code", "pk"
    yield ThingKind.LINE, LineName.objects.filter(station=station), "name", "line_id"
    yield ThingKind.CROSS, Cross.objects.filter(station=station), "code", "pk"
    yield ThingKind.SHIPMENT, shipped, "code", "operation_id"
    yield ThingKind.PLANT, Plant.objects.filter(station=station), "number", "pk"
    yield ThingKind.SENDER, senders, "name", "pk"
    yield ThingKind.SENDER, senders, "whole", "pk"
