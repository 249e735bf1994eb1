"""What was lost at each machine: kilograms by stream and unaccounted, against what was fed."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from zoneinfo import ZoneInfo

from inventory.models import Station
from inventory.queries.runs import RunBalance, balances, runs_between, standing_runs
from inventory.queries.today import now_at
from inventory.rules.months import Month, month_of
from inventory.rules.runs import percent_of


@dataclass(frozen=True)
class Losses:
    """Some runs taken together [mg]; late additions count with their run."""

    machines: str
    runs: tuple[str, ...] = ()
    feed_mg: int = 0
    clean_mg: int = 0
    streams: Mapping[str, int] = field(default_factory=dict)
    unaccounted_mg: int = 0

    def percent(self, mg: int) -> str | None:
        """A mass as percent of the feed with two decimals; None where nothing was fed."""
        return percent_of(mg, self.feed_mg) if self.feed_mg else None


def losses(station: Station, start: date, end: date, stage: str | None = None, *, is_alone: bool = False) -> Losses:
    """Sum what runs lost from one local day to another, both within (3 queries).

    Args:
        stage: only runs whose machines name it, such as "gravity"; None is all runs.
        is_alone: only runs over that machine and no other.
    """
    runs = balances(runs_between(station, start, end))
    chosen = [run for run in runs if stage is None or _is_at(run.machines, stage, is_alone=is_alone)]
    return _together(stage or "", chosen)


def losses_by_machines(station: Station, start: date, end: date) -> list[Losses]:
    """Sum what runs lost for each set of machines, a run over several being a row of its own (3 queries)."""
    by_machines: dict[str, list[RunBalance]] = defaultdict(list)
    for run in balances(runs_between(station, start, end)):
        by_machines[run.machines].append(run)
    return [_together(machines, runs) for machines, runs in by_machines.items()]


def _is_at(machines: str, stage: str, *, is_alone: bool) -> bool:
    return machines == stage if is_alone else stage in machines.split(" + ")


def _together(machines: str, runs: Iterable[RunBalance]) -> Losses:
    listed = list(runs)
    streams: dict[str, int] = defaultdict(int)
    for run in listed:
        for stream, mg in run.streams.items():
            streams[stream] += mg
    return Losses(
        machines=machines,
        runs=tuple(run.number for run in listed),
        feed_mg=sum(run.feed_mg for run in listed),
        clean_mg=sum(mg for run in listed for _lot, mg in run.outs),
        streams=dict(streams),
        unaccounted_mg=sum(run.unaccounted_mg for run in listed),
    )


@dataclass(frozen=True)
class MonthLoss:
    """What the runs of one month over the same machines lost."""

    month: Month
    lost: Losses
    is_open: bool  # a run of it misses more than it may

    @property
    def anchor(self) -> str:
        """Its name on a page, for links to it."""
        return f"{self.month}-{self.lost.machines.replace(' + ', '-').replace(' ', '-')}"

    @property
    def unaccounted_pct(self) -> str:
        """Unaccounted mass, percent of the feed with two decimals; "" where nothing was fed."""
        return self.lost.percent(self.lost.unaccounted_mg) or ""

    @property
    def taken_mg(self) -> int:
        """All that was taken off [mg]."""
        return sum(self.lost.streams.values())


def losses_by_month(station: Station, months: Sequence[Month]) -> list[MonthLoss]:
    """Sum what runs lost for each month and set of machines, months in order (3 queries).

    Args:
        months: in a row, the oldest first.
    """
    zone = ZoneInfo(station.zone)
    grouped: dict[tuple[Month, str], list[RunBalance]] = defaultdict(list)
    for run in balances(runs_between(station, months[0].first, months[-1].last)):
        grouped[month_of(run.at.astimezone(zone).date()), run.machines].append(run)
    return [
        MonthLoss(month, _together(machines, runs), any(run.is_over for run in runs))
        for (month, machines), runs in sorted(grouped.items())
    ]


def last_month_with_runs(station: Station, today: date) -> Month:
    """Give the month of the newest run up to today, else today's (1 query)."""
    newest = standing_runs(station).filter(operation__at__lte=now_at(station)).last()
    return month_of(newest.operation.at.astimezone(ZoneInfo(station.zone)).date() if newest else today)
