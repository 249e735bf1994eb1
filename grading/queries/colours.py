"""Colours in the books: a lot's newest one, and those of the other lots of its line that were read alike."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Exists, Q

from grading.models import ColourReading
from grading.queries.finding import day_of
from grading.rules.colour_reading import ColourRead
from grading.stats.colour import Conditions, Lab
from inventory.models import Lot, Standing, Station
from inventory.queries.uses import in_parts


@dataclass(frozen=True, slots=True)
class LotColour:
    """A lot's colour as it was read last.

    Attributes:
        lot: its number.
        line_id: key of the line it stands under, if any.
        line: that line's name, or "".
        on: the station's day.
        read: as it was typed, exact.
    """

    lot: str
    line_id: int | None
    line: str
    on: date
    read: ColourRead

    @property
    def lab(self) -> Lab:
        """The mean of its readings."""
        return lab_of_read(self.read)

    @property
    def conditions(self) -> Conditions:
        """What it was read under."""
        return conditions_of(self.read)


def lab_of_read(read: ColourRead) -> Lab:
    """Give the mean of what was typed as a colour to reckon with."""
    return Lab(*map(float, read.mean))


def conditions_of(read: ColourRead) -> Conditions:
    """Give what a typed colour was read under."""
    return Conditions(read.illuminant, read.observer, read.scale)


def newest_colours(station: Station, lots: Sequence[int], until: date | None = None) -> dict[int, LotColour]:
    """Give the newest reading of each lot that has one, up to a day where one is given (1 query for 5,000)."""
    found: dict[int, LotColour] = {}
    for some in in_parts(list(lots)):
        rows = ColourReading.objects.filter(station=station, lot__in=some, operation__reversed_by__isnull=True)
        for row in rows.select_related("operation", "lot__standing__line").order_by("operation__at", "operation__seq"):
            if until is None or day_of(row.operation, station) <= until:
                found[row.lot_id] = _colour(row, station)
    return found


def colour_with_past(station: Station, lot: Lot) -> tuple[LotColour | None, list[LotColour]]:
    """Give a lot's newest colour with what `past_of` gives of it, read together (1 query)."""
    standing = ColourReading.objects.filter(station=station, operation__reversed_by__isnull=True)
    own_line = Standing.objects.filter(lot=lot).values("line")
    near = standing.filter(Q(lot=lot) | Q(lot__standing__line__in=own_line), Exists(standing.filter(lot=lot)))
    rows = list(near.select_related("operation", "lot__standing__line").order_by("operation__at", "operation__seq"))
    own = next((_colour(row, station) for row in reversed(rows) if row.lot_id == lot.pk), None)
    others = [_colour(row, station) for row in rows if row.lot_id != lot.pk]
    return own, _read_alike(own, others) if own and own.line_id is not None else []


def _read_alike(own: LotColour, others: Iterable[LotColour]) -> list[LotColour]:
    """Keep the newest of each lot that was read under the same conditions and no later, by lot."""
    alike = [each for each in others if each.conditions == own.conditions and each.on <= own.on]
    newest = {each.lot: each for each in alike}
    return sorted(newest.values(), key=lambda each: each.lot)


def past_of(station: Station, colour: LotColour) -> list[LotColour]:
    """Give the colours of the other lots of a lot's line, read alike and no later, one of each lot, by lot (1 query).

    Read alike is: on the same scale, under the same illuminant, for the same observer. The newest such reading counts.
    """
    if colour.line_id is None:
        return []
    rows = ColourReading.objects.filter(
        station=station, lot__standing__line=colour.line_id, operation__reversed_by__isnull=True,
        scale=colour.read.scale, illuminant=colour.read.illuminant, observer=colour.read.observer,
    ).exclude(lot__number=colour.lot)  # fmt: skip
    in_order = rows.select_related("operation", "lot__standing__line").order_by("operation__at", "operation__seq")
    return _read_alike(colour, (_colour(row, station) for row in in_order))


def _colour(row: ColourReading, station: Station) -> LotColour:
    readings = row.replicates or [[row.lightness, row.a, row.b]]
    exact = tuple((Decimal(lightness), Decimal(a), Decimal(b)) for lightness, a, b in readings)
    read = ColourRead(exact, row.illuminant, row.observer, row.scale, row.instrument)
    line = _line_of(row.lot)
    return LotColour(row.lot.number, line[0], line[1], day_of(row.operation, station), read)


def _line_of(lot: Lot) -> tuple[int | None, str]:
    line = lot.standing.line if hasattr(lot, "standing") else None
    return (line.pk, line.name) if line else (None, "")
