"""How far lines lie ahead of the check in trials, with likely ranges instead of stars."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Any

from grading.queries.figures.figure import Answer, Figure
from grading.queries.figures.given import given
from grading.stats.trials import FEWEST_SITE_YEARS, Difference, by_plots, by_site_years
from inventory.models import Station
from inventory.queries.finding import find_line
from inventory.queries.yields import PlotYield, trial_yields
from inventory.rules.gathering import Gathering
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import plain, typed_text
from inventory.rules.rounding import half_up
from inventory.rules.working import Step

OURS = "harvested mass of the lot × share of the plot × dry matter, per area; ours, no source"
MANY = "Each range holds for its own line; of twenty lines that equal the check about one lies apart by chance."


@dataclass(frozen=True, kw_only=True)
class DifferencesAsked:
    """The check, the moisture all are brought to, and which lines and seasons; without them all that met the check."""

    check: str
    moisture_pct: Any = field(
        default="16", metadata={"looks": "per cent wet basis that all are brought to, such as 16"}
    )
    lines: Sequence[Any] = ()
    since: Any = field(default="", metadata={"looks": "first season, such as 2023"})
    until: Any = field(default="", metadata={"looks": "last season, such as 2025"})


@dataclass(frozen=True)
class Held:
    """A line held against the check.

    Attributes:
        site_years: where both stood: name -> (mean of the line, mean of the check).
        reps: the differences of reps in which both stood alone, for each site-year that has some.
    """

    line: str
    site_years: Mapping[str, tuple[Fraction, Fraction]]
    reps: Sequence[Sequence[Fraction]]

    @property
    def differences(self) -> list[Fraction]:
        """One a site-year."""
        return [line - check for line, check in self.site_years.values()]

    @property
    def mean(self) -> Fraction:
        """Over the site-years."""
        return sum(self.differences, Fraction(0)) / len(self.site_years)


def line_differences(asked: DifferencesAsked, station: Station | None = None) -> Answer:
    """Answer how far lines lie ahead of the check.

    Raises:
        Refused: the check or a line is not known, a number is outside its range, or no trial has the check and a line.
    """
    words = Gathering()
    station = given(station)
    check = _name(words, station, asked.check, "check")
    wanted = [_name(words, station, one, f"lines.{place}") for place, one in enumerate(asked.lines, 1)]
    moisture = words.number(asked.moisture_pct, "moisture_pct", unit="%", least=0, most=40, example="16")
    since = words.whole(asked.since, "since", least=1900, most=2200, needed=False)
    until = words.whole(asked.until, "until", least=1900, most=2200, needed=False)
    words.finish()
    yields, left_out = trial_yields(station, given(moisture))
    yields = [each for each in yields if (since or 0) <= each.plot.season <= (until or 9999)]
    held = [each for each in held_against(yields, check) if not wanted or each.line in wanted]
    if not held:
        says = f"No trial has both {check} and another line with a harvested lot, its moisture and the plots' areas."
        words.add(Mistake(f"{says} {_left_out(left_out)}".strip(), field="check"))
        words.finish()
    read = [(each, *_ranges(each)) for each in held]
    return Answer(
        {
            "check": check, "unit": "t/ha", "moisture_pct": f"{given(moisture):f}",
            "lines": [_values(*each) for each in read], "left_out": left_out,
        },
        tuple(_says(check, *each) for each in read),
        tuple(step for each in read for step in _working(check, given(moisture), *each)),
        (MANY, *([_left_out(left_out)] if left_out else [])),
    )  # fmt: skip


def held_against(yields: Sequence[PlotYield], check: str) -> list[Held]:
    """Pair every line with the check, site-year by site-year and rep by rep, the line furthest ahead first."""
    by_year: dict[str, dict[str, list[PlotYield]]] = {}
    for each in yields:
        by_year.setdefault(each.site_year, {}).setdefault(each.line, []).append(each)
    met = {name: lines for name, lines in by_year.items() if check in lines}
    names = dict.fromkeys(line for lines in met.values() for line in lines if line != check)
    held = []
    for line in names:
        years = {year: lines for year, lines in met.items() if line in lines}
        means = {year: (_mean(lines[line]), _mean(lines[check])) for year, lines in years.items()}
        reps = [found for lines in years.values() if (found := _reps(lines[line], lines[check]))]
        held.append(Held(line, means, reps))
    return sorted(held, key=lambda each: each.mean, reverse=True)


def _mean(plots: Sequence[PlotYield]) -> Fraction:
    return sum((each.t_ha for each in plots), Fraction(0)) / len(plots)


def _reps(line: Sequence[PlotYield], check: Sequence[PlotYield]) -> list[Fraction]:
    """Differences within reps; a rep counts where each has its own weight there."""
    of_line, of_check = _by_rep(line), _by_rep(check)
    return [_mean(of_line[rep]) - _mean(of_check[rep]) for rep in of_line if rep in of_check]


def _by_rep(plots: Sequence[PlotYield]) -> dict[int, list[PlotYield]]:
    found: dict[int, list[PlotYield]] = {}
    for each in plots:
        if each.plot.rep is not None and not each.is_shared_out:
            found.setdefault(each.plot.rep, []).append(each)
    return found


def _name(words: Gathering, station: Station, typed: object, where: str) -> str:
    text = plain(typed_text(typed))
    if not text:
        words.add(Mistake(f"{where.capitalize()} is missing. Name a line, such as QN-2104.", field=where))
        return ""
    found = words.attempt(lambda: find_line(station, text, field=where))
    return found[0].name if found else ""


def _ranges(held: Held) -> tuple[Difference | None, Difference | None]:
    plots = by_plots([[float(one) for one in reps] for reps in held.reps]) if held.reps else None
    whole = plots if len(held.reps) == len(held.site_years) else None
    return whole, by_site_years([float(one) for one in held.differences])


def _from_to(likely: Difference) -> str:
    """Say a likely range by its side: "0.06 to 0.23 behind", or "0.02 behind to 0.05 ahead"."""
    if likely.low < 0 <= likely.high:
        return f"{-likely.low:.2f} behind to {likely.high:.2f} ahead"
    near, far = sorted((abs(likely.low), abs(likely.high)))
    return f"{near:.2f} to {far:.2f} {'behind' if likely.low < 0 else 'ahead'}"


def _says(check: str, held: Held, plots: Difference | None, years: Difference | None) -> str:
    n = len(held.site_years)
    way = "ahead of" if held.mean >= 0 else "behind"
    counted = f"{n} site-year{'s' if n > 1 else ''}"
    said = [f"{held.line}: {way} {check} by {half_up(abs(held.mean), 2)} t/ha ({counted})."]
    if plots:
        said.append(f"In these it is likely {_from_to(plots)} ({plots.n} pairs of plots).")
    if years:
        said.append(f"In another site or year it is likely {_from_to(years)} on average.")
    else:
        said.append(f"Too few to say what another year brings: {FEWEST_SITE_YEARS} site-years are needed.")
    return " ".join(said)


def _values(held: Held, plots: Difference | None, years: Difference | None) -> dict[str, Any]:
    return {
        "line": held.line, "difference": _text(held.mean), "site_years": {
            year: {"line": _text(line), "check": _text(check), "difference": _text(line - check)}
            for year, (line, check) in held.site_years.items()
        },
        "in_these_site_years": _range(plots), "in_other_site_years": _range(years),
    }  # fmt: skip


def _range(found: Difference | None) -> dict[str, Any] | None:
    if found is None:
        return None
    return {
        "low": round(found.low, 4), "high": round(found.high, 4), "n": found.n, "level": found.level,
        "method": found.method, "lies_apart": found.is_apart,
    }  # fmt: skip


def _working(
    check: str, moisture: Decimal, held: Held, plots: Difference | None, years: Difference | None
) -> list[Step]:  # fmt: skip
    steps = [
        Step(
            f"{held.line}, {year}", f"{half_up(line, 3)} - {half_up(other, 3)} = {half_up(line - other, 3)} t/ha",
            f"means at {moisture} % moisture; the check is {check}", source=OURS,
        )
        for year, (line, other) in held.site_years.items()
    ]  # fmt: skip
    return [*steps, *(plots.working if plots else ()), *(years.working if years else ())]


def _text(value: Fraction) -> str:
    return f"{half_up(value, 3)}"


def _left_out(left_out: Mapping[str, str]) -> str:
    if not left_out:
        return ""
    reasons: dict[str, list[str]] = {}
    for plot, reason in left_out.items():
        reasons.setdefault(reason, []).append(plot)
    parts = [f"{plots[0]}{f' and {len(plots) - 1} more' if plots[1:] else ''}: {why}" for why, plots in reasons.items()]
    return f"Left out: {'; '.join(parts)}."


FIGURES = (
    Figure(
        "line differences", "How far lines lie ahead of the check in trials, paired by site-year, with likely ranges.",
        DifferencesAsked, line_differences, {"check": "QN-2104", "moisture_pct": "16"}, reads_books=True,
    ),
)  # fmt: skip
