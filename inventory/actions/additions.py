"""A late addition to a run: screenings that were weighed after it was booked. A dated act of its own."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Typed
from inventory.actions.drafts import Draft, outside
from inventory.actions.posting import post
from inventory.actions.reader import Missing, Reader
from inventory.models import RunRecord, Station
from inventory.queries.runs import balances, find_run
from inventory.rules.kinds import STREAMS
from inventory.rules.runs import AddedBeforeRun, MoreThanMissing, UnknownStream


@dataclass(frozen=True, kw_only=True)
class Addition:
    """What was found, as it was typed: stream -> mass."""

    run: str
    taken_off: Mapping[str, Typed]
    unit: str = "kg"
    at: Typed = None


@action("late addition")
def add_to_run(
    addition: Addition, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Add what a run's spouts gave and was weighed late; it comes out of the unaccounted mass.

    Raises:
        Refused: no such run, more than is missing, or something cannot be read.
    """
    reader = Reader(Desk(station, now), answers)
    return Booked((post(plan_addition(reader, addition, by=by, key=key, reason=reason)),))


def plan_addition(reader: Reader, addition: Addition, *, by: User, key: str = "", reason: str = "") -> Draft:
    """Plan a late addition on the reader's desk.

    Raises:
        Refused: all that stands in the way.
    """
    at = reader.when(addition.at)
    reader.note_typed(run=addition.run, **addition.taken_off, at=addition.at)
    run = reader.attempt(lambda: _locked(reader.desk.station, addition.run))
    found = _found(reader, addition)
    if run is not None and found:
        _hold_against_run(reader, run, sum(found.values()), at)
    facts = reader.finish()
    if run is None:
        raise AssertionError("finish() lets nothing unread through")
    entries = [outside("screenings", mg, stream) for stream, mg in found.items()]
    draft = Draft(
        kind="late addition", station=reader.desk.station, by=by, at=at, reason=reason, key=key, facts=facts,
        entries=[*entries, outside("unaccounted", -sum(found.values()))], about=run.operation,
    )  # fmt: skip
    return reader.desk.plan(draft)


def _locked(station: Station, number: str) -> RunRecord:
    """Find the run and lock it: two additions at once must not both use the same missing mass."""
    run = find_run(station, number)
    RunRecord.objects.select_for_update().get(pk=run.pk)
    return run


def _found(reader: Reader, addition: Addition) -> dict[str, int]:
    if not addition.taken_off:
        reader.add(Missing("stream", "throughs 17.5 kg"))
    found: dict[str, int] = {}
    for stream, typed in addition.taken_off.items():
        if stream not in STREAMS:
            with reader.within(f"taken_off.{stream}"):
                reader.add(UnknownStream(stream, STREAMS))
            continue
        with reader.within("taken_off", addition.taken_off):
            mass = reader.positive(typed, stream, addition.unit)
        if mass:
            found[stream] = mass.mg
    return found


def _hold_against_run(reader: Reader, run: RunRecord, found_mg: int, at: datetime) -> None:
    balance = balances([run])[0]
    if found_mg > balance.unaccounted_mg:
        reader.add(MoreThanMissing(run.number, found_mg, balance.unaccounted_mg))
    day, ran_on = reader.desk.local_day(at), reader.desk.local_day(run.operation.at)
    if day < ran_on:
        reader.add(AddedBeforeRun(run.number, day, ran_on))
