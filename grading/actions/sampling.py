"""Take samples: draw seed by a stated sampling scheme, or take a kept file sample out again."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from math import ceil
from typing import Any

from django.contrib.auth.models import User

from grading.actions.bench import Bench
from grading.actions.regrading import kept_sample
from grading.models import Sample
from grading.rules.sampling import SCHEMES, Sampling, sampling
from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Known, Typed
from inventory.actions.drafts import Draft
from inventory.actions.expecting import expect_lots
from inventory.actions.posting import post_all
from inventory.actions.reader import Reader
from inventory.actions.sampling import Drawing, plan_draw
from inventory.models import Load, Station
from inventory.rules.amounts import read_amount
from inventory.rules.kinds import BLIND
from inventory.rules.mass import MG_PER_KG
from inventory.rules.mistakes import Mistake, Note

MOST_POINTS = 10_000


class ShortSampling(Note):
    """Fewer points were probed than the scheme asks."""

    code = "short_sampling"

    def __init__(self, says: str) -> None:
        super().__init__(f"{says} The sampling was short; that is said with the grade.", field="points")


class NothingDrawn(Note):
    """No mass was given for what was drawn."""

    code = "nothing_drawn"

    def __init__(self, what: str) -> None:
        super().__init__(f"No mass was given for this {what}: nothing was taken off the lot.", field="mass")


class OtherLot(Mistake):
    """A file sample belongs to another lot than the one named."""

    code = "other_lot"

    def __init__(self, number: str, its_lot: str, typed: str) -> None:
        super().__init__(
            f"{number} is a sample of {its_lot}, not of {typed}. Check both tags; the lot may be left out.", field="lot"
        )


class NotACount(Mistake):
    """A number of points or bags that is no whole number."""

    code = "not_a_count"

    def __init__(self, field: str, typed: object) -> None:
        super().__init__(f"{field.capitalize()}: {typed} is no count. Give a whole number, such as 8.", field=field)


def _looks(says: str) -> Mapping[str, str]:
    return {"looks": says}


@dataclass(frozen=True, kw_only=True)
class Sampled:
    """A sample as it was typed; of a kept file sample only that one's number is needed.

    A blind one is graded by somebody who is not told which it is; without `file_sample_of` it is the next one due.
    `scheme` is an id of `SCHEMES`; left out, bags are taken by their number, and loose seed as standing in bins.
    """

    number: Typed = field(default=None, metadata=_looks("the tag's number, such as G03; without it the next one"))
    lot: Typed = None
    mass: Typed = field(default=None, metadata=_looks("what was drawn, such as 2; without it nothing leaves the lot"))
    points: Typed = field(default=None, metadata=_looks("how many points were probed, such as 10; said with the grade"))
    scheme: str = field(default="", metadata=_looks("bins, totes or bags; without it as the lot stands"))
    size: Typed = field(
        default=None, metadata=_looks("how many bins, totes or bags there are; without it as the books know")
    )
    file_sample_of: Typed = field(default=None, metadata=_looks("a kept sample that is graded once more, such as G03"))
    blind: bool = field(default=False, metadata=_looks("the grader is not told which sample it is"))
    place: Typed = ""
    bags: Typed = ""
    unit: str = "kg"
    at: Typed = None


@action("sample")
def take_sample(
    sampled: Sampled, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Take one sample: `take_samples` with one."""
    return take_samples([sampled], station=station, by=by, key=key, reason=reason, answers=answers, now=now)


@action("sample")
def take_samples(
    samples: Sequence[Sampled], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None, load: Load | None = None,
) -> Booked:  # fmt: skip
    """Take samples in their order; all or none.

    Raises:
        Refused: everything that stands in the way of the first sample that cannot be booked.
    """
    bench = Bench(Desk(station, now))
    expect_sampled(bench, samples)
    drafts = [
        plan_sample(bench, Reader(bench.desk, answers), sampled, by=by, key=key, reason=reason) for sampled in samples
    ]
    for draft in drafts:
        draft.load = load
    return Booked(tuple(post_all(drafts)))


def expect_sampled(bench: Bench, samples: Sequence[Sampled]) -> None:
    """Look up at once what these samples name."""
    expect_lots(bench.desk, [sampled.lot for sampled in samples if sampled.lot not in (None, "")])
    bench.samples.expect([sampled.number for sampled in samples if sampled.number not in (None, "")])
    bench.expect_samples([sampled.file_sample_of for sampled in samples])


def plan_sample(
    bench: Bench, reader: Reader, sampled: Sampled, *, by: User, key: str = "", reason: str = ""
) -> Draft:  # fmt: skip
    """Plan a sample on the bench; its row is the draft's only one.

    Raises:
        Refused: all that stands in the way of this sample.
    """
    if sampled.blind or sampled.file_sample_of not in (None, ""):
        return _plan_file_sample(bench, reader, sampled, by=by, key=key, reason=reason)
    at = reader.when(sampled.at)
    reader.note_typed(number=sampled.number, points=sampled.points, scheme=sampled.scheme, size=sampled.size)
    known = bench.lot(sampled.lot)
    number = bench.samples.take(reader, sampled.number, known.lot.number if known else "")
    probed = _count(reader, sampled.points, "points")
    asked = _asked(reader, sampled, known, probed)
    rows: list[Sample] = []
    if known and number and asked:
        rows = [_row(known, number, asked, probed)]
    facts = {"sample": number[0] if number else "", **_said(reader, asked, probed)}
    drawing = Drawing(
        lot=sampled.lot, mass=sampled.mass, place=sampled.place, bags=sampled.bags, unit=sampled.unit, at=at
    )  # fmt: skip
    if sampled.mass in (None, ""):
        return _plan_without_seed(reader, sampled.lot, at, rows, facts, by=by, key=key, reason=reason)
    draft = plan_draw(reader, drawing, by=by, key=key, reason=reason, rows=rows, facts=facts)
    rows[0].drawn_mg = -sum(entry.mg for entry in draft.entries if entry.mg < 0)
    return draft


def _plan_file_sample(
    bench: Bench, reader: Reader, sampled: Sampled, *, by: User, key: str, reason: str
) -> Draft:  # fmt: skip
    """A kept file sample goes to the bench under a new tag: no seed leaves the lot again."""
    at = reader.when(sampled.at)
    blind = "yes" if sampled.blind else ""
    reader.note_typed(number=sampled.number, file_sample_of=sampled.file_sample_of, lot=sampled.lot, blind=blind)
    kept = kept_sample(bench, reader, sampled.file_sample_of, is_blind=sampled.blind)
    number = bench.samples.take(reader, sampled.number, kept.lot.number if kept else "")
    if kept and sampled.lot not in (None, ""):
        known = reader.lot(sampled.lot)
        if known and known.lot.pk != kept.lot_id:
            reader.add(OtherLot(kept.number, kept.lot.number, known.lot.number))
    facts = reader.finish()
    if kept is None or number is None:
        raise AssertionError("finish() lets no file sample through unread")
    row = Sample(
        station=bench.desk.station, lot=kept.lot, number=number[0], take=number[1], scheme=kept.scheme, size=kept.size,
        points_asked=kept.points_asked, points_probed=kept.points_probed, file_sample_of=kept, is_blind=sampled.blind,
    )  # fmt: skip
    return Draft(
        kind="sample", station=bench.desk.station, by=by, at=at, reason=reason, key=key,
        about=kept.operation if kept.operation_id else None,
        facts={**facts, "sample": row.number, "file_sample_of": kept.number, **({BLIND: True} if row.is_blind else {})},
        rows=[row],
    )  # fmt: skip


def _plan_without_seed(
    reader: Reader, lot: Typed, at: datetime, rows: Sequence[Sample], facts: Mapping[str, Any], *, by: User,
    key: str, reason: str,
) -> Draft:  # fmt: skip
    reader.note_typed(lot=lot)
    reader.lot(lot)
    reader.notes.append(NothingDrawn("sample"))
    kept = {**reader.finish(), **facts}
    return Draft(
        kind="sample", station=reader.desk.station, by=by, at=at, reason=reason, key=key, facts=kept, rows=rows
    )


def _row(known: Known, number: tuple[str, int], asked: Sampling, probed: int | None) -> Sample:
    return Sample(
        station=known.lot.station, lot=known.lot, number=number[0], take=number[1], scheme=asked.scheme.id,
        size=asked.size, points_asked=asked.asked, points_probed=probed,
    )  # fmt: skip


def _asked(reader: Reader, sampled: Sampled, known: Known | None, probed: int | None) -> Sampling | None:
    """What the scheme asks of this lot."""
    slots = reader.desk.stock(known.lot) if known else {}
    bags = sum(1 for (_place, bag), mg in slots.items() if bag and mg)
    scheme = sampled.scheme.strip().casefold() or ("bags" if bags else "bins")
    size = _count(reader, sampled.size, "size")
    if size is None and scheme in SCHEMES:
        whole_kg = ceil(sum(slots.values()) / MG_PER_KG)
        size = max(1, {"bags": bags, "kg": whole_kg}.get(SCHEMES[scheme].counts, 1))
    return reader.attempt(lambda: sampling(scheme, 1 if size is None else size, probed or 0))


def _said(reader: Reader, asked: Sampling | None, probed: int | None) -> dict[str, str]:
    """Note a short sampling, and keep what was probed in words."""
    if asked is None or probed is None:
        return {}
    if not asked.is_enough:
        reader.notes.append(ShortSampling(asked.says))
    return {"sampling": asked.says}


def _count(reader: Reader, typed: Typed, field: str) -> int | None:
    if typed in (None, ""):
        return None
    read = reader.attempt(lambda: read_amount(typed, field=field))
    if read is None:
        return None
    if read.value != int(read.value) or not 0 <= read.value <= MOST_POINTS:
        reader.add(NotACount(field, typed))
        return None
    return int(read.value)
