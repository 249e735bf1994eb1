"""Booked runs as the sheet of runs that people keep: it opens in any spreadsheet program and loads back."""

from collections.abc import Iterable, Iterator, Sequence
from zoneinfo import ZoneInfo

from inventory.importing.kinds.runs import OUTPUTS, STREAM_OF
from inventory.importing.vocabulary import RUNS
from inventory.models import Entry, RunRecord
from inventory.queries.runs import RunBalance, balances
from inventory.queries.settings import settings_of
from inventory.rules.mass import kg_text

_FIELDS = tuple(field.name for field in RUNS.fields)


def run_sheet_heads() -> list[str]:
    """Head the columns as the template does."""
    return [field.heading for field in RUNS.fields]


def run_sheet_rows(runs: Iterable[RunRecord]) -> Iterator[list[str]]:
    """Write runs, late additions counted in; a run with more than four lots out goes on in the next row (3 queries)."""
    listed = list(runs)
    places = _places(listed)
    for run, balance in zip(listed, balances(listed), strict=True):
        outs = [(lot, mg, places.get((run.operation_id, lot), "")) for lot, mg in balance.outs]
        first, *others = [outs[at : at + len(OUTPUTS)] for at in range(0, max(1, len(outs)), len(OUTPUTS))]
        yield _row(_once(run, balance), first)
        yield from (_row({"run": run.number}, more) for more in others)


def _once(run: RunRecord, balance: RunBalance) -> dict[str, str]:
    """What stands once in a run."""
    day = run.operation.at.astimezone(ZoneInfo(run.operation.station.zone)).date()
    streams = {
        name: kg_text(balance.streams[stream]) for name, stream in STREAM_OF.items() if stream in balance.streams
    }
    return {
        "run": run.number, "date": day.isoformat(), "machine": run.machines, "feed_lot": balance.feed_lot,
        "feed": kg_text(balance.feed_mg), **streams, "unaccounted": kg_text(balance.unaccounted_mg),
        "clean_out": "yes" if run.is_cleaned_out else "no", "screens": settings_of(run),
    }  # fmt: skip


def _row(cells: dict[str, str], outs: Sequence[tuple[str, int, str]]) -> list[str]:
    for tail, (lot, mg, place) in zip(OUTPUTS, outs, strict=False):
        cells |= {f"out_lot{tail}": lot, f"clean{tail}": kg_text(mg), f"place{tail}": place}
    return [cells.get(name, "") for name in _FIELDS]


def _places(runs: Sequence[RunRecord]) -> dict[tuple[int, str], str]:
    """Where each lot that came out was put (1 query)."""
    made = Entry.objects.filter(operation__in=[run.operation_id for run in runs], lot__isnull=False, mg__gt=0)
    rows = made.values_list("operation_id", "lot__number", "place__code")
    return {(operation, lot): place for operation, lot, place in rows}
