"""What this plant's own machines took out: samples of what was fed beside samples of what came out clean.

A run counts where both were graded under one rule set. Runs over several machines are a row of their own, as they are
where losses are summed: what one of them did alone cannot be told from it.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from grading.queries.grades import Graded, grades_of, pool
from grading.rules.rule_set import folded_class
from grading.stats.next_one import NextOne, next_one
from inventory.models import Lot, Station
from inventory.queries.runs import RunBalance, balances, standing_runs


@dataclass(frozen=True)
class RunPair:
    """One run with what was graded before and after it.

    Attributes:
        number, machines: the run.
        class_name: as the feed was graded.
        before, after: factor -> exact share [1]; of what came out, the mass-weighted mean of the graded lots.
        lost: part of the feed that did not come out clean [1].
    """

    number: str
    machines: str
    class_name: str
    before: Mapping[str, Fraction]
    after: Mapping[str, Fraction]
    lost: Fraction

    def stays(self, factor: str) -> float | None:
        """What is left of a factor, as a part of what was fed; None where nothing was there to take [1]."""
        before, after = self.before.get(factor), self.after.get(factor)
        return float(after / before) if before and after is not None else None

    def change(self, factor: str) -> float | None:
        """How its per cent changed [per cent points]; None where it was not read on both sides."""
        before, after = self.before.get(factor), self.after.get(factor)
        return None if before is None or after is None else float((after - before) * 100)


@dataclass(frozen=True)
class Took:
    """What one set of machines did to one factor, over its runs.

    Attributes:
        changes: per cent points, a run each.
        stays: what was left of it as a part of what was fed, of runs that had any [1].
        next_stays: the likely range of the next run; None where runs are too few to say.
    """

    factor: str
    changes: tuple[float, ...]
    stays: tuple[float, ...]
    next_stays: NextOne | None


@dataclass(frozen=True)
class MachineHistory:
    """One set of machines over its graded runs.

    Attributes:
        runs: numbers of those with samples on both sides.
        of_runs: all runs over these machines.
        took: factor -> what it did.
        lost: part of the feed that did not come out clean, a run each, of all runs [1].
        next_lost: the likely range of the next run; None where runs are too few to say.
    """

    machines: str
    runs: tuple[str, ...]
    of_runs: int
    took: Mapping[str, Took]
    lost: tuple[float, ...]
    next_lost: NextOne | None


def machine_histories(station: Station, market_class: str = "") -> list[MachineHistory]:
    """Tell what each set of machines took out (6 queries).

    Args:
        market_class: only runs whose feed was graded as this class, as forgivingly as it reads; "" is all.
    """
    runs = balances(standing_runs(station))
    pairs = run_pairs(station, runs)
    wanted = folded_class(market_class) if market_class.strip() else ""
    kept = [pair for pair in pairs if not wanted or folded_class(pair.class_name) == wanted]
    of_machines: dict[str, list[RunBalance]] = defaultdict(list)
    for run in runs:
        of_machines[run.machines].append(run)
    return [
        _history(machines, of_machines[machines], [pair for pair in kept if pair.machines == machines])
        for machines in sorted(of_machines)
    ]


def run_pairs(station: Station, runs: Iterable[RunBalance]) -> list[RunPair]:
    """Pair the samples of each run's feed with those of what came out; runs without both are left out."""
    listed = list(runs)
    numbers = {run.feed_lot for run in listed} | {lot for run in listed for lot, _mg in run.outs}
    of_runs = Lot.objects.filter(station=station, number__in=numbers)
    keys = dict(of_runs.values_list("number", "pk"))
    grades = grades_of(station, of_runs.values("pk"))
    pooled = {number: pool(grades.get(key, [])) for number, key in keys.items()}
    return [pair for run in listed if (pair := _pair(run, pooled))]


def _pair(run: RunBalance, pooled: Mapping[str, Graded | None]) -> RunPair | None:
    fed = pooled.get(run.feed_lot)
    outs = [(graded, mg) for lot, mg in run.outs if (graded := pooled.get(lot))]
    if fed is None or not outs or not run.feed_mg or any(_kind(graded) != _kind(fed) for graded, _mg in outs):
        return None
    total = sum(mg for _graded, mg in outs)
    names = [name for name in fed.outcome.shares if all(name in graded.outcome.shares for graded, _mg in outs)]
    return RunPair(
        number=run.number,
        machines=run.machines,
        class_name=fed.portion.class_name,
        before={name: fed.outcome.shares[name] for name in names},
        after={
            name: sum((graded.outcome.shares[name] * mg for graded, mg in outs), Fraction(0)) / total for name in names
        },
        lost=_lost(run),
    )


def _history(machines: str, runs: Sequence[RunBalance], pairs: Sequence[RunPair]) -> MachineHistory:
    lost = tuple(float(_lost(run)) for run in runs if run.feed_mg)
    names = dict.fromkeys(name for pair in pairs for name in pair.before)
    return MachineHistory(
        machines=machines,
        runs=tuple(pair.number for pair in pairs),
        of_runs=len(runs),
        took={name: _took(name, pairs) for name in names},
        lost=lost,
        next_lost=next_one(lost),
    )


def _took(factor: str, pairs: Sequence[RunPair]) -> Took:
    stays = tuple(part for pair in pairs if (part := pair.stays(factor)) is not None)
    changes = tuple(points for pair in pairs if (points := pair.change(factor)) is not None)
    return Took(factor, changes, stays, next_one(stays))


def _lost(run: RunBalance) -> Fraction:
    return 1 - Fraction(sum(mg for _lot, mg in run.outs), run.feed_mg)


def _kind(graded: Graded) -> tuple[str, str]:
    return graded.rule_set.id, folded_class(graded.portion.class_name)
