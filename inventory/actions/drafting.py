"""A run being filled, outside the ledger: started, filled spout by spout by several people, then booked or thrown away.

What is typed is kept as typed. Booking goes through `running.book_run` with these words, so that there is one rule.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from datetime import datetime
from typing import Any

from django.contrib.auth.models import User

from inventory.actions.acting import Booked, action, preparing
from inventory.actions.desk import Desk, Typed
from inventory.actions.reader import Reader
from inventory.actions.running import Out, Run, book_run
from inventory.models import RunDraft, Station
from inventory.queries.drafts import find_draft, kept_word
from inventory.queries.runs import next_run_number, standing_runs
from inventory.rules.drafts import ALONE, BookedAlready, FilledMeanwhile, NoDraftField, RunNumberTaken
from inventory.rules.kinds import STREAMS
from inventory.rules.reading import typed_text
from inventory.rules.runs import UnknownStream, read_machines

_PARK = "loss_over_allowed"
_OUT_FIELDS = tuple(field.name for field in fields(Out))


@dataclass(frozen=True, kw_only=True)
class RunStart:
    """What is known when a run starts; without a number it takes the next one."""

    feed_lot: Typed
    machines: str
    number: str = ""
    feed: Typed = None
    feed_place: str = ""
    feed_bags: Typed = ""
    settings: str = ""
    is_cleaned_out: bool = False


@dataclass(frozen=True, kw_only=True)
class Filling:
    """What one person fills in: spouts by stream, lots that come out by their position (1, 2 …), other words.

    Attributes:
        seen: what stood in a field ("spouts.throughs", "outs.1.mass", "words.feed") when it was filled in here; what
            somebody else wrote there since is asked about. Without it the newest word stands.
    """

    spouts: Mapping[str, Typed] | None = None
    outs: Mapping[int, Mapping[str, Typed]] | None = None
    words: Mapping[str, Typed] | None = None
    seen: Mapping[str, str] | None = None


@preparing("clean")
def start_run(start: RunStart, *, station: Station, by: User, now: datetime | None = None) -> RunDraft:
    """Start a run as a draft; whether the line was cleaned out is ticked here.

    Raises:
        Refused: no such lot or machine, or the number is taken.
    """
    reader = Reader(Desk(station, now))
    number = reader.text(start.number or next_run_number(station), "run", "R14", 20)
    known = reader.lot(start.feed_lot, "feed_lot")
    reader.attempt(lambda: read_machines(start.machines))
    _read_words(reader, {"feed": start.feed})
    if standing_runs(station).filter(number=number).exists() or _is_open(station, number):
        reader.add(RunNumberTaken(number))
    reader.finish()
    if known is None:
        raise AssertionError("finish() lets nothing unread through")
    # What stands under this number still was taken back: the number is free again.
    RunDraft.objects.filter(station=station, number=number).delete()
    words = {name: typed_text(getattr(start, name)) for name in ALONE if getattr(start, name, None) not in (None, "")}
    typed = {"words": words, "is_cleaned_out": start.is_cleaned_out, "spouts": {}, "outs": {}}
    return RunDraft.objects.create(station=station, number=number, started_by=by, feed_lot=known.lot, typed=typed)


def _is_open(station: Station, number: str) -> bool:
    return RunDraft.objects.filter(station=station, number=number, booked=None).exists()


@preparing("clean")
def fill_run(
    number: str, filling: Filling, *, station: Station, by: User, now: datetime | None = None
) -> RunDraft:  # fmt: skip
    """Fill in some of a run; what others filled in meanwhile stays, an empty text clears a field.

    Raises:
        Refused: no such draft, it was booked, a mass cannot be read, or somebody else wrote there meanwhile.
    """
    reader = Reader(Desk(station, now))
    draft = reader.attempt(lambda: _locked(station, number))
    _check(reader, filling)
    if draft is not None:
        reader.add(*_meanwhile(draft, filling, by))
    reader.finish()
    if draft is None:
        raise AssertionError("finish() lets nothing unread through")
    _merge(draft.typed["spouts"], filling.spouts or {})
    _merge(draft.typed["words"], filling.words or {})
    for position, words in (filling.outs or {}).items():
        _merge(draft.typed["outs"].setdefault(str(position), {}), words)
    draft.typed.setdefault("who", {}).update(dict.fromkeys(filled_in(filling), by.get_username()))
    draft.save(update_fields=["typed"])
    return draft


def filled_in(filling: Filling) -> dict[str, str]:
    """Name each field that is filled in with what is written there."""
    parts = {"spouts": filling.spouts or {}, "words": filling.words or {}}
    parts |= {f"outs.{position}": words for position, words in (filling.outs or {}).items()}
    return {f"{part}.{name}": typed_text(value) for part, typed in parts.items() for name, value in typed.items()}


def _meanwhile(draft: RunDraft, filling: Filling, by: User) -> Iterator[FilledMeanwhile]:
    """Find what somebody else wrote into the same fields since this person saw them."""
    seen = filling.seen or {}
    for name, yours in filled_in(filling).items():
        who, theirs = draft.typed.get("who", {}).get(name, ""), kept_word(draft, name)
        if name in seen and who not in ("", by.get_username()) and theirs not in (seen[name], yours.strip()):
            yield FilledMeanwhile(name, who, theirs, yours)


def _locked(station: Station, number: str) -> RunDraft:
    """Find a draft that is not booked and lock it: two people fill one draft, and neither loses a spout."""
    draft = RunDraft.objects.select_for_update().get(pk=find_draft(station, number).pk)
    if draft.booked_id is not None:
        raise BookedAlready(draft.number)
    return draft


def _check(reader: Reader, filling: Filling) -> None:
    """Read every mass now, so that a slip is said where it is typed; what is kept is the text."""
    for stream, typed in (filling.spouts or {}).items():
        if stream not in STREAMS:
            reader.add(UnknownStream(stream, STREAMS))
        else:
            _read_mass(reader, stream, typed)
    for position, words in (filling.outs or {}).items():
        if not re.fullmatch("[1-9][0-9]?", str(position)):
            reader.add(NoDraftField(str(position), ("lots that come out, by their position 1 to 99",)))
        reader.add(*(NoDraftField(name, _OUT_FIELDS) for name in words if name not in _OUT_FIELDS))
        _read_mass(reader, "mass", words.get("mass"))
    reader.add(*(NoDraftField(name, ALONE) for name in filling.words or {} if name not in ALONE))
    _read_words(reader, filling.words or {})


def _read_words(reader: Reader, words: Mapping[str, Typed]) -> None:
    for name in ("feed", "unaccounted"):
        _read_mass(reader, name, words.get(name))


def _read_mass(reader: Reader, field: str, typed: Typed) -> None:
    reader.mass(typed.strip() if isinstance(typed, str) else typed, field, needed=False)


def _merge(kept: dict[str, str], typed: Mapping[str, Typed]) -> None:
    for name, value in typed.items():
        kept[name] = typed_text(value)
        if not kept[name].strip():
            del kept[name]


@preparing("clean")
def discard_draft(number: str, *, station: Station, by: User) -> None:  # noqa: ARG001 - `preparing` asks who it is
    """Throw away a draft that was not booked; its number is free again.

    Raises:
        Refused: no such draft, or it was booked: then the run is reversed.
    """
    reader = Reader(Desk(station))
    draft = reader.attempt(lambda: _locked(station, number))
    reader.finish()
    if draft is not None:
        draft.delete()


@action("clean")
def book_draft(
    number: str, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Book a draft with the words that were filled in: `book_run` with these.

    Raises:
        Refused: all that stands in the way of the run.
    """
    reader = Reader(Desk(station, now))
    draft = reader.attempt(lambda: _locked(station, number))
    reader.finish()
    if draft is None:
        raise AssertionError("finish() lets nothing unread through")
    booked = book_run(run_of(draft), station=station, by=by, key=key, reason=reason, answers=answers, now=now)
    draft.booked = booked.operations[0]
    draft.save(update_fields=["booked"])
    return booked


@action("clean")
def park_draft(
    number: str, *, station: Station, by: User, reason: str, key: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Book a draft that misses more than it may lose and leave it open; what is found later is added to it.

    Args:
        reason: what is still looked for; kept as the answer to what is missing.

    Raises:
        Refused: no reason, or all that stands in the way of the run.
    """
    reader = Reader(Desk(station, now))
    why = reader.reason(reason, "an open run")
    reader.finish()
    return book_draft(
        number, station=station, by=by, key=key, reason=why, answers={**(answers or {}), _PARK: why}, now=now
    )  # fmt: skip


def run_of(draft: RunDraft) -> Run:
    """Word a draft as the run that will be booked."""
    typed: dict[str, Any] = draft.typed
    outs = [typed["outs"][position] for position in sorted(typed["outs"], key=int)]
    return Run(
        number=draft.number,
        feed_lot=draft.feed_lot.number,
        outs=tuple(Out(**{"mass": "", **words}) for words in outs if words),
        taken_off=typed["spouts"],
        is_cleaned_out=typed["is_cleaned_out"],
        **{"machines": "", **typed["words"]},
    )
