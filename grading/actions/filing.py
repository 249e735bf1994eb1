"""The register of kept samples: put on the shelf, taken out by whom, discarded when."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.contrib.auth.models import User

from grading.actions.bench import Bench
from grading.models import FileSample, Sample
from grading.models.filing import DISCARDED, KEPT, TAKEN_OUT
from grading.queries.filed import newest_filed
from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Typed
from inventory.actions.drafts import Draft
from inventory.actions.origin import entered
from inventory.actions.posting import post_all
from inventory.actions.reader import Reader
from inventory.models import Station
from inventory.rules.dates import read_date
from inventory.rules.mistakes import Mistake

KEPT_DAYS = 365  # a year, as one state asks of the plant; common practice elsewhere
STATES = ("uncleaned", "cleaned")


class NotOnShelf(Mistake):
    """A kept sample that is not where it could be taken from."""

    code = "not_on_shelf"

    def __init__(self, number: str, event: str) -> None:
        now = {TAKEN_OUT: "it was taken out and not put back", DISCARDED: "it was discarded"}
        says = f"{number} is not on its shelf: {now.get(event, 'nobody wrote down where it was put')}."
        super().__init__(f"{says} Write down where it stands first.", field="sample")


class WasDiscarded(Mistake):
    """A sample that was discarded and is to be kept again."""

    code = "was_discarded"

    def __init__(self, number: str) -> None:
        says = f"{number} was discarded. Take that act back if it was not, or draw another sample."
        super().__init__(says, field="sample")


class KeptIntoThePast(Mistake):
    """A day until which something is kept that lies before it is kept."""

    code = "kept_into_the_past"

    def __init__(self, until: date, on: date) -> None:
        super().__init__(f"It is kept from {on} until {until}, a day before. Check the year.", field="until")


class NoSuchState(Mistake):
    """A kept sample that is neither uncleaned nor cleaned."""

    code = "unknown_word"

    def __init__(self, typed: str) -> None:
        super().__init__(f"State reads {typed[:20]!r}. Give uncleaned or cleaned, or leave it out.", field="state")


@dataclass(frozen=True, kw_only=True)
class Shelved:
    """A sample put on its shelf; without a day it is kept for a year."""

    sample: Typed
    place: Typed
    until: Typed = None
    state: Typed = ""
    at: Typed = None


@dataclass(frozen=True, kw_only=True)
class TakenOut:
    """A kept sample taken out, and by whom where it is not whoever writes it down."""

    sample: Typed
    who: Typed = ""
    at: Typed = None


@dataclass(frozen=True, kw_only=True)
class Discarded:
    """A kept sample thrown away."""

    sample: Typed
    at: Typed = None


@action("sample")
def keep_file_samples(
    items: Sequence[Shelved], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Put samples on their shelf, or say that they stand elsewhere now; all or none.

    Raises:
        Refused: a sample is not known or was discarded, or the day lies in the past.
    """
    bench = Bench(Desk(station, now))
    drafts = [_shelved(bench, Reader(bench.desk, answers), item, by=by, key=key, reason=reason) for item in items]
    return Booked(tuple(post_all(drafts)))


@action("sample")
def take_file_samples_out(
    items: Sequence[TakenOut], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Write down who took kept samples out; all or none.

    Raises:
        Refused: a sample is not on its shelf.
    """
    bench, drafts = Bench(Desk(station, now)), []
    for item in items:
        reader = Reader(bench.desk, answers)
        who = reader.text(item.who, "who", "the head grader", 150, needed=False) or by.get_username()
        sample, at = _on_shelf(bench, reader, item.sample), reader.when(item.at)
        drafts.append(_draft(reader, sample, TAKEN_OUT, by=by, at=at, key=key, reason=reason, who=who))
    return Booked(tuple(post_all(drafts)))


@action("sample")
def discard_file_samples(
    items: Sequence[Discarded], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Write down that kept samples were thrown away; all or none.

    Raises:
        Refused: a sample is not on its shelf.
    """
    bench, drafts = Bench(Desk(station, now)), []
    for item in items:
        reader = Reader(bench.desk, answers)
        sample, at = _on_shelf(bench, reader, item.sample), reader.when(item.at)
        drafts.append(_draft(reader, sample, DISCARDED, by=by, at=at, key=key, reason=reason))
    return Booked(tuple(post_all(drafts)))


def _shelved(bench: Bench, reader: Reader, item: Shelved, *, by: User, key: str, reason: str) -> Draft:
    at = reader.when(item.at)
    sample = bench.sample(reader, item.sample)
    place = reader.text(item.place, "place", "shelf 4", 60)
    state = str(item.state or "").strip().casefold()
    on = bench.desk.local_day(at)
    until = on + timedelta(days=KEPT_DAYS)
    if item.until not in (None, ""):
        read = reader.attempt(lambda: read_date(item.until, field="until"))
        until = read.value if read else until
        reader.notes.extend(read.notes if read else ())
    if until < on:
        reader.add(KeptIntoThePast(until, on))
    if state not in ("", *STATES):
        reader.add(NoSuchState(state))
    if sample and _event(sample) == DISCARDED:
        reader.add(WasDiscarded(sample.number))
    return _draft(reader, sample, KEPT, by=by, at=at, key=key, reason=reason, place=place, until=until, state=state)


def _on_shelf(bench: Bench, reader: Reader, typed: Typed) -> Sample | None:
    sample = bench.sample(reader, typed)
    if sample and (event := _event(sample)) != KEPT:
        reader.add(NotOnShelf(sample.number, event))
    return sample


def _event(sample: Sample) -> str:
    newest = newest_filed(sample.station, [sample.pk]).get(sample.pk)
    return newest.event if newest else ""


def _draft(
    reader: Reader, sample: Sample | None, event: str, *, by: User, at: datetime, key: str, reason: str, **kept: object
) -> Draft:
    facts = {"sample": sample.number if sample else "", "event": event, "place": str(kept.get("place", ""))}
    rows = [FileSample(station=reader.desk.station, sample=sample, event=event, **kept)] if sample else []
    return entered(reader, facts, by=by, at=at, kind="file sample", reason=reason, key=key, rows=rows)
