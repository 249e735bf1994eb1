"""Lots that came over a line in which darker seed was left, and were not graded since: they carry a warning."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from hilum.plugins.host import the_host
from inventory.models import Identity, Lot, RunRecord, Station, Stock
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
    """List lots that carry the warning, the oldest run first (4 queries, and what plugins ask).

    A lot that was cleaned again before anybody graded it hands the warning on to what came of it.
    """
    runs = list(standing_runs(station).reverse()[:LOOK_BACK])[::-1]
    left_in = _left_in(runs)
    if not left_in:
        return []
    outs = _outs(runs)
    spoiled = _spoiled(runs, left_in, outs)
    in_store = set(Stock.objects.filter(lot__in=spoiled, mg__gt=0).values_list("lot_id", flat=True))
    numbers = dict(Lot.objects.filter(pk__in=spoiled).values_list("pk", "number"))
    facts = the_host().lot_facts(list(numbers.values()), station.code)
    graded = {key for key, number in numbers.items() if "last_grade" in facts.get(number, {})}
    warned = _spoiled(runs, left_in, outs, graded)
    return [CarriedOver(numbers[lot], *why) for lot, why in warned.items() if lot in in_store]


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
