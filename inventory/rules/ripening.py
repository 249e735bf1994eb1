"""Whether a crop would have ripened before the first frost of a season, from that season's temperatures."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from inventory.rules.heat import FORMULAS

RIPE, FROZEN, UNKNOWN = "ripe", "frost first", "not known"
FROST_FROM = 60  # days after planting; what is cold before is a late frost of spring. Ours, no source
LONGEST = 250  # days after planting that are looked at. Ours, no source


@dataclass(frozen=True, slots=True)
class Heat:
    """Heat from the day after one day to another, both known.

    Attributes:
        total: heat of the days that are known.
        missing: days in between without temperatures.
    """

    total: Decimal
    missing: int


@dataclass(frozen=True, slots=True)
class Season:
    """One season looked back at.

    Attributes:
        planted: day of planting.
        ripe: first day with heat enough; None where it was not reached.
        frost: first frost; None where none was met before that day.
        missing: days without temperatures on the way.
        outcome: `RIPE`, `FROZEN` or `UNKNOWN`.
    """

    planted: date
    ripe: date | None
    frost: date | None
    missing: int
    outcome: str


def heat_between(
    days: Mapping[date, tuple[Decimal, Decimal]], since: date, until: date, formula: str, base: Decimal
) -> Heat:  # fmt: skip
    """Add up heat after one day up to and with another.

    Args:
        days: lowest and highest of each day [°C].
        since: day of planting, which is not counted.
        until: the last day.
        formula: a name of `FORMULAS`.
        base: for growing degree days [°C].
    """
    of_day = FORMULAS[formula][0]
    wanted = [since + timedelta(days=n) for n in range(1, (until - since).days + 1)]
    known = [days[day] for day in wanted if day in days]
    return Heat(sum((of_day(low, high, base) for low, high in known), Decimal(0)), len(wanted) - len(known))


def look_back(
    days: Mapping[date, tuple[Decimal, Decimal]], planted: date, needed: Decimal, *, formula: str, base: Decimal,
    frost: Decimal,
) -> Season:  # fmt: skip
    """Say whether a crop would have ripened before the first frost.

    Args:
        days: lowest and highest of each day [°C].
        needed: heat from planting to ripeness, by the formula.
        frost: a day whose lowest is this or lower is a frost [°C].

    Returns:
        The season; not known where a day is missing before its end, or neither came within the days that are there.
    """
    of_day = FORMULAS[formula][0]
    total, missing = Decimal(0), 0
    for n in range(1, LONGEST + 1):
        day = planted + timedelta(days=n)
        if day not in days:
            missing += 1
            continue
        low, high = days[day]
        if n >= FROST_FROM and low <= frost:
            return Season(planted, None, day, missing, UNKNOWN if missing else FROZEN)
        total += of_day(low, high, base)
        if total >= needed:
            return Season(planted, day, None, missing, UNKNOWN if missing else RIPE)
    return Season(planted, None, None, missing, UNKNOWN)
