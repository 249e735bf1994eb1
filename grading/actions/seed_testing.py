"""Keep seed health, purity of variety and purity tests, and the limits the station holds them against."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from typing import TypeVar

from django.contrib.auth.models import User
from django.db.models import Model

from grading.actions.bench import Bench
from grading.actions.using_seed import plan_use
from grading.models import HealthTest, PurityTest, SeedLimit, VarietyTest
from grading.rules.counts import COUNTED, GERMINATION, LONGEST_NAME, OFF_TYPES, found_mistakes
from grading.rules.purity import PARTS, PURE, Weighed, loss_mistakes, weighing_notes, weight_mistakes
from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Known, Typed
from inventory.actions.drafts import Draft
from inventory.actions.expecting import expect_lots
from inventory.actions.origin import entered
from inventory.actions.posting import post_all
from inventory.actions.reader import Reader, sure
from inventory.models import Station
from inventory.rules.gathering import Gathering
from inventory.rules.mistakes import Mistake, Note
from inventory.rules.reading import plain, typed_text

MOST_TESTED, MOST_G = 1_000_000, 10_000
GRAMS, COUNT = {"looks": "grams, such as 1.62"}, {"looks": "a whole number, such as 400"}


class WrongSide(Mistake):
    """A limit on the side where nothing is limited."""

    code = "wrong_side"


class WeighingNote(Note):
    """The weighing falls short of what the rule asks."""

    code = "weighing_note"


@dataclass(frozen=True, kw_only=True)
class SeedHealth:
    """Seeds tested for one pathogen by a named method, and how many carried it."""

    lot: Typed
    pathogen: str
    method: str
    tested: Typed = field(metadata=COUNT)
    found: Typed = field(metadata={"looks": "a whole number, such as 0"})
    mass: Typed = None
    place: Typed = ""
    bags: Typed = ""
    unit: str = "kg"
    at: Typed = None


@dataclass(frozen=True, kw_only=True)
class VarietyPurity:
    """Plants, seedlings or seeds looked at, and how many were off-types."""

    lot: Typed
    looked_at: Typed = field(metadata=COUNT)
    off_types: Typed = field(metadata={"looks": "a whole number, such as 2"})
    counted: str = COUNTED[0]
    described: str = ""
    mass: Typed = None
    place: Typed = ""
    bags: Typed = ""
    unit: str = "kg"
    at: Typed = None


@dataclass(frozen=True, kw_only=True)
class PurityWeighed:
    """A purity analysis as it was weighed; what was not found is left out."""

    lot: Typed
    working_g: Typed = field(metadata={"looks": "grams, such as 500.0"})
    pure_seed_g: Typed = field(default=None, metadata=GRAMS)
    other_crop_g: Typed = field(default=None, metadata=GRAMS)
    weed_g: Typed = field(default=None, metadata=GRAMS)
    inert_g: Typed = field(default=None, metadata=GRAMS)
    mass: Typed = None
    place: Typed = ""
    bags: Typed = ""
    unit: str = "kg"
    at: Typed = None


@dataclass(frozen=True, kw_only=True)
class Allowed:
    """The most of a pathogen or of off-types, or the least germination, that will do; empty takes a limit off."""

    name: str
    most_pct: Typed = field(default=None, metadata={"looks": "a per cent, such as 1; 0 for none"})
    least_pct: Typed = field(default=None, metadata={"looks": "for germination: a whole per cent, such as 85"})
    at: Typed = None


Test = TypeVar("Test", SeedHealth, VarietyPurity, PurityWeighed)
Row = HealthTest | VarietyTest | PurityTest
ReadTest = Callable[[Reader, Test], Callable[[Known], Row] | None]


@action("test")
def book_seed_health(
    tests: Sequence[SeedHealth], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Book tests for pathogens, all or none.

    Raises:
        Refused: a lot is not known, more were found than tested, or a count cannot be read.
    """
    return _book(tests, _health, "health", Desk(station, now), by=by, key=key, reason=reason, answers=answers)


@action("test")
def book_variety_purity(
    tests: Sequence[VarietyPurity], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Book counts of off-types, all or none.

    Raises:
        Refused: a lot is not known, more were off than looked at, or a count cannot be read.
    """
    return _book(tests, _variety, "purity", Desk(station, now), by=by, key=key, reason=reason, answers=answers)


@action("test")
def book_purity(
    tests: Sequence[PurityWeighed], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Book purity analyses, all or none; parts that miss the working sample are asked about.

    Raises:
        Refused: a lot is not known, a weight cannot be read, or the parts cannot be of the sample.
    """
    return _book(tests, _purity, "purity", Desk(station, now), by=by, key=key, reason=reason, answers=answers)


@action("limit")
def set_seed_limits(
    limits: Sequence[Allowed], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Set what may be found, from the day of the act on; the newest limit of a name is in force.

    Raises:
        Refused: no name, a per cent outside 0 to 100, or a least where only a most can stand, and the other way round.
    """
    desk = Desk(station, now)
    drafts = []
    for allowed in limits:
        reader, words = Reader(desk, answers), Gathering()
        at = reader.when(allowed.at)
        reader.note_typed(name=allowed.name, most_pct=allowed.most_pct, least_pct=allowed.least_pct)
        name = _limit_name(reader.text(plain(typed_text(allowed.name)), "name", "bacterial blight", LONGEST_NAME))
        most = words.number(allowed.most_pct, "most_pct", unit="%", least=0, most=100, needed=False)
        least = words.whole(allowed.least_pct, "least_pct", unit="%", least=1, most=99, needed=False)
        words.add(*_side_mistakes(name, most, least))
        _gather(reader, words)
        ends = {"most_pct": "" if most is None else f"{most:f}", "least_pct": "" if least is None else str(least)}
        row = SeedLimit(station=station, name=name, **ends)
        facts = {"limit": name, **{end: typed for end, typed in ends.items() if typed or end == "most_pct"}}
        drafts.append(entered(reader, facts, by=by, at=at, kind="limit", reason=reason, key=key, rows=[row]))
    return Booked(tuple(post_all(drafts)))


def _book(
    tests: Sequence[Test], read: ReadTest[Test], purpose: str, desk: Desk, *, by: User, key: str, reason: str,
    answers: Mapping[str, str] | None,
) -> Booked:  # fmt: skip
    """Plan and post tests of one kind; all or none."""
    bench = Bench(desk)
    expect_lots(desk, [tested.lot for tested in tests if tested.lot not in (None, "")])
    drafts: list[Draft] = []
    for tested in tests:
        reader = Reader(desk, answers)
        reader.when(tested.at)
        known, row = bench.lot(tested.lot), read(reader, tested)
        rows: list[Model] = [row(known)] if known and row else []
        drafts.append(plan_use(reader, tested, purpose, by=by, rows=rows, facts={}, key=key, reason=reason))
    return Booked(tuple(post_all(drafts)))


def _health(reader: Reader, tested: SeedHealth) -> Callable[[Known], Row] | None:
    words = Gathering()
    pathogen = reader.text(plain(typed_text(tested.pathogen)), "pathogen", "bacterial blight", LONGEST_NAME)
    method = reader.text(plain(typed_text(tested.method)), "method", "dilution plating of 4 × 250 seeds", 120)
    of = words.whole(tested.tested, "tested", least=1, most=MOST_TESTED)
    found = words.whole(tested.found, "found", most=MOST_TESTED, example="0")
    words.add(*found_mistakes(found, of, "found"))
    reader.note_typed(pathogen=pathogen, method=method, tested=tested.tested, found=tested.found)
    if _gather(reader, words):
        return None
    return lambda known: HealthTest(
        station=known.lot.station, lot=known.lot, pathogen=pathogen, method=method, tested=sure(of), found=sure(found)
    )


def _variety(reader: Reader, tested: VarietyPurity) -> Callable[[Known], Row] | None:
    words = Gathering()
    counted = words.word(tested.counted, "counted", COUNTED, COUNTED[0])
    of = words.whole(tested.looked_at, "looked_at", least=1, most=MOST_TESTED)
    off = words.whole(tested.off_types, "off_types", most=MOST_TESTED, example="0")
    words.add(*found_mistakes(off, of, "off_types"))
    described = reader.text(tested.described, "described", "late, tall", 200, needed=False)
    reader.note_typed(counted=counted, looked_at=tested.looked_at, off_types=tested.off_types, described=described)
    if _gather(reader, words):
        return None
    return lambda known: VarietyTest(
        station=known.lot.station, lot=known.lot, counted=counted, looked_at=sure(of), off_types=sure(off),
        described=described,
    )  # fmt: skip


def _purity(reader: Reader, tested: PurityWeighed) -> Callable[[Known], Row] | None:
    words = Gathering()
    typed = {part: getattr(tested, f"{part}_g") for part in PARTS}
    working = words.number(tested.working_g, "working_g", unit="g", least=0, most=MOST_G, example="500.0")
    read = {
        part: words.number(grams, f"{part}_g", unit="g", least=0, most=MOST_G, needed=False)
        for part, grams in typed.items()
    }
    reader.note_typed(working_g=tested.working_g, **{f"{part}_g": grams for part, grams in typed.items()})
    if working is not None and not words.mistakes:
        # A part that was not found weighs nothing; pure seed that was not weighed is left out.
        parts = {part: grams or Decimal(0) for part, grams in read.items() if grams is not None or part != PURE}
        weighed = Weighed(working, parts)
        words.add(*(weight_mistakes(weighed) or loss_mistakes(weighed)))
        reader.notes.extend(WeighingNote(note, field="working_g") for note in weighing_notes(weighed))
    if _gather(reader, words):
        return None
    kept = {part: f"{grams:f}" for part, grams in read.items() if grams is not None}
    return lambda known: PurityTest(
        station=known.lot.station, lot=known.lot, working_g=f"{sure(working):f}", parts_g=kept
    )


def _side_mistakes(name: str, most: Decimal | None, least: int | None) -> Iterator[Mistake]:
    """A germination may be too low, what was counted too high."""
    if name == GERMINATION and most is not None:
        says = "Germination can be too low, not too high. Give the least that will do: least_pct, such as 85."
        yield WrongSide(says, field="most_pct")
    elif name != GERMINATION and least is not None:
        says = f"{name} can be too much, not too little. Give the most that is allowed: most_pct, such as 1."
        yield WrongSide(says, field="least_pct")


def _limit_name(name: str) -> str:
    folded = name.casefold().replace(" ", "-")
    if folded == GERMINATION:
        return GERMINATION
    return OFF_TYPES if folded in (OFF_TYPES, "off-type") else name


def _gather(reader: Reader, words: Gathering) -> bool:
    """Hand over what was gathered, and say whether something could not be read."""
    reader.add(*words.mistakes)
    reader.notes.extend(words.notes)
    return reader.has_errors
