"""Grade portions of samples; a finding that stops grading holds the lot at once."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, TypeVar

from django.contrib.auth.models import User

from grading.actions.bench import Bench
from grading.actions.portions import ReadPortion, Worked, read_worked
from grading.actions.regrading import blind_mistakes, kept_sample
from grading.actions.sampling import Sampled, expect_sampled, plan_sample
from grading.actions.stopping import plan_stop_hold
from grading.models import Sample
from inventory.actions.acting import Booked, action, require
from inventory.actions.desk import Desk, Typed
from inventory.actions.drafts import Draft
from inventory.actions.posting import post_all
from inventory.actions.reader import Reader
from inventory.models import Load, Lot, Operation, Station
from inventory.rules.mistakes import Mistake, Note, Refused

T = TypeVar("T")


class GradedBeforeDrawn(Mistake):
    """A portion worked on a day before its sample was drawn."""

    code = "graded_before_drawn"

    def __init__(self, sample: str, drawn: str, graded: str) -> None:
        says = f"{sample} was drawn on {drawn} and graded on {graded}, before it. Check both days."
        super().__init__(says, field="at")


@dataclass(frozen=True, kw_only=True)
class SampledAndWorked:
    """A sample and the portion that was picked of it, as one row of a bench sheet has them."""

    sample: Sampled
    portion: Worked


@dataclass(frozen=True)
class Planned:
    """A portion that waits for its sample's row; `facts` are kept with the grading."""

    lot: Lot
    read: ReadPortion
    at: datetime
    facts: dict[str, Any]


@action("grade")
def grade_portion(
    worked: Worked, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Grade one portion: `grade_portions` with one."""
    return grade_portions([worked], station=station, by=by, key=key, reason=reason, answers=answers, now=now)


@action("grade")
def grade_portions(
    portions: Sequence[Worked], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None, load: Load | None = None,
) -> Booked:  # fmt: skip
    """Grade portions of samples that stand in the books; all or none.

    Args:
        answers: code of a question -> the reason for going on; kept with the act.

    Raises:
        Refused: everything that stands in the way of the first portion that cannot be booked.
    """
    bench = Bench(Desk(station, now))
    bench.expect_samples([worked.sample for worked in portions])
    planned: list[tuple[Sample, Planned]] = []
    for worked in portions:
        reader = Reader(bench.desk, answers)
        sample = bench.sample(reader, worked.sample)
        drawn = sample.operation.at if sample else bench.desk.now
        if sample and sample.is_blind:
            laid_out_by = sample.operation.by.get_username()
            reader.add(*blind_mistakes(sample, _grader(worked, by), laid_out_by=laid_out_by))
        plan = _plan_portion(bench, reader, worked, lot=sample.lot if sample else None, drawn=drawn, by=by)
        if sample is None or plan is None:
            raise AssertionError("finish() lets no portion through without its sample")
        planned.append((sample, plan))
    return Booked(tuple(_post(planned, station=station, by=by, key=key, reason=reason, load=load)))


@action("grade")
def sample_and_grade(
    item: SampledAndWorked, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Take and grade one sample: `sample_and_grade_all` with one."""
    return sample_and_grade_all([item], station=station, by=by, key=key, reason=reason, answers=answers, now=now)


@action("grade")
def sample_and_grade_all(
    items: Sequence[SampledAndWorked], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None, load: Load | None = None,
) -> Booked:  # fmt: skip
    """Take samples and grade their portions in one transaction: all samples first, then their gradings; all or none.

    Raises:
        Refused: everything that stands in the way of the first item that cannot be booked.
    """
    require(by, "sample", station)
    bench = Bench(Desk(station, now))
    expect_sampled(bench, [item.sample for item in items])
    drafts, plans = [], []
    for item in items:
        draft, plan = plan_both(bench, item, answers, by=by, key=key, reason=reason)
        draft.load = load
        drafts.append(draft)
        plans.append(plan)
    drawn = post_all(drafts)
    samples = [next(row for row in draft.rows if isinstance(row, Sample)) for draft in drafts]
    planned = list(zip(samples, plans, strict=True))
    return Booked((*drawn, *_post(planned, station=station, by=by, key=key, reason=reason, load=load)))


def plan_both(
    bench: Bench, item: SampledAndWorked, answers: Mapping[str, str] | None, *, by: User, key: str = "",
    reason: str = "", notes: list[Note] | None = None,
) -> tuple[Draft, Planned]:  # fmt: skip
    """Plan a sample and its portion, and say at once what is wrong with either.

    Args:
        notes: takes what is noted, where somebody wants to know.

    Raises:
        Refused: all that stands in the way of the two.
    """
    wrong: list[Mistake] = []
    lot = _lot_of(bench, item.sample)
    drawing, reader = Reader(bench.desk, answers), Reader(bench.desk, answers)
    draft = _gathered(wrong, lambda: plan_sample(bench, drawing, item.sample, by=by, key=key, reason=reason))
    worked = replace(item.portion, at=item.portion.at or item.sample.at, sample=None)
    if draft:
        taken = next(row for row in draft.rows if isinstance(row, Sample))
        reader.add(*blind_mistakes(taken, _grader(worked, by), laid_out_by=by.get_username()))
    drawn = draft.at if draft else _day_of(bench, item.sample.at)
    plan = _gathered(wrong, lambda: _plan_portion(bench, reader, worked, lot=lot, drawn=drawn, by=by))
    if notes is not None:
        notes.extend((*drawing.notes, *reader.notes))
    if wrong or draft is None or plan is None:
        raise Refused(list({mistake.says: mistake for mistake in wrong}.values()))
    return draft, plan


def _plan_portion(
    bench: Bench, reader: Reader, worked: Worked, *, lot: Lot | None, drawn: datetime, by: User
) -> Planned | None:
    at = drawn if worked.at in (None, "") else reader.when(worked.at)
    days = bench.desk.local_day(drawn), bench.desk.local_day(at)
    if days[1] < days[0]:
        name = str(worked.sample or "The sample")
        reader.add(GradedBeforeDrawn(name, days[0].isoformat(), days[1].isoformat()))
    lot_class = bench.class_of(bench.desk.known(lot)) if lot else ""
    if lot is None and not worked.class_name:
        reader.finish()
        return None  # the missing lot is said by whoever read it
    read = read_worked(reader, worked, lot_class=lot_class, on=days[0], by_name=by.get_username())
    facts = reader.finish()
    return Planned(lot, read, at, facts) if lot and read else None


def _post(
    planned: Sequence[tuple[Sample, Planned]], *, station: Station, by: User, key: str, reason: str, load: Load | None
) -> list[Operation]:
    return post_all(plan_gradings(planned, station=station, by=by, key=key, reason=reason, load=load))


def plan_gradings(
    planned: Sequence[tuple[Sample, Planned]], *, station: Station, by: User, key: str = "", reason: str = "",
    load: Load | None = None,
) -> list[Draft]:  # fmt: skip
    """Draft the gradings of samples that were posted, then the holds of lots whose portions were stopped."""
    drafts, holds = [], []
    for sample, plan in planned:
        drafts.append(
            Draft(
                kind="grade", station=station, by=by, at=plan.at, reason=reason, key=key, load=load,
                facts={**plan.facts, "sample": sample.number}, about=sample.operation, rows=[plan.read.row(sample)],
            )
        )  # fmt: skip
        if stops := plan.read.portion.stops:
            holds.append(plan_stop_hold(sample, stops, station=station, by=by, at=plan.at, key=key, load=load))
    return [*drafts, *holds]


def _grader(worked: Worked, by: User) -> str:
    return worked.grader.strip() or by.get_username()


def _lot_of(bench: Bench, sampled: Sampled) -> Lot | None:
    if sampled.blind or sampled.file_sample_of not in (None, ""):
        kept = kept_sample(bench, Reader(bench.desk), sampled.file_sample_of, is_blind=sampled.blind)
        return kept.lot if kept else None
    known = bench.lot(sampled.lot)
    return known.lot if known else None


def _day_of(bench: Bench, typed: Typed) -> datetime:
    return Reader(bench.desk).when(typed)


def _gathered(wrong: list[Mistake], plan: Callable[[], T]) -> T | None:
    try:
        return plan()
    except Refused as refused:
        wrong.extend(refused.mistakes)
        return None
