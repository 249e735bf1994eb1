"""Measure seed and give it back: the weight of a hundred, the size curve, the colour. No seed leaves the lot."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields
from datetime import datetime
from decimal import Decimal
from fractions import Fraction
from typing import TypeVar

from django.contrib.auth.models import User
from django.db.models import Model

from grading.models import ColourReading, SeedWeight, SizeCurve
from grading.rules.colour_reading import SeenColour, apart_mistakes, read_seen
from grading.rules.measurements import CURVE_OF, closing_mistakes, within
from grading.rules.screens import bare_notes, read_stack
from grading.rules.seed_weight import replicate_mistakes
from grading.rules.sieving import AmountsDoNotFit, NothingSieved, loss_mistakes
from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Known, Typed
from inventory.actions.drafts import Draft
from inventory.actions.expecting import expect_lots
from inventory.actions.posting import post_all
from inventory.actions.reader import Reader
from inventory.models import Station
from inventory.rules.amounts import read_amount
from inventory.rules.gathering import Gathering
from inventory.rules.rounding import half_up

MOST_G = Decimal(1000)
MOST_SIEVED_G = Decimal(100_000)


@dataclass(frozen=True, kw_only=True)
class HundredSeeds:
    """The weight of 100 seeds, weighed four times as the bench does, or 8 or 16 times as the rule asks [g]."""

    lot: Typed
    readings: Sequence[Typed]
    at: Typed = None


@dataclass(frozen=True, kw_only=True)
class Screened:
    """What stayed on each screen, the widest first and the pan last.

    Args:
        screens: pairs of screen and per cent by weight; where it was weighed, the screens alone.
        grams: what stayed on each, in the order of the screens [g].
        sieved_g: what went onto the top screen, where that was weighed [g].
        shape: round or slotted, of the screens that do not say it.
    """

    lot: Typed
    screens: Sequence[Sequence[Typed]]
    grams: Sequence[Typed] = ()
    sieved_g: Typed = None
    shape: Typed = ""
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
    """Enter weights of a hundred seeds; readings that spread too wide are asked about."""
    return _measure(measured, _seed_weight, Desk(station, now), by=by, key=key, reason=reason, answers=answers)


@action("measure")
def measure_sizes(
    measured: Sequence[Screened], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Enter size curves, in per cent or in grams; shares that do not make 100 are asked about."""
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
        reader.add(*replicate_mistakes(readings))
    return lambda known: SeedWeight(station=known.lot.station, lot=known.lot, readings_g=list(map(_text, readings)))


def _size_curve(reader: Reader, measured: Screened) -> Callable[[Known], Model]:
    names = [str(each[0]) for each in measured.screens]
    screens, wrong = read_stack(names, shape=measured.shape)
    reader.add(*wrong)
    reader.notes.extend(bare_notes(screens))
    shape = next((screen.shape for screen in screens if screen.shape), "")
    read = _weighed_shares if measured.grams else _typed_shares
    shares, weighed = read(reader, measured, names)
    sieved = None
    if measured.sieved_g not in (None, ""):
        sieved = _number(reader, measured.sieved_g, "sieved_g", "0.001", MOST_SIEVED_G)
    if weighed:
        reader.add(*loss_mistakes(Fraction(sum(weighed)), sieved))
    pairs = [[name, _text(pct)] for name, pct in zip(names, shares, strict=False)]
    return lambda known: SizeCurve(
        station=known.lot.station, lot=known.lot, screens=pairs, grams=list(map(_text, weighed)),
        sieved_g=_text(sieved), shape=shape,
    )  # fmt: skip


def _typed_shares(reader: Reader, measured: Screened, names: Sequence[str]) -> tuple[list[Decimal], list[Decimal]]:
    """Read the shares that were typed [%]."""
    given = [each[1] if len(each) > 1 else None for each in measured.screens]
    shares = _amounts(reader, given, names, CURVE_OF)
    if len(shares) == len(names):
        reader.add(*closing_mistakes(shares))
    return shares, []


def _weighed_shares(reader: Reader, measured: Screened, names: Sequence[str]) -> tuple[list[Decimal], list[Decimal]]:
    """Read the grams that were weighed, and the shares they make."""
    if any(len(each) > 1 and each[1] not in (None, "") for each in measured.screens):
        reader.add(AmountsDoNotFit("Both grams and per cent are given. Give the one or the other.", field="screens"))
    if len(measured.grams) != len(names):
        says = f"There are {len(names)} screens and {len(measured.grams)} weights. Weigh each screen and the pan."
        reader.add(AmountsDoNotFit(says, field="grams"))
    grams = _amounts(reader, measured.grams, names, MOST_SIEVED_G)
    if grams and not sum(grams):
        reader.add(NothingSieved("grams"))
    total = Fraction(sum(grams)) or Fraction(1)
    return [half_up(Fraction(each) / total * 100, 4) for each in grams], grams


def _amounts(reader: Reader, given: Sequence[Typed], names: Sequence[str], most: Decimal) -> list[Decimal]:
    read = [
        _number(reader, each, f"screen_{name}", "0", most) for name, each in zip(names, given, strict=False)
    ]  # fmt: skip
    return [each for each in read if each is not None]


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
