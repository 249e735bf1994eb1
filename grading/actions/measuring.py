"""Measure seed and give it back: the weight of a hundred, the size curve, the colour. No seed leaves the lot."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields
from datetime import datetime
from decimal import Decimal
from typing import TypeVar

from django.contrib.auth.models import User
from django.db.models import Model

from grading.models import ColourReading, SeedWeight, SizeCurve
from grading.rules.colour_reading import SeenColour, apart_mistakes, read_seen
from grading.rules.measurements import CURVE_OF, curve_mistakes, seed_weight_mistakes, within
from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Known, Typed
from inventory.actions.drafts import Draft
from inventory.actions.expecting import expect_lots
from inventory.actions.posting import post_all
from inventory.actions.reader import Reader
from inventory.models import Station
from inventory.rules.amounts import read_amount
from inventory.rules.gathering import Gathering

MOST_G = Decimal(1000)


@dataclass(frozen=True, kw_only=True)
class HundredSeeds:
    """The weight of 100 seeds, weighed four times [g]."""

    lot: Typed
    readings: Sequence[Typed]
    at: Typed = None


@dataclass(frozen=True, kw_only=True)
class Screened:
    """What stayed on each screen, the widest first and the pan last [% by weight]."""

    lot: Typed
    screens: Sequence[Sequence[Typed]]
    at: Typed = None


@dataclass(frozen=True, kw_only=True)
class Coloured(SeenColour):
    """A lot's colour, read once or several times, with what it was seen under."""

    lot: Typed
    at: Typed = None


Measured = TypeVar("Measured", HundredSeeds, Screened, Coloured)
ReadRow = Callable[[Reader, Measured], Callable[[Known], Model]]


@action("measure")
def measure_seed_weights(
    measured: Sequence[HundredSeeds], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Enter weights of a hundred seeds; readings that spread over 4 % of their mean are asked about."""
    return _measure(measured, _seed_weight, Desk(station, now), by=by, key=key, reason=reason, answers=answers)


@action("measure")
def measure_sizes(
    measured: Sequence[Screened], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Enter size curves; shares that do not make 100 are asked about."""
    return _measure(measured, _size_curve, Desk(station, now), by=by, key=key, reason=reason, answers=answers)


@action("measure")
def measure_colours(
    measured: Sequence[Coloured], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Enter colour readings."""
    return _measure(measured, _colour, Desk(station, now), by=by, key=key, reason=reason, answers=answers)


def _measure(
    measured: Sequence[Measured], read: ReadRow[Measured], desk: Desk, *, by: User, key: str, reason: str,
    answers: Mapping[str, str] | None,
) -> Booked:  # fmt: skip
    """Plan and post measurements of one kind; all or none.

    Raises:
        Refused: everything that stands in the way of the first one that cannot be booked.
    """
    expect_lots(desk, [each.lot for each in measured if each.lot not in (None, "")])
    drafts = []
    for each in measured:
        reader = Reader(desk, answers)
        at = reader.when(each.at)
        known = reader.lot(each.lot)
        row = read(reader, each)
        facts = reader.finish()
        if known is None:
            raise AssertionError("finish() lets no measurement through without its lot")
        drafts.append(
            Draft(
                kind="measure", station=desk.station, by=by, at=at, reason=reason, key=key, facts=facts,
                rows=[row(known)],
            )
        )  # fmt: skip
    return Booked(tuple(post_all(drafts)))


def _seed_weight(reader: Reader, measured: HundredSeeds) -> Callable[[Known], Model]:
    given = [each for each in measured.readings if each not in (None, "")]
    read = [_number(reader, each, f"reading_{place}", "0.001", MOST_G) for place, each in enumerate(given, 1)]
    readings = [each for each in read if each is not None]
    if len(readings) == len(given):
        reader.add(*seed_weight_mistakes(readings))
    return lambda known: SeedWeight(station=known.lot.station, lot=known.lot, readings_g=list(map(_text, readings)))


def _size_curve(reader: Reader, measured: Screened) -> Callable[[Known], Model]:
    curve: list[tuple[str, Decimal]] = []
    for screen, *shares in measured.screens:
        pct = _number(reader, shares[0] if shares else None, f"screen_{screen}", "0", CURVE_OF)
        curve += [] if pct is None else [(str(screen), pct)]
    if len(curve) == len(measured.screens):
        reader.add(*curve_mistakes(curve))
    screens = [[screen, _text(pct)] for screen, pct in curve]
    return lambda known: SizeCurve(station=known.lot.station, lot=known.lot, screens=screens)


def _colour(reader: Reader, measured: Coloured) -> Callable[[Known], Model]:
    words = Gathering()
    read = read_seen(words, measured)
    typed = {axis.name: getattr(measured, axis.name) for axis in fields(SeenColour)}
    reader.note_typed(**typed)
    reader.add(*words.mistakes)
    reader.notes.extend(words.notes)
    if read is None:
        return lambda known: ColourReading(lot=known.lot)  # what is wrong with it is said by finish()
    reader.add(*apart_mistakes(read))
    lightness, a, b = map(_text, read.mean)
    several = [list(map(_text, reading)) for reading in read.readings] if len(read.readings) > 1 else []
    return lambda known: ColourReading(
        station=known.lot.station, lot=known.lot, lightness=lightness, a=a, b=b, illuminant=read.illuminant,
        observer=read.observer, instrument=read.instrument, scale=read.scale, replicates=several,
    )  # fmt: skip


def _number(reader: Reader, typed: Typed, name: str, least: str, most: Decimal) -> Decimal | None:
    """Read a number between two others; what is wrong is gathered."""
    reader.note_typed(**{name: typed})
    read = reader.attempt(lambda: read_amount(typed, field=name))
    if read is None:
        return None
    reader.notes.extend(read.notes)
    reader.add(*within(read.value, name, Decimal(least), most))
    return read.value


def _text(number: Decimal | None) -> str:
    return "" if number is None else f"{number:f}"
