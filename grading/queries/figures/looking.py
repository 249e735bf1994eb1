"""Does a lot look like its line, or like another one."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from grading.queries.figures.figure import Answer, Figure
from grading.queries.likeness import ALARM, Books, Compared, Likeness, judge
from grading.queries.likeness_words import past_range, says, steps
from grading.queries.lot_measures import SEED_WEIGHT, Kind, Measure, MeasuredLot, Number, colour_kind, measured_lots
from grading.rules.colour_reading import SeenColour, read_seen
from inventory.models import Lot, Station
from inventory.queries.finding import find_line, find_lot
from inventory.rules.gathering import Gathering
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import plain, typed_text

PAST = "A line's past are its other lots as they stand now, measured on earlier days than this one."
ADVICE = "This is advice: a strange lot is one to look at again, not a lot that was proved to be of another line."
ALONE = "No other line was measured, so there is none that it could look like."


class NothingMeasured(Mistake):
    """A lot without a seed weight, a size curve or a colour."""

    code = "nothing_measured"

    def __init__(self, lot: str) -> None:
        says = f"Nothing of {lot} was measured. Weigh 4 × 100 seeds, screen it or read its colour first."
        super().__init__(says, field="lot")


class NoLine(Mistake):
    """A lot that stands under no line, such as a blend of two."""

    code = "no_line"

    def __init__(self, lot: str) -> None:
        super().__init__(f"{lot} stands under no line, so there is none that it should look like.", field="lot")


class LotOrNumbers(Mistake):
    """Neither a lot nor a line with numbers."""

    code = "missing"

    def __init__(self) -> None:
        says = "Give a lot, such as 24-0016-5; or a line with seed_weight_g, with a colour, or with both."
        super().__init__(says, field="lot")


@dataclass(frozen=True, kw_only=True)
class LooksAsked:
    """A lot that was measured, held against its own line or a named one; or a line and numbers of the seed at hand."""

    lot: Any = None
    line: Any = None
    seed_weight_g: Any = None
    colour: SeenColour | None = None


def looks_like_its_line(asked: LooksAsked, station: Station | None) -> Answer:
    """Answer whether a lot looks like its line.

    Raises:
        Refused: no such lot or line, nothing measured, or a number that cannot be read.
    """
    if station is None:
        raise AssertionError("a figure that reads the books is given the station")
    words = Gathering()
    books = Books(measured_lots(station))
    lot = _typed_lot(asked, station, words) if _is_empty(asked.lot) else _booked(asked.lot, station, books, words)
    words.add(*_beside_a_lot(asked))
    own = lot.line if lot else ""
    if lot is not None and not _is_empty(asked.lot) and not _is_empty(asked.line):
        lot = _held_against(lot, asked.line, station, words)
    words.finish()
    if lot is None:
        raise AssertionError("finish() lets nothing unread through")
    likeness = judge(books, lot)
    alone = [ALONE] if set(books.class_of) <= {lot.line} else []
    told, notes = says(likeness), [PAST, ADVICE, *alone]
    if own != lot.line:
        told = told.replace(" is recorded as ", " is held against ", 1)
        notes.append(f"{lot.lot} stands in the books as {own}; it was held against {lot.line}, as was asked.")
    return Answer(_values(likeness), (told,), steps(likeness), tuple(notes))


def _beside_a_lot(asked: LooksAsked) -> list[Mistake]:
    """Want no numbers beside a lot: its own are in the books."""
    typed = {"seed_weight_g": not _is_empty(asked.seed_weight_g), "colour": asked.colour is not None}
    if _is_empty(asked.lot):
        return []
    says = "A lot is judged by what was booked of it. Leave {} out, or give a line instead of the lot."
    return [Mistake(says.format(name), field=name) for name, is_typed in typed.items() if is_typed]


def _held_against(lot: MeasuredLot, line: Any, station: Station, words: Gathering) -> MeasuredLot | None:
    """Take a lot as one of another line, to ask whether it could be."""
    found = words.attempt(lambda: find_line(station, typed_text(line)))
    return replace(lot, line=found[0].name) if found else None


def _booked(typed: Any, station: Station, books: Books, words: Gathering) -> MeasuredLot | None:
    found = words.attempt(lambda: find_lot(station, typed_text(typed)))
    if found is None:
        return None
    lot, notes = found
    words.notes.extend(notes)
    if lot.number not in books.lots:
        words.add(NothingMeasured(lot.number) if _has_line(lot) else NoLine(lot.number))
    return books.lots.get(lot.number)


def _has_line(lot: Lot) -> bool:
    return Lot.objects.filter(pk=lot.pk, standing__line__isnull=False).exists()


def _typed_lot(asked: LooksAsked, station: Station, words: Gathering) -> MeasuredLot | None:
    """A lot that is not in the books: everything there counts as measured before it."""
    if _is_empty(asked.line):
        words.add(LotOrNumbers())
        return None
    found = words.attempt(lambda: find_line(station, typed_text(asked.line)))
    measures = _typed_measures(asked, words)
    if not measures and not words.mistakes:
        words.add(LotOrNumbers())
    if found is None:
        return None
    line = found[0]
    return MeasuredLot("This seed", line.name, line.market_class.name if line.market_class else "", measures)


def _typed_measures(asked: LooksAsked, words: Gathering) -> dict[Kind, Measure]:
    grams = words.number(
        asked.seed_weight_g, "seed_weight_g", unit="g", least="0.001", most=1000, example="18.2", needed=False
    )  # fmt: skip
    read = read_seen(words, asked.colour, "colour.") if asked.colour else None
    made = [_made(SEED_WEIGHT, [grams])] if grams is not None else []
    if read is not None:
        made.append(_made(colour_kind(read.scale, read.illuminant, read.observer), read.mean))
    return dict(made)


def _made(kind: Kind, numbers: Sequence[Decimal]) -> tuple[Kind, Measure]:
    return kind, Measure.of(kind, date.max, [Fraction(number) for number in numbers])


def _is_empty(typed: Any) -> bool:
    return plain(typed_text(typed)) == ""


def _values(likeness: Likeness) -> Mapping[str, Any]:
    verdict = "too few to say" if likeness.tail is None else "strange" if likeness.is_strange else "fits"
    return {
        "lot": likeness.lot.lot, "line": likeness.lot.line, "verdict": verdict, "tail": likeness.tail,
        "strange_below": ALARM,
        "looks_like": [{"line": each.line, "share": each.share, "tail": each.tail} for each in likeness.like],
        "compared": [_compared(each) for each in likeness.compared],
    }  # fmt: skip


def _compared(each: Compared) -> dict[str, Any]:
    far = each.far
    return {
        "measured": each.kind.name, "under": each.kind.under, "earlier_lots": len(each.past), "tail": each.tail,
        "method": each.method, "degrees_of_freedom": far and far.df, "squared_distance": far and far.squared,
        "too_few": each.too_few, "numbers": [_number(each, at, of) for at, of in enumerate(each.kind.numbers)],
    }  # fmt: skip


def _number(each: Compared, at: int, of: Number) -> dict[str, Any]:
    far = each.far
    return {
        "name": of.short, "value": of.shown(each.measure.exact[at]), "unit": of.unit,
        "earlier": past_range(each.kind, each.past, at) if each.past else None,
        "standard_deviations_off": far and far.off[at] / far.sd[at], "tail": far and far.tails[at],
    }  # fmt: skip


FIGURES = (
    Figure(
        "looks like its line", "Whether seed weight, size and colour of a lot are those of its line, or of another.",
        LooksAsked, looks_like_its_line, {"lot": "25-0006-2"}, reads_books=True,
    ),
)  # fmt: skip
