"""Runs over the cleaning line: clean, size and sort. One feed, any number of lots out, every spout weighed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from django.contrib.auth.models import User

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Known, Typed
from inventory.actions.drafts import Draft, EntryDraft, LinkDraft, links_to_lot, outside, seed
from inventory.actions.posting import post_all
from inventory.actions.reader import Missing, Reader
from inventory.actions.taking import Taken, take
from inventory.models import Identity, Lot, Place, RunRecord, Station
from inventory.queries.runs import newest_under, runs_of_day
from inventory.rules import runs as rules
from inventory.rules.kinds import STREAMS
from inventory.rules.nodes import NodeKind


@dataclass(frozen=True, kw_only=True)
class Out:
    """A lot that came out of a run; without a place it stands at the end of the line."""

    mass: Typed
    lot: Typed = None
    place: str = ""


@dataclass(frozen=True, kw_only=True)
class Run:
    """A run as it was typed; masses may carry their own unit, else they are in `unit`."""

    number: str
    machines: str
    feed_lot: Typed
    feed: Typed = None
    feed_place: str = ""
    feed_bags: Typed = ""
    outs: Sequence[Out] = ()
    taken_off: Mapping[str, Typed] = field(default_factory=dict)
    unaccounted: Typed = None
    is_cleaned_out: bool = True
    settings: str = ""
    unit: str = "kg"
    at: Typed = None


@dataclass(frozen=True)
class OutRead:
    """A lot that came out, as read."""

    lot: Lot
    mg: int
    place: Place


@action("clean")
def book_run(
    run: Run, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Book one run: `book_runs` with one."""
    return book_runs([run], station=station, by=by, key=key, reason=reason, answers=answers, now=now)


@action("clean")
def book_runs(
    runs: Sequence[Run], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Book runs in their order, each balanced to the milligram with the gap as unaccounted; all or none.

    Raises:
        Refused: everything that stands in the way of the first run that cannot be booked.
    """
    desk = Desk(station, now)
    drafts = [plan_run(Reader(desk, answers), run, by=by, key=key, reason=reason) for run in runs]
    return Booked(tuple(post_all(drafts)))


def plan_run(reader: Reader, run: Run, *, by: User, key: str = "", reason: str = "") -> Draft:
    """Plan a run on the reader's desk.

    Raises:
        Refused: all that stands in the way of this run.
    """
    at = reader.when(run.at)
    reader.text(run.number, "run", "R14", 20)
    if before := newest_under(reader.desk.station, run.number):
        reader.notes.append(rules.NumberAgain(before.number, reader.desk.local_day(before.operation.at)))
    reader.note_typed(**{name: value for name, value in vars(run).items() if name not in ("outs", "taken_off")})
    machines = reader.attempt(lambda: rules.read_machines(run.machines)) or ()
    if not machines:
        reader.add(*([] if reader.has_errors else [Missing("machine", "air-screen")]))
    fed = _feed(reader, run)
    outs = reader.each("outs", run.outs, lambda out: _out(reader, run, out, at), out="mass")
    if not run.outs:
        reader.add(Missing("out_lot", "the lot number and mass that came out"))
    taken_off = _taken_off(reader, run)
    if fed is not None:
        _hold_against_feed(reader, run, fed.mg, (sum(out.mg for out in outs), sum(taken_off.values())))
        reader.add(*rules.fed_before(fed.known.lot.number, fed.mg, _fed_before(reader, fed, machines, at)))
    facts = reader.finish()
    if fed is None:
        raise AssertionError("finish() lets no run through without its feed")
    _fed_before(reader, fed, machines, at).append((run.number, fed.mg))
    facts["settings"] = run.settings
    draft = Draft(
        kind=rules.kind_of_run(machines), station=reader.desk.station, by=by, at=at, reason=reason, key=key,
        facts=facts, entries=_entries(fed, outs, taken_off), links=_links(fed, outs),
        rows=[_record(reader, run, fed, machines), *_identities(reader, fed.known, outs)],
    )  # fmt: skip
    return reader.desk.plan(draft)


def _feed(reader: Reader, run: Run) -> Taken | None:
    known = reader.lot(run.feed_lot, "feed_lot")
    mass = reader.positive(run.feed, "feed", run.unit)
    if known is None or mass is None:
        return None
    return take(reader, known, mass.mg, place=run.feed_place, bags=run.feed_bags)


def _out(reader: Reader, run: Run, out: Out, at: datetime) -> OutRead | None:
    mass = reader.positive(out.mass, "out", run.unit)
    place = reader.place(out.place or reader.desk.station.line_end)
    lot = reader.attempt(lambda: reader.desk.new_lot(out.lot, at, reader.notes))
    return OutRead(lot, mass.mg, place) if mass and place and lot else None


def _taken_off(reader: Reader, run: Run) -> dict[str, int]:
    """Read what was taken off, by stream; a zero is a spout that gave nothing."""
    taken: dict[str, int] = {}
    for stream, typed in run.taken_off.items():
        if stream not in STREAMS:
            with reader.within(f"taken_off.{stream}"):
                reader.add(rules.UnknownStream(stream, STREAMS))
            continue
        reader.note_typed(**{stream: typed})
        with reader.within("taken_off", run.taken_off):
            mass = reader.mass(typed, stream, run.unit, needed=False)
        if mass and mass.mg:
            taken[stream] = mass.mg
    return taken


def _hold_against_feed(reader: Reader, run: Run, fed_mg: int, out_and_off: tuple[int, int]) -> None:
    """Hold clean seed and what was taken off against the feed [mg]."""
    out_mg, off_mg = out_and_off
    if not reader.has_errors:
        allowed = rules.allowed_loss_ppm(rules.read_machines(run.machines))
        reader.add(*rules.balance_mistakes(fed_mg, out_mg, off_mg, allowed))
    written = reader.mass(run.unaccounted, "unaccounted", run.unit, needed=False)
    left = fed_mg - out_mg - off_mg
    if written is not None and not reader.has_errors and written.mg != left:
        reader.add(rules.UnaccountedDiffers(written.mg, left))


def _fed_before(reader: Reader, fed: Taken, machines: Sequence[str], at: datetime) -> list[tuple[str, int]]:
    """That day's runs of the lot over the same machines, in the books and on this desk: number and feed [mg]."""
    what = ("run", fed.known.lot.pk, tuple(machines), reader.desk.local_day(at))
    if what not in reader.desk.seen:
        reader.desk.seen[what] = runs_of_day(reader.desk.station, fed.known.lot, machines, at, reader.desk.zone)
    return reader.desk.seen[what]


def _entries(fed: Taken, outs: Sequence[OutRead], taken_off: Mapping[str, int]) -> list[EntryDraft]:
    clean = [seed(out.lot.pk, out.place.pk, out.mg) for out in outs]
    off = [outside("screenings", mg, stream) for stream, mg in taken_off.items()]
    missing = fed.mg - sum(entry.mg for entry in (*clean, *off))
    gap = [outside("unaccounted", missing)] if missing else []
    return [*fed.entries, *clean, *off, *gap]


def _links(fed: Taken, outs: Sequence[OutRead]) -> list[LinkDraft]:
    return [link for out in outs for link in links_to_lot(out.lot.pk, [(NodeKind.LOT, fed.known.lot.pk, fed.mg)])]


def _record(reader: Reader, run: Run, fed: Taken, machines: Sequence[str]) -> RunRecord:
    return RunRecord(
        station=reader.desk.station,
        number=run.number,
        machines=" + ".join(machines),
        feed_lot=fed.known.lot,
        feed_mg=fed.mg,
        is_cleaned_out=run.is_cleaned_out,
        allowed_loss_ppm=rules.allowed_loss_ppm(machines),
    )


def _identities(reader: Reader, parent: Known, outs: Sequence[OutRead]) -> list[Identity]:
    return [
        Identity(
            station=reader.desk.station,
            lot=out.lot,
            line_id=parent.line_id,
            market_class_id=parent.market_class_id,
            opening_mg=out.mg,
            crop_year=parent.crop_year,
        )
        for out in outs
    ]
