"""When each act of the season happened: the first of a day at 08:00 at the station, then one every seven minutes."""

from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

ZONE = ZoneInfo("Etc/GMT+5")  # UTC−05:00 all year, no daylight saving
FIRST = time(8)
STEP = timedelta(minutes=7)

# The order of a day's acts; acts of one kind follow their own number.
ORDER = (
    "plot", "field weight", "correction", "intake", "drying", "late tote", "run", "sample", "test", "size",
    "seed weight", "colour", "hold", "bagging", "canning", "sowing", "blending", "shipping", "decision", "promise",
)  # fmt: skip


@dataclass
class Calendar:
    """All acts of the season; a moment can be asked for once all are entered."""

    days: dict[date, set[tuple[int, str]]] = field(default_factory=dict)

    def enter(self, kind: str, day: date, number: str) -> None:
        """Enter an act under its own number."""
        self.days.setdefault(day, set()).add((ORDER.index(kind), number))

    def moment(self, kind: str, day: date, number: str) -> datetime:
        """Say when an act happened.

        Raises:
            ValueError: it was not entered.
        """
        place = sorted(self.days.get(day, ())).index((ORDER.index(kind), number))
        return datetime.combine(day, FIRST, ZONE) + place * STEP
