"""Whether graders drift apart: every factor over the re-grades in the books, with limits, and the grades they gave."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from grading.queries.figures.figure import Answer, Figure
from grading.queries.figures.given import given
from grading.queries.figures.measuring_alike import paired_says, paired_values
from grading.queries.regrades import Pair, pairs_of
from grading.stats.drift import FEWEST, Drift, drift
from grading.stats.kappa import cohen
from grading.stats.paired import paired
from inventory.models import Station
from inventory.rules.gathering import Gathering
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import listed, plain, typed_text
from inventory.rules.working import Step

SCOPE = (
    "These are differences of people on the same beans. With many factors about 1 in 20 stands apart by chance alone: "
    "talk and pick a pan together before anything is changed."
)
NOT_BLIND = "{count} of {all} re-grades were not blind; a grader who knows the first result agrees too well."


@dataclass(frozen=True, kw_only=True)
class DriftAsked:
    """Which re-grades: one factor or all, one grader's or all, blind ones alone or all."""

    factor: str = ""
    grader: str = ""
    blind_only: bool = False


@dataclass(frozen=True)
class _Series:
    """Differences of one grader against the other (or the others) in one factor, the oldest first [points of a %]."""

    factor: str
    grader: str
    against: str
    samples: tuple[str, ...]
    differences: tuple[float, ...]


def drifting(asked: DriftAsked, station: Station | None = None) -> Answer:
    """Answer how graders differ per factor, and whether they drift.

    Raises:
        Refused: no re-grade by another grader is in the books, or none of the factor or grader that was named.
    """
    words = Gathering()
    pairs = pairs_of(given(station), blind_only=asked.blind_only)
    pairs = _of_grader(words, pairs, plain(asked.grader))
    factors = _factors(words, pairs, plain(typed_text(asked.factor)))
    words.finish()
    series = [each for factor in factors for each in _series(pairs, factor)]
    said = [_judged(each) for each in series]
    kappa_values, kappa_says, kappa_steps = _grades(pairs)
    open_ones = sum(not pair.is_blind for pair in pairs)
    notes = (SCOPE, *([NOT_BLIND.format(count=open_ones, all=len(pairs))] if open_ones else []))
    return Answer(
        {
            "pairs": len(pairs), "not_blind": open_ones, "grades": kappa_values,
            "series": [values for values, _says, _steps in said],
        },
        (*kappa_says, *(line for _values, lines, _steps in said for line in lines)),
        (*kappa_steps, *(step for _values, _says, steps in said for step in steps)),
        notes,
    )  # fmt: skip


def _of_grader(words: Gathering, pairs: list[Pair], grader: str) -> list[Pair]:
    if not pairs:
        says = "No re-grade by another grader is in the books yet. Take one out: book bench-sample blind=yes."
        words.add(Mistake(says, field="blind_only"))
    if not grader:
        return pairs
    known = {name.casefold(): name for pair in pairs for name in pair.graders}
    name = words.word(grader, "grader", list(known.values())) if known else ""
    return [pair for pair in pairs if name in pair.graders]


def _factors(words: Gathering, pairs: Sequence[Pair], wanted: str) -> list[str]:
    found = list(dict.fromkeys(factor for pair in pairs for factor in pair.shares_pct))
    if not wanted or not found:
        return found
    return [words.word(wanted.replace(" ", "_"), "factor", found)]


def _series(pairs: Sequence[Pair], factor: str) -> list[_Series]:
    """One series for two graders; for more, each against the others."""
    read = [pair for pair in pairs if factor in pair.shares_pct]
    names = sorted({name for pair in read for name in pair.graders})
    if len(names) == 2:
        return [_against(read, factor, names[1], names[0])]
    return [_against(read, factor, name, "the others") for name in names]


def _against(pairs: Sequence[Pair], factor: str, grader: str, against: str) -> _Series:
    own = [pair for pair in pairs if grader in pair.graders]
    differences = []
    for pair in own:
        first, second = pair.shares_pct[factor]
        differences.append(float(second - first if pair.graders[1] == grader else first - second))
    return _Series(factor, grader, against, tuple(pair.samples[1] for pair in own), tuple(differences))


def _judged(series: _Series) -> tuple[dict[str, Any], list[str], list[Step]]:
    head = f"{series.factor.replace('_', ' ').capitalize()}: {series.grader} against {series.against}"
    values: dict[str, Any] = {
        "factor": series.factor, "grader": series.grader, "against": series.against, "samples": list(series.samples),
        "differences": [round(one, 4) for one in series.differences],
    }  # fmt: skip
    if len(series.differences) < 2:
        return values, [f"{head}: one pair is too few to say."], []
    found, chart = paired(series.differences), drift(series.differences)
    lines = [f"{head}. {says}" for says in paired_says(found, "points", series.grader)[:1]]
    lines += [f"{head}. {_drift_says(series, chart)}"]
    return {**values, **paired_values(found), "chart": _chart(chart)}, lines, [*found.working, *chart.working]


def _drift_says(series: _Series, chart: Drift) -> str:
    if chart.too_few:
        return f"{chart.n} pairs are too few to see a drift; {FEWEST} are needed."
    if chart.first_out is None:
        return f"No drift is shown over {chart.n} pairs."
    sample = series.samples[-chart.n :][chart.first_out - 1]
    way = "over" if chart.points[chart.first_out - 1].mean > chart.centre else "under"
    return f"It drifts: from {sample} on, {series.grader} reads {way} by more than the limit."


def _chart(chart: Drift) -> dict[str, Any]:
    return {
        "centre": chart.centre, "sd": round(chart.sd, 6), "method": chart.method, "too_few": chart.too_few,
        "points": [
            {"difference": round(point.value, 4), "mean": round(point.mean, 4), "limit": round(point.limit, 4),
             "is_out": point.is_out}
            for point in chart.points
        ],
    }  # fmt: skip


def _grades(pairs: Sequence[Pair]) -> tuple[Mapping[str, Any], list[str], tuple[Step, ...]]:
    """How often two graders gave the same grade, and kappa where more than one grade was given."""
    names = list(dict.fromkeys(grade for pair in pairs for grade in pair.grades))
    counts = Counter(pair.grades for pair in pairs)
    same = sum(number for grades, number in counts.items() if grades[0] == grades[1])
    says = [f"Two graders gave the same grade to {same} of {len(pairs)} samples."]
    step = Step("same grade", f"{same} of {len(pairs)}", source="counted in the books")
    if len(names) < 2:
        return {"same": same, "kappa": None}, [*says, f"Kappa is not defined: only {listed(names)} was given."], (step,)
    found = cohen([[counts[row, column] for column in names] for row in names])
    kappa = None if found.estimate is None else round(found.estimate, 4)
    return {"same": same, "kappa": kappa}, says, (step, *found.working)


FIGURES = (
    Figure(
        "drift", "How graders differ per factor over the re-grades in the books, with limits, and whether they drift.",
        DriftAsked, drifting, {"blind_only": "yes"}, reads_books=True,
    ),
)  # fmt: skip
