"""The newest seed weight, size curve and colour of every lot that has a line, as numbers that can be compared."""

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from typing import Any

from grading.models import ColourReading, SeedWeight, SizeCurve
from grading.queries.finding import day_of
from grading.queries.sizes import sieved_of
from grading.rules.colour_reading import CIELAB
from grading.rules.seed_weight import mean_weight
from grading.rules.size_curve import size_passing, span
from inventory.models import Line, Lot, Station
from inventory.rules.mistakes import Mistake
from inventory.rules.rounding import half_up


@dataclass(frozen=True, slots=True)
class Number:
    """One number of a measurement.

    Attributes:
        name: as a sentence begins with it: "100 seeds weigh".
        short: for a table: "100-seed weight".
        unit: "g"; "" for none.
        places: decimals when shown.
        least_sd: the smallest spread that can be told from measuring again; ours, no source.
        is_log: compared by its logarithm, since its spread grows with it; then `least_sd` is a share.
    """

    name: str
    short: str
    unit: str
    places: int
    least_sd: float
    is_log: bool = False

    def compared(self, value: Fraction) -> float:
        """Turn what was measured into what is compared."""
        return math.log(value) if self.is_log else float(value)

    def shown(self, value: Fraction) -> str:
        """Write what was measured, half up."""
        return str(half_up(value, self.places))


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of measurement; what was measured under other conditions is another kind, never compared with it."""

    name: str
    under: str
    numbers: tuple[Number, ...] = field(compare=False)

    @property
    def least_sd(self) -> list[float]:
        """The smallest spread of each number that can be told from measuring again."""
        return [number.least_sd for number in self.numbers]

    def __str__(self) -> str:
        return f"{self.name} ({self.under})" if self.under else self.name


@dataclass(frozen=True, slots=True)
class Measure:
    """What was found on one day: one number for each of its kind, as it was measured and as it is compared."""

    on: date
    exact: tuple[Fraction, ...]
    values: tuple[float, ...]

    @classmethod
    def of(cls, kind: Kind, on: date, exact: Sequence[Fraction]) -> "Measure":
        """Take what was measured, one number for each of its kind."""
        compared = [number.compared(value) for number, value in zip(kind.numbers, exact, strict=True)]
        return cls(on, tuple(exact), tuple(compared))


@dataclass(frozen=True, slots=True)
class MeasuredLot:
    """A lot with what was measured of it."""

    lot: str
    line: str
    class_name: str
    measures: Mapping[Kind, Measure] = field(default_factory=dict)


Found = tuple[Kind, Sequence[Fraction]]

WEIGHT = (Number("100 seeds weigh", "100-seed weight", "g", 1, 0.01, is_log=True),)
SIZE = (
    Number("the middle screen size D50 is", "D50", "mm", 2, 0.01, is_log=True),
    Number("the span of its sizes is", "span", "", 2, 0.02),
)
COLOUR = (Number("L* is", "L*", "", 1, 0.3), Number("a* is", "a*", "", 1, 0.3), Number("b* is", "b*", "", 1, 0.3))
HUNTER = (Number("L is", "L", "", 1, 0.3), Number("a is", "a", "", 1, 0.3), Number("b is", "b", "", 1, 0.3))
SEED_WEIGHT = Kind("seed weight", "", WEIGHT)


def measured_lots(station: Station) -> list[MeasuredLot]:
    """Read all that was measured of lots that stand under a line, by lot number (3 queries)."""
    lots: dict[int, tuple[Lot, Line, dict[Kind, Measure]]] = {}
    readers: tuple[tuple[Any, Callable[[Any], Found | None]], ...] = (
        (SeedWeight, _weight), (SizeCurve, _size), (ColourReading, _colour),
    )  # fmt: skip
    for model, read in readers:
        for row in _newest(model, station):
            line = row.lot.standing.line
            found = read(row)
            if found is not None:
                kind, exact = found
                measures = lots.setdefault(row.lot_id, (row.lot, line, {}))[2]
                measures[kind] = Measure.of(kind, day_of(row.operation, station), exact)
    made = [MeasuredLot(lot.number, line.name, _class(line), measures) for lot, line, measures in lots.values()]
    return sorted(made, key=lambda each: each.lot)


def _newest(model: Any, station: Station) -> Iterable[Any]:
    rows = (
        model.objects.filter(station=station, operation__reversed_by__isnull=True, lot__standing__line__isnull=False)
        .select_related("operation", "lot__standing__line__market_class")
        .defer("operation__content")
    )
    return {row.lot_id: row for row in rows.order_by("operation__at", "operation__seq")}.values()


def _class(line: Line) -> str:
    return line.market_class.name if line.market_class else ""


def _weight(row: SeedWeight) -> Found | None:
    readings = [Fraction(reading) for reading in row.readings_g]
    mean = mean_weight(readings) if readings else Fraction(0)
    return (SEED_WEIGHT, [mean]) if mean > 0 else None


def _colour(row: ColourReading) -> Found | None:
    values = [Fraction(text) for text in (row.lightness, row.a, row.b) if text]
    kind = colour_kind(row.scale, row.illuminant, row.observer)
    return (kind, values) if len(values) == len(kind.numbers) else None


def colour_kind(scale: str, illuminant: str, observer: str) -> Kind:
    """Colours read on one scale, under one light and for one observer."""
    under = f"{illuminant}/{observer}°"
    return Kind("colour", under, COLOUR) if scale == CIELAB else Kind("colour", f"{scale}, {under}", HUNTER)


def _size(row: SizeCurve) -> Found | None:
    """D50 and span of a curve; None where the screens name no opening, or the curve does not reach so far."""
    try:
        stack = sieved_of(row, str(row.lot)).stack
    except Mistake:
        return None
    middle, wide = size_passing(stack, Fraction(50)), span(stack)
    return None if not middle or wide is None else (Kind("size", stack.shape, SIZE), [middle, wide])
