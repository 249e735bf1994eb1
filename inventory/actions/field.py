"""Write down what is seen in the field: daily temperatures of a site, flowering and maturity of plots."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime

from django.contrib.auth.models import User
from django.db.models import Model

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Typed
from inventory.actions.drafts import Draft
from inventory.actions.measuring import plan_measure
from inventory.actions.noting import stage_note
from inventory.actions.origin import plan_each
from inventory.actions.posting import post_all
from inventory.actions.reader import Missing, Reader
from inventory.models import PlotStage, Site, Station, WeatherDay
from inventory.queries.finding import find_site
from inventory.queries.weather import days_standing
from inventory.rules.amounts import read_amount
from inventory.rules.dates import FutureDate, read_date
from inventory.rules.field import (
    STAGES,
    DaysMissing,
    DayStands,
    DayTwice,
    missing_days,
    stage_mistakes,
    temperature_mistakes,
)
from inventory.rules.gathering import NoSuchWord
from inventory.rules.heat import UNITS
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import plain, typed_text

MOST_DAYS = 1000


@dataclass(frozen=True, kw_only=True)
class DayTyped:
    """One day's lowest and highest temperature as it was typed."""

    day: Typed
    low: Typed
    high: Typed


@dataclass(frozen=True, kw_only=True)
class WeatherLog:
    """Daily temperatures of a site as they were typed."""

    site: str
    days: Sequence[DayTyped]
    unit: str = field(default="C", metadata={"looks": "C or F"})
    at: Typed = None


@dataclass(frozen=True, kw_only=True)
class StageSeen:
    """The day on which a plot flowered or was ripe, as it was typed."""

    plot: str
    stage: str = field(metadata={"looks": "flowering or maturity"})
    day: Typed
    at: Typed = None


class TooManyDays(Mistake):
    """More days than one act takes."""

    code = "too_many_days"

    def __init__(self, days: int) -> None:
        super().__init__(f"There are {days:,} days; one act takes {MOST_DAYS:,}. Send them in parts.", field="days")


class Weather:
    """Days of sites that are in the books, and those that acts on this desk add."""

    def __init__(self, _desk: Desk) -> None:
        self._stands: dict[int, dict[date, str]] = {}

    def of(self, site: Site) -> dict[date, str]:
        """Give the days that stand at a site, each with its words (1 query a site)."""
        if site.pk not in self._stands:
            self._stands[site.pk] = days_standing(site)
        return self._stands[site.pk]


@action("measure")
def log_weather(
    log: WeatherLog, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Write down daily temperatures of a site.

    Raises:
        Refused: the site is not known; a day cannot be read, lies ahead, or stands; its lowest over its highest.
    """
    draft = plan_weather(Reader(Desk(station, now), answers), log, by=by, key=key, reason=reason)
    return Booked(tuple(post_all([draft])))


def plan_weather(reader: Reader, log: WeatherLog, *, by: User, key: str = "", reason: str = "") -> Draft:
    """Plan a log of temperatures on the reader's desk.

    Raises:
        Refused: all that stands in the way of it.
    """
    at = reader.when(log.at)
    reader.note_typed(site=log.site, unit=log.unit, days=[_words(day) for day in log.days])
    site, unit = _site(reader, log.site), _unit(reader, log.unit)
    if not log.days:
        reader.add(Missing("days", "days.1.day=2024-06-01 days.1.low=11.2 days.1.high=24.6"))
    if len(log.days) > MOST_DAYS:
        reader.add(TooManyDays(len(log.days)))
        reader.finish()
    rows = _rows(reader, log.days, unit, site) if site else []
    if missing := missing_days(row.day for row in rows):
        reader.notes.append(DaysMissing(missing))
    draft = plan_measure(reader, rows, by=by, at=at, key=key, reason=reason)
    if site:
        stands = reader.desk.beside(Weather).of(site)
        stands.update({row.day: f"{row.low} to {row.high} °{row.unit}" for row in rows})
    return draft


def _unit(reader: Reader, typed: str) -> str:
    unit = plain(typed).upper().removeprefix("°") or "C"
    if unit in UNITS:
        return unit
    reader.add(NoSuchWord("unit", typed, UNITS))
    return "C"


def _rows(reader: Reader, days: Sequence[DayTyped], unit: str, site: Site) -> list[WeatherDay]:
    """Read days, each once and none that stands; where there are several, their fields are named by their place."""
    stands, alone = reader.desk.beside(Weather).of(site), len(days) == 1
    rows: dict[date, WeatherDay] = {}
    for place, typed in enumerate(days, 1):
        at = "" if alone else f"days.{place}."
        row = _day(reader, typed, unit, at)
        if row is None:
            continue
        if row.day in rows:
            reader.add(DayTwice(row.day, field=f"{at}day"))
        elif row.day in stands:
            reader.add(DayStands(site.code, row.day, stands[row.day], field=f"{at}day"))
        row.station, row.site = reader.desk.station, site
        rows[row.day] = row
    return list(rows.values())


def _words(typed: DayTyped) -> str:
    return " ".join(typed_text(each) for each in (typed.day, typed.low, typed.high))


def _site(reader: Reader, typed: str) -> Site | None:
    if not plain(typed_text(typed)):
        reader.add(Missing("site", "QM"))
        return None
    return reader.attempt(lambda: reader.desk.find(find_site, typed_text(typed), "site", reader.notes))


def _day(reader: Reader, typed: DayTyped, unit: str, at: str) -> WeatherDay | None:
    """Read one day; its fields are named by their place where there are several."""
    day = _past_day(reader, typed.day, f"{at}day")
    read = []
    for name in ("low", "high"):
        value = getattr(typed, name)
        if typed_text(value).strip() == "":
            reader.add(Missing(f"{at}{name}", "11.2"))
            continue
        amount = reader.attempt(lambda value=value, name=name: read_amount(value, field=f"{at}{name}"))  # type: ignore[misc]
        if amount:
            reader.notes.extend(amount.notes)
            read.append(amount.value)
    if len(read) < 2 or day is None:
        return None
    low, high = read
    wrong = temperature_mistakes(low, high, unit, day.isoformat(), low_field=f"{at}low", high_field=f"{at}high")
    reader.add(*wrong)
    return None if wrong else WeatherDay(day=day, low=f"{low:f}", high=f"{high:f}", unit=unit)


def _past_day(reader: Reader, typed: Typed, name: str) -> date | None:
    if typed in (None, ""):
        reader.add(Missing(name, "2024-06-01"))
        return None
    read = reader.attempt(lambda: read_date(typed, field=name))
    if read is None:
        return None
    reader.notes.extend(read.notes)
    today = reader.desk.local_day(reader.desk.now)
    if read.value > today:
        reader.add(FutureDate(read.value, today, field=name))
        return None
    return read.value


@action("measure")
def note_stages(
    seen: Sequence[StageSeen], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Write down on which day plots flowered or were ripe; a later note of the same stage goes before an earlier one.

    Raises:
        Refused: a plot or stage is not known, or the day cannot be read, lies ahead, or before sowing.
    """
    desk = Desk(station, now)

    def plan(asked: StageSeen) -> Draft:
        reader = Reader(desk, answers)
        at, plot, day = reader.when(asked.at), reader.plot(asked.plot), _past_day(reader, asked.day, "day")
        reader.note_typed(**vars(asked))
        stage = plain(asked.stage).casefold()
        if stage not in STAGES:
            reader.add(NoSuchWord("stage", asked.stage, STAGES))
        elif plot and day:
            reader.add(*stage_mistakes(plot.code, stage, day, plot.sown_on))
        rows: list[Model] = []
        if plot and day:
            rows = [PlotStage(station=station, plot=plot, stage=stage, day=day), *stage_note(plot, stage, str(day))]
        return plan_measure(reader, rows, by=by, at=at, key=key, reason=reason)

    return Booked(tuple(post_all(plan_each(seen, plan))))
