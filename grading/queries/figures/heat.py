"""Heat of days, days and heat to maturity of lines against the check, and past seasons before the first frost."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from statistics import median_low
from typing import Any

from grading.queries.figures.figure import Answer, Figure
from grading.queries.figures.given import given
from grading.stats.trials import FEWEST_SITE_YEARS, Difference, by_plots, by_site_years
from inventory.models import Site, Station
from inventory.queries.finding import find_line
from inventory.queries.ripening import Days, Ripened, ripened_plots, weather_by_site
from inventory.rules.field import temperature_mistakes
from inventory.rules.gathering import Gathering
from inventory.rules.heat import (
    COLDEST,
    DEGREE_DAYS,
    FORMULAS,
    HOTTEST,
    UNITS,
    USUAL_BASE,
    USUAL_BASE_F,
    in_celsius,
    written_out,
)
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import listed, plain, typed_text
from inventory.rules.ripening import FROST_FROM, RIPE, UNKNOWN, Season, look_back
from inventory.rules.rounding import half_up
from inventory.rules.working import Step

CHU = "crop heat units"
MOST_DAYS = 1000
OTHERS = "Other formulas and bases give other sums: compare only sums that were made by the same one."


@dataclass(frozen=True, kw_only=True)
class HeatAsked:
    """Each day's lowest and highest temperature, in one order."""

    low: Sequence[Any]
    high: Sequence[Any]
    formula: str = field(default=CHU, metadata={"looks": listed(list(FORMULAS))})
    base_c: Any = field(default="", metadata={"looks": "°C below which the crop stands still; 10 without it"})
    base_f: Any = field(default="", metadata={"looks": "the same in °F, where the unit is F; 50 without it"})
    unit: str = field(default="C", metadata={"looks": "C or F: of low and high, and of the degree days"})


@dataclass(frozen=True, kw_only=True)
class MaturityAsked:
    """The check, and by which formula heat is counted; `planted` is the day on which past seasons are begun."""

    check: str
    lines: Sequence[Any] = ()
    formula: str = field(default=CHU, metadata={"looks": listed(list(FORMULAS))})
    base_c: Any = field(default=str(USUAL_BASE), metadata={"looks": "°C below which the crop stands still, such as 10"})
    frost_c: Any = field(default="0", metadata={"looks": "°C: a night this cold or colder is a frost, such as 0"})
    planted: str = field(default="", metadata={"looks": "month and day, such as 05-21; without it as these plots were"})


@dataclass(frozen=True)
class _How:
    """By what heat is counted."""

    formula: str
    base: Decimal
    frost: Decimal
    planted: tuple[int, int] | None


def heat(asked: HeatAsked, _station: Station | None = None) -> Answer:
    """Answer the heat of days.

    Raises:
        Refused: lists of other lengths, what is no temperature, or a lowest over its highest.
    """
    words = Gathering()
    formula = words.word(asked.formula, "formula", list(FORMULAS), default=CHU)
    unit = words.word(asked.unit, "unit", UNITS, default="C")
    base = _base(words, asked, unit)
    days = _days(words, asked, unit)
    words.finish()
    of_day, source = FORMULAS[formula]
    counted_in = unit if formula == DEGREE_DAYS else "C"  # crop heat units are made from °C alone
    counted = [(low, high) if counted_in == unit else (in_celsius(low, unit), in_celsius(high, unit))
               for low, high in days]  # fmt: skip
    each = [of_day(low, high, given(base)) for low, high in counted]
    total = sum(each, Decimal(0))
    says = f"{len(days)} days gave {half_up(total, 1)} {formula}{_base_words(formula, given(base), counted_in)}."
    steps = tuple(
        Step(f"day {n}", f"{_turned(typed, day, unit, counted_in)}{written_out(formula, *day, given(base))}",
             basis=f"lowest {typed[0]:f} °{unit}, highest {typed[1]:f} °{unit}", source=source)
        for n, (typed, day) in enumerate(zip(days, counted, strict=True), 1)
    )  # fmt: skip
    values = {
        "formula": formula, "total": f"{total:f}", "days": [f"{one:f}" for one in each], "unit": counted_in,
        "base": None if formula == CHU else f"{given(base):f}",
    }  # fmt: skip
    return Answer(values, (says,), steps, (OTHERS,))


def _base(words: Gathering, asked: HeatAsked, unit: str) -> Decimal | None:
    """Read the base in the unit of the temperatures."""
    name, other = ("base_f", "base_c") if unit == "F" else ("base_c", "base_f")
    if typed_text(getattr(asked, other)).strip():
        says = f"The temperatures are in °{unit}. Give the base in °{unit} too, as {name}=…, and leave {other} out."
        words.add(Mistake(says, field=other))
    least, most, usual = ("-4", "104", USUAL_BASE_F) if unit == "F" else ("-20", "40", USUAL_BASE)
    typed = getattr(asked, name)
    read = words.number(typed, name, unit=f"°{unit}", least=least, most=most, example=f"{usual}", needed=False)
    return usual if read is None else read


def _turned(typed: tuple[Decimal, Decimal], day: tuple[Decimal, Decimal], unit: str, counted_in: str) -> str:
    """Say how °F became °C, where that was needed."""
    if unit == counted_in:
        return ""
    pairs = zip(("lowest", "highest"), typed, day, strict=True)
    return "; ".join(f"{name} ({own:f} - 32) × 5 / 9 = {turned:f} °C" for name, own, turned in pairs) + "; "


def maturity(asked: MaturityAsked, station: Station | None = None) -> Answer:
    """Answer how many days and how much heat lines take to ripen, against the check, and in which past seasons.

    Raises:
        Refused: the check or a line is not known or has no plot with its days, or a number is outside its range.
    """
    words = Gathering()
    station = given(station)
    check = _line(words, station, asked.check, "check")
    wanted = {_line(words, station, one, f"lines.{place}") for place, one in enumerate(asked.lines, 1)}
    how = _how(words, asked)
    words.finish()
    how = given(how)
    weather = weather_by_site(station)
    plots = ripened_plots(station, weather, how.formula, how.base)
    lines = [line for line in dict.fromkeys(each.line for each in plots) if not wanted or line in {*wanted, check}]
    if check not in lines:
        says = f"No plot of {check} has both a day of sowing and one of maturity. Note it: book note-stage plot=… day=…"
        words.add(Mistake(says, field="check"))
        words.finish()
    read = [_read(how, plots, weather, line, check) for line in sorted(lines, key=lambda one: (one != check, one))]
    return Answer(
        {"check": check, "formula": how.formula, "lines": [values for values, _says, _steps in read]},
        tuple(says for _values, lines_said, _steps in read for says in lines_said),
        tuple(step for _values, _says, steps in read for step in steps),
        (OTHERS, f"A frost is looked for from {FROST_FROM} days after planting on. {_missing(plots)}".strip()),
    )  # fmt: skip


def _days(words: Gathering, asked: HeatAsked, unit: str) -> list[tuple[Decimal, Decimal]]:
    if len(asked.low) != len(asked.high) or not asked.low or len(asked.low) > MOST_DAYS:
        says = f"Lowest temperatures: {len(asked.low)}, highest: {len(asked.high)}. Give one of each for every day"
        words.add(Mistake(f"{says}, {MOST_DAYS:,} days at most.", field="high"))
        return []
    days = []
    for place, pair in enumerate(zip(asked.low, asked.high, strict=True), 1):
        low, high = (words.number(each, f"{name}.{place}") for name, each in zip(("low", "high"), pair, strict=True))
        if low is None or high is None:
            continue
        wrong = temperature_mistakes(
            low, high, unit, f"day {place}", low_field=f"low.{place}", high_field=f"high.{place}"
        )
        words.add(*wrong)
        days += [] if wrong else [(low, high)]
    return days


def _how(words: Gathering, asked: MaturityAsked) -> _How | None:
    formula = words.word(asked.formula, "formula", list(FORMULAS), default=CHU)
    base = words.number(asked.base_c, "base_c", unit="°C", least=-20, most=40, example="10")
    frost = words.number(asked.frost_c, "frost_c", unit="°C", least=COLDEST, most=HOTTEST, example="0")
    text = plain(typed_text(asked.planted))
    planted = None
    if text:
        try:
            day = date.fromisoformat(f"2023-{text}")  # no leap year, so that every season has the day
            planted = (day.month, day.day)
        except ValueError:
            words.add(Mistake(f"Planted reads {text!r}. Write month and day, such as 05-21.", field="planted"))
    return None if base is None or frost is None else _How(formula, base, frost, planted)


def _line(words: Gathering, station: Station, typed: object, where: str) -> str:
    text = plain(typed_text(typed))
    if not text:
        words.add(Mistake(f"{where.capitalize()} is missing. Name a line, such as QN-2104.", field=where))
        return ""
    found = words.attempt(lambda: find_line(station, text, field=where))
    return found[0].name if found else ""


def _read(
    how: _How, plots: Sequence[Ripened], weather: Mapping[Site, Days], line: str, check: str
) -> tuple[dict[str, Any], list[str], list[Step]]:
    own = [each for each in plots if each.line == line]
    mean = Decimal(sum(each.days for each in own)) / len(own)
    needed = _needed(own)
    seasons = _seasons(how, own, weather, needed) if needed is not None else {}
    within, across, steps = _against(plots, line, check)
    values = {
        "line": line, "plots": len(own), "days": f"{half_up(mean, 1)}",
        "heat": None if needed is None else f"{half_up(needed, 1)}",
        "against_check": None if line == check else {"in_these": _range(within), "in_others": _range(across)},
        "seasons": {
            site: [
                {
                    "planted": each.planted.isoformat(), "outcome": each.outcome, "missing_days": each.missing,
                    "ripe": each.ripe and each.ripe.isoformat(), "frost": each.frost and each.frost.isoformat(),
                }
                for each in found
            ]
            for site, found in seasons.items()
        },
    }  # fmt: skip
    heat_says = (
        f", {half_up(needed, 0)} {how.formula}{_base_words(how.formula, how.base)}" if needed is not None else ""
    )
    says = [f"{line}: {half_up(mean, 1)} days to maturity{heat_says} ({_plots(len(own))})."]
    if line != check:
        says.append(_against_says(line, check, within, across))
    says += [_seasons_say(line, site, found) for site, found in seasons.items()]
    first = Step(
        f"{line}, days to maturity",
        f"({' + '.join(str(each.days) for each in own)}) / {len(own)} = {half_up(mean, 1)}",
        "from the day of sowing to that of maturity", source="counted in the books",
    )  # fmt: skip
    return values, says, [first, *_heat_steps(how, line, own, needed), *steps]


def _needed(own: Sequence[Ripened]) -> Decimal | None:
    """Mean heat of the plots whose days are all known."""
    known = [each.heat.total for each in own if each.heat and not each.heat.missing]
    return sum(known, Decimal(0)) / len(known) if known else None


def _heat_steps(how: _How, line: str, own: Sequence[Ripened], needed: Decimal | None) -> list[Step]:
    if needed is None:
        return []
    known = [f"{half_up(each.heat.total, 1)}" for each in own if each.heat and not each.heat.missing]
    formula = f"({' + '.join(known)}) / {len(known)} = {half_up(needed, 1)}"
    return [Step(f"{line}, heat to maturity", formula, "from the day after sowing on", source=FORMULAS[how.formula][1])]


def _against(
    plots: Sequence[Ripened], line: str, check: str
) -> tuple[Difference | None, Difference | None, list[Step]]:
    """Days of the line minus days of the check, paired by site-year, and by rep where both have one."""
    if line == check:
        return None, None, []
    years: dict[str, tuple[list[Ripened], list[Ripened]]] = {}
    for each in plots:
        if each.line in (line, check):
            years.setdefault(each.site_year, ([], []))[each.line == check].append(each)
    both = [pair for pair in years.values() if all(pair)]
    reps = [_rep_differences(*pair) for pair in both]
    within = by_plots(reps) if reps and all(reps) else None
    across = by_site_years([_mean(own) - _mean(other) for own, other in both])
    return within, across, [*(within.working if within else ()), *(across.working if across else ())]


def _rep_differences(own: Sequence[Ripened], other: Sequence[Ripened]) -> list[float]:
    of_check = {each.plot.rep: each.days for each in other if each.plot.rep is not None}
    return [float(each.days - of_check[each.plot.rep]) for each in own if each.plot.rep in of_check]


def _mean(plots: Sequence[Ripened]) -> float:
    return sum(each.days for each in plots) / len(plots)


def _against_says(line: str, check: str, within: Difference | None, across: Difference | None) -> str:
    found = across or within
    if found is None:
        return f"{line} against {check}: too few plots together to say."
    way = "later" if found.estimate >= 0 else "sooner"
    of = "in another site or year" if across else "in these site-years"
    more = "" if across else f" {FEWEST_SITE_YEARS} site-years are needed to speak of others."
    return (
        f"{line} ripens {abs(found.estimate):.1f} days {way} than {check}, likely {found.low:.1f} to {found.high:.1f} "
        f"{of}.{more}"
    )


def _seasons(
    how: _How, own: Sequence[Ripened], weather: Mapping[Site, Days], needed: Decimal
) -> dict[str, list[Season]]:
    month_day = how.planted or median_low((day.month, min(day.day, 28)) for each in own if (day := each.plot.sown_on))
    return {
        site.code: [
            look_back(days, date(year, *month_day), needed, formula=how.formula, base=how.base, frost=how.frost)
            for year in sorted({day.year for day in days})
        ]
        for site, days in weather.items()
    }


def _seasons_say(line: str, site: str, seasons: Sequence[Season]) -> str:
    known = [each for each in seasons if each.outcome != UNKNOWN]
    ripe = sum(each.outcome == RIPE for each in known)
    day = f"{seasons[0].planted:%m-%d}"
    unknown = len(seasons) - len(known)
    more = f" {unknown} more cannot be told, because days are missing." if unknown else ""
    return (
        f"Planted on {day}, {line} would have ripened before the first frost in {ripe} of {len(known)} past seasons at "
        f"{site}.{more}"
    )


def _range(found: Difference | None) -> dict[str, Any] | None:
    if found is None:
        return None
    return {
        "days": round(found.estimate, 3), "low": round(found.low, 3), "high": round(found.high, 3), "n": found.n,
        "method": found.method,
    }  # fmt: skip


def _missing(plots: Sequence[Ripened]) -> str:
    lacking = [each.plot.code for each in plots if each.heat is None or each.heat.missing]
    if not lacking:
        return ""
    more = f" and {len(lacking) - 3} more" if len(lacking) > 3 else ""
    return f"Days without temperatures stand in the way of the heat of {', '.join(lacking[:3])}{more}."


def _base_words(formula: str, base: Decimal, unit: str = "C") -> str:
    return "" if formula == CHU else f" over {base:f} °{unit}"


def _plots(n: int) -> str:
    return f"{n} plot{'s' if n > 1 else ''}"


FIGURES = (
    Figure(
        "heat", "The heat of days from their lowest and highest temperatures: crop heat units or growing degree days.",
        HeatAsked, heat, {"low": "10, 15", "high": "25, 30"},
    ),
    Figure(
        "maturity", "Days and heat to maturity of lines against the check, and past seasons before the first frost.",
        MaturityAsked, maturity, {"check": "QN-2104"}, reads_books=True,
    ),
)  # fmt: skip
