"""Does a lot look like its line: measured against the line's own earlier lots, and against the station's other lines.

A line's past are its other lots as they stand now, measured on earlier days than the lot; a lot that was given another
line counts there. How much lots of one line differ is learnt from all lines but the lot's own, up to now, together with
the line's own past.
"""

from bisect import bisect_left
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from grading.queries.lot_measures import Kind, Measure, MeasuredLot, measured_lots
from grading.stats.likeness import (
    MANY,
    METHOD_RANKS,
    Far,
    Held,
    all_tails,
    far,
    hold,
    log_density,
    own_squares,
    rank_tail,
    shares,
    tails_of,
)
from grading.stats.spread import Base, Past, base_of, past_of
from inventory.models import Station

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

ALARM = 0.01  # of the lots that are what they are said to be, one in a hundred or fewer is called strange
WORTH_NAMING = 0.05  # a line with a smaller share is not named; ours, no source
NO_BASE = "too few lots of other lines were measured to say how much lots of a line differ"


@dataclass(frozen=True, slots=True)
class Compared:
    """One kind of measurement of a lot against its line's past.

    Attributes:
        kind: what was measured.
        measure: the lot's own.
        past: measured before, of the line's other lots.
        far: how far off it is; None where there is too little to say, and `too_few` says why.
        tail: how often a lot of the line lies as far off [1]; None as above.
    """

    kind: Kind
    measure: Measure
    past: tuple[Measure, ...]
    far: Far | None = None
    tail: float | None = None
    method: str = ""
    too_few: str = ""


@dataclass(frozen=True, slots=True)
class LooksLike:
    """A line that a lot may be of.

    Attributes:
        share: its part of all lines that the lot can be compared with, thought equally likely before [1].
        tail: how often a lot of this line lies as far off as this one [1].
        past: kind -> lots of that line measured before.
    """

    line: str
    share: float
    tail: float
    past: tuple[tuple[Kind, tuple[Measure, ...]], ...]

    @property
    def is_likely(self) -> bool:
        """Whether the lot would not be strange in this line either."""
        return self.tail >= ALARM


@dataclass(frozen=True, slots=True)
class Likeness:
    """Whether a lot looks like its line.

    Attributes:
        lot: what was looked at.
        compared: by kind of measurement.
        tail: how often a lot of the line lies as far off in any of them [1]; None where there is too little to say.
        lines: the lines it can be compared with, the likeliest first, its own among them; looked up for strange lots.
    """

    lot: MeasuredLot
    compared: tuple[Compared, ...]
    tail: float | None
    lines: tuple[LooksLike, ...] = ()

    @property
    def is_strange(self) -> bool:
        """Whether so few lots of the line lie as far off that it is probably of another."""
        return self.tail is not None and self.tail < ALARM

    @property
    def like(self) -> tuple[LooksLike, ...]:
        """The other lines it may be of, the likeliest first: in which it is not strange, and which have a share."""
        others = [line for line in self.lines if line.line != self.lot.line and line.is_likely]
        return tuple(line for line in others if line.share >= WORTH_NAMING) or tuple(others[:1])


class Books:
    """All measured lots of a station, with what was worked out from them kept for the next lot."""

    def __init__(self, lots: Iterable[MeasuredLot]) -> None:
        self.lots = {lot.lot: lot for lot in lots}
        self.class_of = {lot.line: lot.class_name for lot in self.lots.values()}
        self._measures: dict[Kind, dict[str, list[Measure]]] = {}
        for lot in self.lots.values():
            for kind, measure in lot.measures.items():
                self._measures.setdefault(kind, {}).setdefault(lot.line, []).append(measure)
        for by_line in self._measures.values():
            for rows in by_line.values():
                rows.sort(key=_day)
        self._wholes: dict[Kind, dict[str, Past]] = {}
        self._bases: dict[tuple[Kind, str], Base | None] = {}
        self._held: dict[tuple[Kind, str, date, str], Held | None] = {}

    def past(self, kind: Kind, line: str, before: date) -> tuple[Measure, ...]:
        """What was measured of a line's lots on earlier days."""
        rows = self._measures.get(kind, {}).get(line, [])
        return tuple(rows[: bisect_left(rows, before, key=_day)])

    def base(self, kind: Kind, without: str) -> Base | None:
        """The spread within all lines but one."""
        if (kind, without) not in self._bases:
            pasts = [past for line, past in self._whole(kind).items() if line != without]
            self._bases[kind, without] = base_of(pasts, kind.least_sd)
        return self._bases[kind, without]

    def _whole(self, kind: Kind) -> dict[str, Past]:
        """All that was measured of each line, up to now."""
        if kind not in self._wholes:
            lines = self._measures.get(kind, {}).items()
            self._wholes[kind] = {line: past_of([each.values for each in rows]) for line, rows in lines}
        return self._wholes[kind]

    def held(self, kind: Kind, line: str, before: date, without: str) -> Held | None:
        """A line's past with its spread; None where it has none, or too little is known."""
        key = (kind, line, before, without)
        if key not in self._held:
            past = self.past(kind, line, before)
            rows = [measure.values for measure in past]
            self._held[key] = self._hold(kind, rows, without) if rows else None
        return self._held[key]

    def _hold(self, kind: Kind, rows: Sequence[Sequence[float]], without: str) -> Held | None:
        return hold(past_of(rows), self.base(kind, without), kind.least_sd)


def _day(measure: Measure) -> date:
    return measure.on


def likeness_of(station: Station, lot: str) -> Likeness | None:
    """Compare a lot with its line (3 queries); None where nothing was measured of it, or it has no line."""
    books = Books(measured_lots(station))
    return judge(books, books.lots[lot]) if lot in books.lots else None


def judge(books: Books, lot: MeasuredLot) -> Likeness:
    """Compare a lot with its line; where it is strange, with all other lines too."""
    compared = tuple(_compare(books, lot, kind) for kind in lot.measures)
    tails = [each.tail for each in compared if each.tail is not None]
    likeness = Likeness(lot, compared, all_tails(tails) if tails else None)
    return Likeness(lot, compared, likeness.tail, _lines(books, likeness)) if likeness.is_strange else likeness


def _compare(books: Books, lot: MeasuredLot, kind: Kind) -> Compared:
    measure = lot.measures[kind]
    past = books.past(kind, lot.line, measure.on)
    held = books.held(kind, lot.line, measure.on, lot.line)
    if held is None:
        none = f"no other lot of {lot.line} was measured before {measure.on}"
        return Compared(kind, measure, past, too_few=NO_BASE if past else none)
    found = far(measure.values, held)
    if len(past) < MANY:
        return Compared(kind, measure, past, found, found.tail, found.method)
    import numpy as np  # noqa: PLC0415 - a web process starts without numpy

    own = own_squares(np.array([each.values for each in past]), held)
    return Compared(kind, measure, past, found, rank_tail(found.squared, own), METHOD_RANKS)


def _lines(books: Books, likeness: Likeness) -> tuple[LooksLike, ...]:
    """Compare a lot with every line that was measured before as its own was."""
    lot = likeness.lot
    kinds = [each.kind for each in likeness.compared if each.far is not None]
    others = [line for line in books.class_of if line != lot.line]
    found = [(line, common) for line in others if (common := _common(books, lot, line, kinds))]
    ratios = [sum(_density(books, lot, line, kind) - _density(books, lot, lot.line, kind) for kind in common)
              for line, common in found]  # fmt: skip
    parts = shares([0.0, *ratios])
    lines = [
        _looks_like(books, lot, line, common, share)
        for (line, common), share in zip([(lot.line, kinds), *found], parts, strict=True)
    ]
    return tuple(sorted(lines, key=lambda each: -each.share))


def _common(books: Books, lot: MeasuredLot, line: str, kinds: Sequence[Kind]) -> list[Kind]:
    """The kinds in which a line can be compared.

    Eyes see the class of a bean before any balance does: a line of another class is thought of only where a colour
    speaks for it, never by weight or size alone.
    """
    common = [kind for kind in kinds if books.held(kind, line, lot.measures[kind].on, lot.line) is not None]
    is_one_class = books.class_of[line] == lot.class_name
    return common if is_one_class or any(kind.name == "colour" for kind in common) else []


def _density(books: Books, lot: MeasuredLot, line: str, kind: Kind) -> float:
    return _at(books, lot, line, kind, lambda rows, held: float(log_density(rows, held)[0]))


def _looks_like(books: Books, lot: MeasuredLot, line: str, kinds: Sequence[Kind], share: float) -> LooksLike:
    tails = [_at(books, lot, line, kind, lambda rows, held: float(tails_of(rows, held)[0])) for kind in kinds]
    past = tuple((kind, books.past(kind, line, lot.measures[kind].on)) for kind in kinds)
    return LooksLike(line, share, all_tails(tails), past)


def _at(
    books: Books, lot: MeasuredLot, line: str, kind: Kind, ask: Callable[["Array", Held], float]
) -> float:  # fmt: skip
    import numpy as np  # noqa: PLC0415 - a web process starts without numpy

    measure = lot.measures[kind]
    held = books.held(kind, line, measure.on, lot.line)
    if held is None:
        raise AssertionError("only lines that hold a past are compared")
    return ask(np.array([measure.values]), held)
