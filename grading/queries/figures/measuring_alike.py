"""How people and instruments who give numbers agree: correlation, gauge study, limits of agreement."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from grading.queries.figures.figure import Answer, Figure
from grading.queries.figures.given import given
from grading.queries.figures.tables import FURTHEST, NotATable, read_readings
from grading.stats.gauge import POOL_AT, GaugeStudy, by_ranges, by_variance
from grading.stats.icc import iccs
from grading.stats.paired import Paired, paired
from inventory.models import Station
from inventory.rules.gathering import Gathering
from inventory.rules.reading import typed_text

WHICH = (
    "For graders who stand in for each other use (2,1), absolute agreement; (3,1) lets a constant difference pass; "
    "(1,1) is for targets that were each measured by other people; (., k) is for the mean of all k."
)
ROADS = ("variance", "ranges")
PARALLEL = "Limits of agreement hold while differences do not grow with the size of the reading: look at both."


@dataclass(frozen=True, kw_only=True)
class IccAsked:
    """Readings, a row for each target and in it a reading of each grader."""

    rows: Sequence[Sequence[Any]]
    level_pct: Any = "95"


@dataclass(frozen=True, kw_only=True)
class GaugeAsked:
    """For each person the trials, each with a reading of every part in one order: `readings.A.1=0.29,-0.56,1.34`."""

    readings: Mapping[str, Sequence[Sequence[Any]]] = field(
        metadata={
            "looks": "a person's trials, each with one reading of every part in one order: "
            "readings.anna.1=18.0,19.0,20.1 is anna's first round over three parts, "
            "readings.anna.2=18.1,19.2,20.0 her second"
        }
    )
    road: str = field(default="variance", metadata={"looks": "variance or ranges"})
    pool_at: Any = field(default=str(POOL_AT), metadata={"looks": "interaction is pooled over this p, such as 0.25"})


@dataclass(frozen=True, kw_only=True)
class AgreementAsked:
    """Two readings of the same things, in one order."""

    first: Sequence[Any]
    second: Sequence[Any]
    unit: str = ""
    level_pct: Any = "95"


def icc(asked: IccAsked, _station: Station | None = None) -> Answer:
    """Answer how alike graders measure.

    Raises:
        Refused: fewer than two targets or graders, rows that miss readings, or what is no number.
    """
    words = Gathering()
    rows = read_readings(words, asked.rows, "rows")
    level = words.number(asked.level_pct, "level_pct", unit="%", least=50, most="99.9")
    if not words.mistakes and (len(rows) < 2 or len(rows[0]) < 2):
        wide = len(rows[0]) if rows else 0
        says = f"Targets: {len(rows)}, graders: {wide}. Give two or more of both: a row for each target."
        words.add(NotATable(says, field="rows"))
    words.finish()
    found = iccs(rows, float(given(level)) / 100)
    if found is None:
        words.add(NotATable("All readings are the same: there is nothing to share out between targets.", field="rows"))
        words.finish()
    found = given(found)
    values: dict[str, Any] = {
        each.form: {"icc": round(each.estimate, 4), "low": _finite(each.low), "high": _finite(each.high)}
        for each in found.forms
    }
    squares = {"targets": found.between, "within": found.within, "graders": found.graders, "rest": found.error}
    values |= {"mean_squares": {name: round(one, 5) for name, one in squares.items()}}
    values |= {"targets": found.n, "graders": found.k, "method": found.method}
    main = found.of("2,1")
    says = (
        f"Graders who stand in for each other agree with a correlation (2,1) of {main.estimate:.2f}, "
        f"likely {main.low:.2f} to {main.high:.2f} ({found.level * 100:g} in 100; {found.n} targets, "
        f"{found.k} graders)."
    )
    return Answer(values, (says,), found.working, (WHICH,))


def gauge_study(asked: GaugeAsked, _station: Station | None = None) -> Answer:
    """Answer how much of what varies is the measuring.

    Raises:
        Refused: fewer than two people, trials or parts, readings that miss, or what is no number.
    """
    words = Gathering()
    road = words.word(asked.road, "road", ROADS, default="variance")
    pool_at = words.number(asked.pool_at, "pool_at", least=0, most=1, example="0.25")
    readings = [read_readings(words, trials, f"readings.{name}") for name, trials in asked.readings.items()]
    if not words.mistakes:
        words.add(*_misses(dict(zip(asked.readings, readings, strict=True))))
    words.finish()
    found = by_ranges(readings) if road == "ranges" else by_variance(readings, float(given(pool_at)))
    says = (*_gauge_says(found), _gauge_read(found, asked.readings))
    return Answer(_gauge_values(found), says, found.working, _turned_round(found, readings))


def agreement(asked: AgreementAsked, _station: Station | None = None) -> Answer:
    """Answer how two readings of the same things differ.

    Raises:
        Refused: fewer than two pairs, lists of other lengths, or what is no number.
    """
    words = Gathering()
    first, second = (
        words.numbers(typed, name, least=-FURTHEST, most=FURTHEST, fewest=2)
        for name, typed in (("first", asked.first), ("second", asked.second))
    )
    level = words.number(asked.level_pct, "level_pct", unit="%", least=50, most="99.9")
    if not words.mistakes and len(first) != len(second):
        says = f"The first gave {len(first)} readings, the second {len(second)}. Give both a reading of each thing."
        words.add(NotATable(says, field="second"))
    words.finish()
    differences = [float(b - a) for a, b in zip(first, second, strict=True)]
    found = paired(differences, float(given(level)) / 100)
    return Answer(paired_values(found), paired_says(found, asked.unit.strip()), found.working, (PARALLEL,))


def paired_values(found: Paired) -> dict[str, Any]:
    """Name what paired differences give."""
    ends = {"lower": found.lower_range, "upper": found.upper_range}
    return {
        "mean_difference": _finite(found.estimate, 6), "low": _finite(found.low, 6), "high": _finite(found.high, 6),
        "sd": _finite(found.sd, 6), "lower_limit": _finite(found.lower, 6), "upper_limit": _finite(found.upper, 6),
        **{f"{name}_limit_range": [_finite(one, 6) for one in pair] for name, pair in ends.items()},
        "pairs": found.n, "method": found.method,
    }  # fmt: skip


def paired_says(found: Paired, unit: str, who: str = "The second") -> tuple[str, ...]:
    """Say paired differences in words.

    Args:
        who: whose readings are compared with the other's, in the beginning of a sentence.
    """
    said, level = unit and f" {unit}", f"{found.level * 100:g} in 100"
    way = "over" if found.estimate >= 0 else "under"
    mean = (
        f"{who} reads {abs(found.estimate):.4g}{said} {way} the other on average, likely {found.low:.4g} to "
        f"{found.high:.4g} ({level}, {found.n} pairs)"
    )
    apart = ": they stand apart." if found.is_apart else ": no difference is shown."
    return (
        f"{mean}{apart}",
        f"Single differences lie between {found.lower:.4g} and {found.upper:.4g}{said} ({level}).",
    )


def _misses(readings: Mapping[str, Sequence[Sequence[float]]]) -> list[NotATable]:
    wrong = []
    if len(readings) < 2:
        wrong.append(NotATable(f"People who read: {len(readings)}. Give readings of two or more.", field="readings"))
    first = next(iter(readings), "")
    for name, trials in readings.items():
        parts = len(trials[0]) if trials else 0
        if len(trials) < 2 or parts < 2:
            says = f"Of {name} there are parts: {parts}, trials: {len(trials)}. Give two or more of both."
            wrong.append(NotATable(says, field=f"readings.{name}"))
        elif (len(trials), parts) != (len(readings[first]), len(readings[first][0])):
            says = (
                f"{name} read {parts} parts in {len(trials)} trials, {first} {len(readings[first][0])} in "
                f"{len(readings[first])}. All read the same parts equally often."
            )
            wrong.append(NotATable(says, field=f"readings.{name}"))
    return wrong


def _gauge_values(found: GaugeStudy) -> dict[str, Any]:
    spreads = {"ev": found.ev, "av": found.av, "grr": found.grr, "pv": found.pv, "tv": found.tv}
    return {
        **{name: round(one, 6) for name, one in spreads.items()},
        "grr_pct_of_tv": None if found.grr_pct is None else round(found.grr_pct, 3), "ndc": found.ndc,
        "interaction_is_pooled": found.is_pooled,
        "variance": [
            {
                "line": line.name, "squares": round(line.squares, 6), "freedom": line.freedom,
                "mean": round(line.mean, 6), "f": _finite(line.f), "p": _finite(line.p, 6),
            }
            for line in found.lines
        ],
        "people": found.people, "trials": found.trials, "parts": found.parts, "method": found.method,
    }  # fmt: skip


def _gauge_says(found: GaugeStudy) -> tuple[str, ...]:
    if found.grr_pct is None:
        return ("All readings are the same: neither the parts nor the measuring vary.",)
    told = "every part" if found.ndc is None else f"{found.ndc} distinct categories of parts"
    says = (
        f"Measuring is {found.grr_pct:.1f} in 100 of all that varies: repeats {found.ev:.4g}, people {found.av:.4g}, "
        f"parts {found.pv:.4g} (standard deviations). It can tell {told} apart."
    )
    return (
        says,
        "Under 10 in 100 is good, over 30 too much; 5 categories or more are wanted. Common practice, no source.",
    )


def _gauge_read(found: GaugeStudy, asked: Mapping[str, Sequence[Sequence[Any]]]) -> str:
    """Say how the table was understood, so that a table turned round is seen."""
    name, trials = next(iter(asked.items()))
    cells = ", ".join(f"part {place} as {typed_text(one).strip()}" for place, one in enumerate(trials[0][:3], 1))
    more = ", …" if found.parts > 3 else ""
    return (
        f"Read as {found.parts} parts, {found.trials} repeats, {found.people} people: {name} read in the first round "
        f"{cells}{more}."
    )


def _turned_round(found: GaugeStudy, readings: Sequence[Sequence[Sequence[float]]]) -> tuple[str, ...]:
    """Ask whether parts and repeats changed places, where there are more repeats than parts."""
    if found.trials <= found.parts:
        return ()
    other = by_variance([[list(part) for part in zip(*trials, strict=True)] for trials in readings])
    share = "" if other.grr_pct is None else f", and measuring is {other.grr_pct:.1f} in 100"
    return (
        f"There are more repeats ({found.trials}) than parts ({found.parts}). If each list holds the repeats of one "
        f"part, turn the table round: then there are {other.parts} parts and {other.trials} repeats{share}.",
    )


def _finite(value: float | None, digits: int = 4) -> float | None:
    return None if value is None or abs(value) == float("inf") else round(value, digits)


FIGURES = (
    Figure(
        "icc", "How alike graders measure the same things: intraclass correlations, and which to use.",
        IccAsked, icc, {"rows": [["9", "2", "5", "8"], ["6", "1", "3", "2"], ["8", "4", "6", "8"]]},
    ),
    Figure(
        "gauge study", "How much of what varies is the measuring: repeats, people, parts.",
        GaugeAsked, gauge_study,
        {
            "readings": {
                "A": [["1.1", "2.0", "3.2"], ["1.0", "2.1", "3.1"]],
                "B": [["1.2", "2.2", "3.2"], ["1.1", "2.1", "3.3"]],
            }
        },
    ),
    Figure(
        "agreement", "How two who read the same things differ: mean difference, and limits for single differences.",
        AgreementAsked, agreement, {"first": "4.1, 3.0, 2.2, 5.0", "second": "4.3, 3.1, 2.2, 5.3", "unit": "%"},
    ),
)  # fmt: skip
