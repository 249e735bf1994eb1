"""Rules of what is written down in the field: temperatures of a day, and stages of a plot."""

from collections.abc import Iterable
from datetime import date, timedelta
from decimal import Decimal

from inventory.rules.heat import COLDEST, HOTTEST, LowOverHigh, in_celsius
from inventory.rules.mistakes import Mistake, Note, Question
from inventory.rules.reading import field_words, listed

FLOWERING, MATURITY = STAGES = ("flowering", "maturity")
SOONEST, LATEST = 20, 200  # days from sowing to either stage; outside of it one is asked. Ours, no source


class TemperatureUnlikely(Mistake):
    """A temperature that no bean field ever had."""

    code = "temperature_unlikely"

    def __init__(self, field: str, typed: str, unit: str) -> None:
        super().__init__(
            f"{field_words(field)} is {typed} °{unit}; {COLDEST} to {HOTTEST} °C can be. Check number and unit.",
            field=field,
        )


class DayStands(Mistake):
    """A day's temperatures that are in the books already."""

    code = "day_stands"

    def __init__(self, site: str, day: date, stands: str, *, field: str) -> None:
        super().__init__(
            f"{site} {day} is in the books already: {stands}. Take that act back first, or leave the day out.",
            field=field,
        )


class DayTwice(Mistake):
    """A day that stands twice in one act."""

    code = "day_twice"

    def __init__(self, day: date, *, field: str) -> None:
        super().__init__(f"{day} stands twice here. Keep one.", field=field)


class DaysMissing(Note):
    """Days between the first and the last that nothing was said of."""

    code = "days_missing"

    def __init__(self, missing: list[date]) -> None:
        shown = listed([day.isoformat() for day in missing[:5]], "and")
        more = f" and {len(missing) - 5} more" if len(missing) > 5 else ""
        super().__init__(
            f"Days that are missing in between: {shown}{more}. They are said with every sum.", field="days"
        )


class StageUnlikely(Question):
    """A stage that came very soon or very late after sowing."""

    code = "stage_unlikely"

    def __init__(self, plot: str, stage: str, days: int) -> None:
        super().__init__(
            f"{plot}: {stage} {days} days after it was sown; {SOONEST} to {LATEST} are usual. Check both, or say why.",
            field="day",
        )


class StageBeforeSowing(Mistake):
    """A stage before the plot was sown."""

    code = "stage_before_sowing"

    def __init__(self, plot: str, stage: str, day: date, sown: date) -> None:
        super().__init__(f"{plot} was sown on {sown}, after this day of {stage}, {day}. Check both.", field="day")


def temperature_mistakes(
    low: Decimal, high: Decimal, unit: str, day: str, *, low_field: str = "low", high_field: str = "high"
) -> list[Mistake]:  # fmt: skip
    """Say what is wrong with the temperatures of a day.

    Args:
        low, high: as read, in the unit.
        unit: "C" or "F".
        day: for the sentence.
    """
    out = [
        TemperatureUnlikely(field, f"{value:f}", unit)
        for field, value in ((low_field, low), (high_field, high))
        if not COLDEST <= in_celsius(value, unit) <= HOTTEST
    ]
    if not out and low > high:
        return [LowOverHigh(f"{low:f}", f"{high:f}", day, field=low_field)]
    return list(out)


def missing_days(days: Iterable[date]) -> list[date]:
    """List the days between the first and the last that are not there."""
    there = set(days)
    if not there:
        return []
    first, last = min(there), max(there)
    return [day for n in range((last - first).days) if (day := first + timedelta(days=n)) not in there]


def stage_mistakes(plot: str, stage: str, day: date, sown: date | None) -> list[Mistake]:
    """Say what is wrong or doubtful about the day of a stage.

    Args:
        sown: the plot's day of sowing; None where it is not known.
    """
    if sown is None:
        return []
    days = (day - sown).days
    if days < 0:
        return [StageBeforeSowing(plot, stage, day, sown)]
    return [] if SOONEST <= days <= LATEST else [StageUnlikely(plot, stage, days)]
