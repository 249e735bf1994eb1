"""Lots that came over a line in which darker seed was left, and were not graded since: they carry a warning."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.db.models import Q

from inventory.models import Entry, Identity, Lot, RunRecord, Station, Stock
from inventory.queries.runs import standing_runs
from inventory.rules.shades import shows_in

LOOK_BACK = 200  # runs; a lot that was not graded since is found by the list of lots without a sample


@dataclass(frozen=True)
class CarriedOver:
    """A lot in store that may hold darker seed of another line.

    Attributes:
        run: the run that was not cleaned out for.
        before: the run whose seed may have been left in its machines.
    """

    lot: str
    run: RunRecord
    before: RunRecord


def carried_over(station: Station) -> list[CarriedOver]:
    """List lots that carry the warning, the oldest run first (4 queries).

    A lot that was cleaned again before anybody graded it hands the warning on to what came of it.
    """
    warned = _warned(station)
    in_store = Lot.objects.filter(pk__in=Stock.objects.filter(lot__in=warned, mg__gt=0).values("lot"))
    numbers = dict(in_store.values_list("pk", "number")) if warned else {}
    return [CarriedOver(numbers[lot], *why) for lot, why in warned.items() if lot in numbers]


def carried_by(station: Station, lot: Lot) -> CarriedOver | None:
    """Say why a lot carries the warning; None where it does not (3 queries)."""
    why = _warned(station).get(lot.pk)
    return CarriedOver(lot.number, *why) if why else None


def _warned(station: Station) -> dict[int, tuple[RunRecord, RunRecord]]:
    """Lot -> the run that spoiled it and the one before, of lots that nobody graded (3 queries)."""
    runs = list(standing_runs(station).reverse()[:LOOK_BACK])[::-1]
    left_in = _left_in(runs)
    if not left_in:
        return {}
    outs = _outs(runs)
    return _spoiled(runs, left_in, outs, _graded(_spoiled(runs, left_in, outs)))


def _graded(lots: Iterable[int]) -> set[int]:
    """Which of these lots were graded: by a sample drawn from them, or by its file sample (1 query)."""
    grade = {"kind": "grade", "reversed_by__isnull": True}
    by_sample = {f"operation__followed_by__{name}": value for name, value in grade.items()}
    by_file_sample = {f"operation__followed_by__followed_by__{name}": value for name, value in grade.items()}
    drawn = Entry.objects.filter(Q(**by_sample) | Q(**by_file_sample), lot__in=list(lots), mg__lt=0)
    return set(drawn.filter(operation__reversed_by__isnull=True).values_list("lot_id", flat=True))


def _left_in(runs: Sequence[RunRecord]) -> dict[int, RunRecord]:
    """Find for each run, by its key, the newest run whose darker seed its machines may have held."""
    in_machine: dict[str, list[RunRecord]] = defaultdict(list)
    found: dict[int, RunRecord] = {}
    for run in runs:
        for machine in run.machines.split(" + "):
            if run.is_cleaned_out:
                in_machine[machine].clear()
            if shown := [one for one in in_machine[machine] if _shows(one, run)]:
                found[run.pk] = shown[-1]
            in_machine[machine].append(run)
    return found


def _shows(before: RunRecord, run: RunRecord) -> bool:
    left, fed = before.feed_lot.standing, run.feed_lot.standing
    return left.line_id != fed.line_id and shows_in(str(left.market_class or ""), str(fed.market_class or ""))


def _outs(runs: Iterable[RunRecord]) -> dict[int, list[int]]:
    """Operation of a run -> the lots that came out (1 query)."""
    outs: dict[int, list[int]] = defaultdict(list)
    made = Identity.objects.filter(operation__in=[run.operation_id for run in runs])
    for operation, lot in made.values_list("operation_id", "lot_id"):
        outs[operation].append(lot)
    return outs


def _spoiled(
    runs: Iterable[RunRecord], left_in: Mapping[int, RunRecord], outs: Mapping[int, Sequence[int]],
    graded: Iterable[int] = (),
) -> dict[int, tuple[RunRecord, RunRecord]]:  # fmt: skip
    """Lot -> the run that spoiled it and the one before, handed on through runs; a grade ends it."""
    seen, ended = dict[int, tuple[RunRecord, RunRecord]](), set(graded)
    for run in runs:
        why = (run, left_in[run.pk]) if run.pk in left_in else seen.get(run.feed_lot_id)
        if why is not None:
            seen.update({lot: why for lot in outs.get(run.operation_id, ()) if lot not in ended})
    return seen
