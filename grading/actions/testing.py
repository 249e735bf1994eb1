"""Test germination: seed leaves its lot for the test, and the counts of its replicates are kept."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User

from grading.actions.bench import Bench
from grading.actions.using_seed import plan_use
from grading.models import SeedTest
from grading.rules.germination import SEEDS_EACH, GerminationTest, Verdict, germination_test
from grading.rules.mistakes import ReplicatesWrong
from grading.rules.seedlings import OTHERS, seedling_mistakes
from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Typed
from inventory.actions.drafts import Draft
from inventory.actions.expecting import expect_lots
from inventory.actions.posting import post_all
from inventory.actions.reader import Reader
from inventory.models import Load, Station
from inventory.rules.amounts import read_amount
from inventory.rules.gathering import Gathering
from inventory.rules.mistakes import Mistake, Note
from inventory.rules.reading import typed_text


class SpreadTooWide(Note):
    """The replicates differ by more than the table allows."""

    code = "spread_too_wide"

    def __init__(self, spread: int, allowed: int | None, mean: object) -> None:
        super().__init__(
            f"The replicates spread over {spread} points; at a mean of {mean} the table allows {allowed}. "
            "Test again: the new test replaces this one.",
            field="replicates",
        )


@dataclass(frozen=True, kw_only=True)
class Germination:
    """A germination test as it was typed: normal seedlings of 4 or 2 replicates of 100 seeds."""

    lot: Typed
    replicates: Sequence[Typed]
    abnormal: Sequence[Typed] = ()
    hard: Sequence[Typed] = ()
    fresh: Sequence[Typed] = ()
    dead: Sequence[Typed] = ()
    number: Typed = None
    seeds_each: Typed = SEEDS_EACH
    mass: Typed = None
    place: Typed = ""
    bags: Typed = ""
    unit: str = "kg"
    at: Typed = None


@action("test")
def book_germination(
    tested: Germination, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Book one germination test: `book_germinations` with one."""
    return book_germinations([tested], station=station, by=by, key=key, reason=reason, answers=answers, now=now)


@action("test")
def book_germinations(
    tests: Sequence[Germination], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None, load: Load | None = None,
) -> Booked:  # fmt: skip
    """Book germination tests in their order; all or none. A spread over the allowed one is noted: it needs a retest.

    Raises:
        Refused: everything that stands in the way of the first test that cannot be booked.
    """
    bench = Bench(Desk(station, now))
    expect_lots(bench.desk, [tested.lot for tested in tests if tested.lot not in (None, "")])
    bench.tests.expect([tested.number for tested in tests if tested.number not in (None, "")])
    drafts = [
        plan_germination(bench, Reader(bench.desk, answers), tested, by=by, key=key, reason=reason) for tested in tests
    ]
    for draft in drafts:
        draft.load = load
    return Booked(tuple(post_all(drafts)))


def plan_germination(
    bench: Bench, reader: Reader, tested: Germination, *, by: User, key: str = "", reason: str = ""
) -> Draft:
    """Plan a germination test on the bench.

    Raises:
        Refused: all that stands in the way of this test.
    """
    reader.when(tested.at)
    reader.note_typed(
        number=tested.number, replicates=list(map(typed_text, tested.replicates)),
        **{kind: list(map(typed_text, getattr(tested, kind))) for kind in OTHERS},
    )  # fmt: skip
    known = bench.lot(tested.lot)
    number = bench.tests.take(reader, tested.number, known.lot.number if known else "")
    result = _result(reader, tested)
    others = _others(reader, tested, result)
    rows: list[SeedTest] = []
    if known and number and result:
        rows = [
            SeedTest(
                station=bench.desk.station, lot=known.lot, number=number[0], take=number[1],
                normal=list(result.normal), seeds_each=SEEDS_EACH, others=others,
            )
        ]  # fmt: skip
    facts = {"test": number[0] if number else ""}
    return plan_use(reader, tested, "germination", by=by, rows=rows, facts=facts, key=key, reason=reason)


def _result(reader: Reader, tested: Germination) -> GerminationTest | None:
    """Judge the replicates; a count that can't be read is said by its place."""
    given = [each for each in tested.replicates if each not in (None, "")]
    counts = [_count(each, place) for place, each in enumerate(given, 1)]
    wrong: list[Mistake] = [count for count in counts if isinstance(count, ReplicatesWrong)]
    if typed_text(tested.seeds_each) not in ("", str(SEEDS_EACH)):
        says = f"Replicates of {typed_text(tested.seeds_each)} seeds: the table judges replicates of {SEEDS_EACH}."
        wrong.append(ReplicatesWrong(f"{says} Enter a test of 4 or 2 times {SEEDS_EACH} seeds."))
    reader.add(*wrong)
    if wrong:
        return None
    result = reader.attempt(lambda: germination_test([count for count in counts if isinstance(count, int)]))
    if result and result.verdict is Verdict.RETEST:
        reader.notes.append(SpreadTooWide(result.spread, result.allowed, result.mean_pct))
    return result


def _others(reader: Reader, tested: Germination, result: GerminationTest | None) -> dict[str, list[int]]:
    """Read what gave no normal seedling; what cannot be is gathered."""
    words = Gathering()
    read: dict[str, list[int]] = {}
    for kind in OTHERS:
        counts = [
            words.whole(typed, f"{kind}.{place}", most=SEEDS_EACH, example="2")
            for place, typed in enumerate(getattr(tested, kind), 1)
        ]
        read |= {kind: [count for count in counts if count is not None]} if counts else {}
    if result is not None and not words.mistakes:
        words.add(*seedling_mistakes(result.normal, read))
    reader.add(*words.mistakes)
    reader.notes.extend(words.notes)
    return read


def _count(typed: Typed, place: int) -> int | ReplicatesWrong:
    try:
        value = read_amount(typed).value
    except Mistake:
        value = None
    if value is None or value != int(value):
        return ReplicatesWrong(f"Replicate {place} reads {typed_text(typed)!r}. Give whole seedlings, such as 94.")
    return int(value)
