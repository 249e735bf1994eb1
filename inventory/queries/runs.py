"""What the books say about runs over the line: what was fed, what came off, what is missing."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet

from inventory.models import Entry, Lot, Operation, RunDraft, RunRecord, Station
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import plain, quoted, typed_text
from inventory.rules.runs import percent_of

_LOOK_BACK = 50  # runs; a line that was not cleaned out for longer is named by these


class UnknownRun(Mistake):
    """No run of this number stands."""

    code = "unknown_run"

    def __init__(self, typed: str) -> None:
        super().__init__(f"No run {quoted(typed)} is in the books. Check its number, or book it first.", field="run")


@dataclass(frozen=True)
class RunBalance:
    """A run's balance with all that was added later [mg]."""

    number: str
    machines: str
    at: datetime
    feed_lot: str
    feed_mg: int
    allowed_ppm: int
    is_cleaned_out: bool
    outs: tuple[tuple[str, int], ...] = ()
    streams: Mapping[str, int] = field(default_factory=dict)
    unaccounted_mg: int = 0

    @property
    def unaccounted_pct(self) -> str:
        """Missing mass, percent of the feed with two decimals."""
        return percent_of(self.unaccounted_mg, self.feed_mg)

    @property
    def is_over(self) -> bool:
        """More is missing than the run may lose: it is left open until the rest is found."""
        return self.unaccounted_mg * 1_000_000 > self.allowed_ppm * self.feed_mg


@dataclass(frozen=True)
class Before:
    """A run that went before over the same machines."""

    number: str
    at: datetime
    lot: str
    line: str
    market_class: str


def standing_runs(station: Station) -> QuerySet[RunRecord]:
    """Runs that were not taken back, in the order in which they ran."""
    runs = RunRecord.objects.filter(station=station, operation__reversed_by__isnull=True)
    return runs.select_related("operation", "feed_lot__standing__line", "feed_lot__standing__market_class").order_by(
        "operation__at", "operation__seq"
    )


def newest_under(station: Station, number: str) -> RunRecord | None:
    """The newest run that stands under a number, written just so (1 query; 1 more where there was one)."""
    if not RunRecord.objects.filter(station=station, number=number).exists():
        return None
    return standing_runs(station).filter(number=number).last()


def find_run(station: Station, typed: object) -> RunRecord:
    """Find a run that stands by its number, in any case; the newest where a number was used again (1 query).

    Raises:
        UnknownRun: there is none.
    """
    number = plain(typed_text(typed))
    run = standing_runs(station).filter(number__iexact=number).last() if number else None
    if run is None:
        raise UnknownRun(number)
    return run


def run_balance(station: Station, number: object) -> RunBalance:
    """Balance a run with its late additions (3 queries).

    Raises:
        UnknownRun: there is none.
    """
    return balances([find_run(station, number)])[0]


def balances(runs: Iterable[RunRecord]) -> list[RunBalance]:
    """Balance runs with their late additions and with what was adjusted through them (2 queries for all)."""
    listed = list(runs)
    run_of = {run.operation_id: run.operation_id for run in listed}
    additions = Operation.objects.filter(
        kind__in=("late addition", "adjust"), about__in=list(run_of), reversed_by__isnull=True
    )
    run_of |= {pk: about for pk, about in additions.values_list("pk", "about_id") if about}
    entries: dict[int, list[Entry]] = defaultdict(list)
    for entry in Entry.objects.filter(operation__in=list(run_of)).select_related("lot", "operation").order_by("pk"):
        entries[run_of[entry.operation_id]].append(entry)
    return [_balance(run, entries[run.operation_id]) for run in listed]


def _balance(run: RunRecord, entries: Sequence[Entry]) -> RunBalance:
    streams: dict[str, int] = defaultdict(int)
    adjusted = [entry.mg for entry in entries if entry.operation.kind == "adjust" and entry.account == "unaccounted"]
    for entry in entries:
        if entry.account == "screenings":
            streams[entry.stream] += entry.mg
    return RunBalance(
        number=run.number,
        machines=run.machines,
        at=run.operation.at,
        feed_lot=run.feed_lot.number,
        feed_mg=run.feed_mg + sum(adjusted),  # what the feed brought in too much or too little went through the run
        allowed_ppm=run.allowed_loss_ppm,
        is_cleaned_out=run.is_cleaned_out,
        outs=tuple((entry.lot.number, entry.mg) for entry in entries if entry.lot and entry.mg > 0),
        streams=dict(streams),
        unaccounted_mg=sum(entry.mg for entry in entries if entry.account == "unaccounted"),
    )


def open_runs(station: Station) -> list[RunBalance]:
    """Runs that still miss more than they may lose, in the order in which they ran (3 queries)."""
    return [balance for balance in balances(standing_runs(station)) if balance.is_over]


def runs_between(station: Station, start: date, end: date) -> QuerySet[RunRecord]:
    """Runs from one local day to another, both within."""
    zone = ZoneInfo(station.zone)
    first, after = datetime.combine(start, time(), zone), datetime.combine(end, time(), zone) + timedelta(days=1)
    return standing_runs(station).filter(operation__at__gte=first, operation__at__lt=after)


def went_before(
    station: Station, machines: str, at: datetime, *, line_id: int | None, before: Operation | None = None
) -> list[Before]:
    """Runs of other lines that went over these machines since each was last cleaned out, the newest first (1 query).

    Args:
        machines: as a run keeps them, joined with " + ".
        at: the moment at which the machines are to be judged.
        line_id: the line that is fed; seed of the same line does not matter.
        before: a run that is booked already; what was entered before it at the same moment counts too.
    """
    earlier = Q(operation__at__lt=at)
    if before is not None:
        earlier |= Q(operation__at=at, operation__seq__lt=before.seq)
    dirty, found = set(machines.split(" + ")), list[Before]()
    for run in standing_runs(station).filter(earlier).reverse()[:_LOOK_BACK]:
        if not dirty:
            break
        shared = dirty & set(run.machines.split(" + "))
        if shared and run.feed_lot.standing.line_id != line_id:
            found.append(_before(run))
        if run.is_cleaned_out:
            dirty -= shared
    return found


def uncleaned_before(run: RunRecord) -> list[Before]:
    """What of other lines went over a run's machines since they were clean; nothing where its clean-out was ticked."""
    if run.is_cleaned_out:
        return []
    operation = run.operation
    line_id = run.feed_lot.standing.line_id
    return went_before(operation.station, run.machines, operation.at, line_id=line_id, before=operation)


def _before(run: RunRecord) -> Before:
    standing = run.feed_lot.standing
    return Before(
        number=run.number,
        at=run.operation.at,
        lot=run.feed_lot.number,
        line=str(standing.line or "a blend"),
        market_class=str(standing.market_class or ""),
    )


def runs_of_day(
    station: Station, feed_lot: Lot, machines: Sequence[str], at: datetime, zone: ZoneInfo
) -> list[tuple[str, int]]:
    """Runs of a lot over these machines on that local day that stand: number and feed [mg] (1 query)."""
    day = at.astimezone(zone).date()
    runs = runs_between(station, day, day).filter(feed_lot=feed_lot, machines=" + ".join(machines))
    return list(runs.values_list("number", "feed_mg"))


def next_run_number(station: Station) -> str:
    """Propose the number after the highest of runs and drafts: "R18" (2 queries)."""
    numbers = [
        *RunRecord.objects.filter(station=station).values_list("number", flat=True),
        *RunDraft.objects.filter(station=station).values_list("number", flat=True),
    ]
    used = [int(number[1:]) for number in numbers if number[:1] == "R" and number[1:].isdecimal()]
    return f"R{max(used, default=0) + 1:02d}"
