"""Will cleaning help? What this plant's own machines took out of earlier lots, and would leave of this one."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from statistics import mean
from typing import Any

from grading.queries.figures.figure import Answer, Figure
from grading.queries.figures.given import given
from grading.queries.grades import Graded, grades_of, pool
from grading.queries.past_runs import MachineHistory, Took, machine_histories
from grading.rules.mistakes import OutOfRange, UnknownWord
from grading.rules.notes import NOT_OFFICIAL
from grading.rules.predicted import ADVICE, Predicted, predict
from grading.stats.next_one import FEWEST, SOURCE, NextOne
from inventory.models import Station
from inventory.queries.finding import find_lot
from inventory.rules.gathering import Gathering
from inventory.rules.reading import listed, typed_text
from inventory.rules.runs import read_machines
from inventory.rules.working import Step

OWN = "this plant's own runs"
RANGES = (
    "Ranges hold the next run 95 times in 100, if it goes like those before it: same screens and settings, like seed. "
    "How well each sample was picked is within them."
)


@dataclass(frozen=True, kw_only=True)
class PastRunsAsked:
    """The lot that may be cleaned, if one is meant; and only some machines or one class, if that is."""

    lot: Any = None
    machines: str = ""
    market_class: str = ""


@dataclass(frozen=True)
class _After:
    """A lot after one set of machines: as the mean of runs leaves it, and at both ends of the likely range."""

    history: MachineHistory
    middle: Predicted
    best: Predicted
    worst: Predicted
    unknown: tuple[str, ...]


def past_runs(asked: PastRunsAsked, station: Station | None = None) -> Answer:
    """Answer what each set of machines takes out by this plant's runs, and how a lot would read after it.

    Raises:
        Refused: a lot or a machine that is not known, or a lot that was never graded.
    """
    station = given(station)
    words = Gathering()
    graded = words.attempt(lambda: _graded(station, asked.lot)) if typed_text(asked.lot).strip() else None
    machines = words.attempt(lambda: " + ".join(read_machines(asked.machines))) if asked.machines.strip() else ""
    words.finish()
    histories = [
        each for each in machine_histories(station, asked.market_class) if machines in ("", each.machines)
    ]  # fmt: skip
    if machines and not histories:
        known = [each.machines for each in machine_histories(station)]
        words.add(UnknownWord("run over", machines, known, "machines"))
    words.finish()
    afters = [_after(graded, each) for each in histories if graded is not None and each.runs]
    return Answer(
        values=_values(histories, afters, graded),
        says=(*(_says(each) for each in histories), *(_predicts(each, given(graded)) for each in afters)),
        working=tuple(_working(histories)),
        notes=(RANGES, ADVICE, NOT_OFFICIAL),
        table=_table(histories),
    )


def _graded(station: Station, typed: Any) -> Graded:
    lot, _notes = find_lot(station, typed_text(typed))
    found = pool(grades_of(station, [lot.pk]).get(lot.pk, []))
    if found is None or found.portion.stops:
        says = f"{lot.number} has no grade to start from. Grade a sample of it first, or ask without a lot."
        raise OutOfRange(says, field="lot")
    return found


def _after(graded: Graded | None, history: MachineHistory) -> _After:
    """Take each factor as the machines' runs leave it; what too few runs tell stays as it is."""
    graded = given(graded)
    before = graded.outcome.shares
    known = {name: took.next_stays for name, took in history.took.items() if took.next_stays and name in before}

    def left(end: str) -> Predicted:
        shares = {name: share * _part(known.get(name), end) for name, share in before.items()}
        capped = {name: min(share, Fraction(1)) for name, share in shares.items()}
        return predict(graded.rule_set, graded.portion.class_name, capped, graded.portion.judged)

    unknown = tuple(name for name, share in before.items() if share and name not in known)
    return _After(history, left("estimate"), left("low"), left("high"), unknown)


def _part(stays: NextOne | None, end: str) -> Fraction:
    return Fraction(1) if stays is None else max(Fraction(getattr(stays, end)), Fraction(0))


def _says(history: MachineHistory) -> str:
    runs = f"{len(history.runs)} of {history.of_runs} runs graded on both sides"
    lost = f"{mean(history.lost) * 100:.1f} of 100 of the feed did not come out clean" if history.lost else ""
    if len(history.runs) < FEWEST:
        return f"{history.machines}: {runs}, too few to say what it takes; {lost}."
    said = [_took_says(took) for took in history.took.values() if took.next_stays]
    return f"{history.machines}: {runs}; {'; '.join(said) or 'nothing to take was found in them'}; {lost}."


def _took_says(took: Took) -> str:
    stays = given(took.next_stays)
    words = took.factor.replace("_", " ")
    if stays.low <= 1 <= stays.high:
        return f"{words}: {stays.estimate * 100:.0f} of 100 stay, which runs cannot tell from taking nothing"
    return f"{words}: {stays.estimate * 100:.0f} of 100 stay (next run {_range(stays)})"


def _predicts(after: _After, graded: Graded) -> str:
    if len(after.history.runs) < FEWEST:
        return f"After {after.history.machines} nothing can be said of {graded.sample.lot.number}: too few runs."
    ends = sorted({after.best.grade, after.worst.grade})
    likely = f" (likely {' to '.join(ends)})" if len(ends) > 1 else ""
    total = "; ".join(after.middle.held_back)
    held = f", held back by {total}" if total else ""
    untold = listed([name.replace("_", " ") for name in after.unknown], "and")
    stays = f" Too few runs tell of {untold}: taken as it is." if untold else ""
    return (
        f"{graded.sample.lot.number} reads {graded.outcome.grade}; after {after.history.machines} it would read "
        f"{after.middle.grade}{likely}{held}.{stays}"
    )


def _range(stays: NextOne) -> str:
    return f"{max(stays.low, 0) * 100:.0f} to {stays.high * 100:.0f}"


def _table(histories: Sequence[MachineHistory]) -> tuple[tuple[str, ...], ...]:
    rows = [
        (
            each.machines, took.factor.replace("_", " "), str(len(took.changes)), f"{mean(took.changes):+.2f}",
            f"{mean(took.stays) * 100:.0f}" if took.stays else "",
            _range(took.next_stays) if took.next_stays else "too few to say",
        )
        for each in histories
        for took in each.took.values()
        if took.stays or any(took.changes)
    ]  # fmt: skip
    return (("machines", "factor", "runs", "mean change, points", "of 100 stay", "next run"), *rows) if rows else ()


def _values(
    histories: Sequence[MachineHistory], afters: Sequence[_After], graded: Graded | None
) -> dict[str, Any]:  # fmt: skip
    return {
        "machines": {each.machines: _history_values(each) for each in histories},
        "lot": graded.sample.lot.number if graded else None,
        "reads_as": graded.outcome.grade if graded else None,
        "after": {each.history.machines: _after_values(each) for each in afters},
        "official": False,
    }


def _history_values(history: MachineHistory) -> dict[str, Any]:
    return {
        "runs": list(history.runs),
        "of_runs": history.of_runs,
        "lost": _next(history.next_lost, history.lost),
        "factors": {
            name: {
                "change_points": [round(each, 6) for each in took.changes],
                "stays": _next(took.next_stays, took.stays),
            }
            for name, took in history.took.items()
        },
    }


def _next(found: NextOne | None, values: Sequence[float]) -> dict[str, Any]:
    said: dict[str, Any] = {"n": len(values), "mean": round(mean(values), 6) if values else None}
    ends = None if found is None else [round(max(found.low, 0), 6), round(found.high, 6)]
    return {**said, "sd": found and round(found.sd, 6), "next": ends, "method": found and found.method}


def _after_values(after: _After) -> dict[str, Any]:
    if len(after.history.runs) < FEWEST:
        return {"reads_as": None, "too_few": True}
    return {
        "reads_as": after.middle.grade,
        "likely": [after.best.grade, after.worst.grade],
        "reads_pct": {
            name: [str(each.reads_pct[name]) for each in (after.best, after.middle, after.worst)]
            for name in after.middle.reads_pct
        },
        "not_known": list(after.unknown),
        "too_few": False,
    }


def _working(histories: Sequence[MachineHistory]) -> list[Step]:
    steps = [
        Step(
            f"{each.machines}, {took.factor.replace('_', ' ')}", _formula(took), OWN,
            source=SOURCE if took.next_stays else "mean of the runs; ours, no source",
        )
        for each in histories
        for took in each.took.values()
        if took.stays
    ]  # fmt: skip
    none = f"{sum(each.of_runs for each in histories)} runs, none graded on both sides"
    return steps or [Step("runs", none, OWN, source="the books")]


def _formula(took: Took) -> str:
    parts = " + ".join(f"{part:.4f}" for part in took.stays)
    middle = f"({parts}) / {len(took.stays)} = {mean(took.stays):.4f} stays"
    found = took.next_stays
    if found is None:
        return f"{middle}; fewer than {FEWEST} runs, too few to say more"
    return f"{middle}, s = {found.sd:.4f}, next run {found.low:.4f} to {found.high:.4f} ({found.method})"


FIGURES = (
    Figure(
        "cleaning from past runs",
        "Will cleaning help? What each machine took out in this plant's own runs, and how a lot would read after it.",
        PastRunsAsked, past_runs, {"lot": "25-0019-2"}, reads_books=True,
    ),
)  # fmt: skip
