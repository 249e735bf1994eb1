"""Years along the foot, a row for each plot or lot: a bar while it stood, dots for what was done, wet spells shaded."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

LABEL, FIELD, ROW, HEAD = 130, 820, 28, 24  # units of the drawing
WIDTH = LABEL + FIELD
_MONTHS = (1, 2, 3, 6, 12)  # between two marks of the scale
_MOST_MARKS = 12


@dataclass(frozen=True)
class Standing:
    """What one row tells.

    Args:
        end: None where it still stands.
        marks: (day, what was done).
        wet: spells, an open one to the end of the row.
    """

    name: str
    start: date
    end: date | None
    marks: tuple[tuple[date, str], ...] = ()
    wet: tuple[tuple[date, date | None], ...] = ()
    link: str = ""
    kind: str = ""


@dataclass(frozen=True)
class Bar:
    """A row as it is drawn [units of the drawing]; dots of one day are one dot with all its words."""

    standing: Standing
    y: float
    x: float
    width: float
    is_open: bool
    wet: tuple[tuple[float, float], ...]
    dots: tuple[tuple[float, str], ...]


@dataclass(frozen=True)
class Years:
    """The scale's marks and the rows."""

    scale: tuple[tuple[float, str], ...]
    bars: tuple[Bar, ...]
    height: float


def draw_years(rows: Sequence[Standing], today: date) -> Years:
    """Lay rows out in their order, from the first day of any to today.

    Args:
        today: where open rows end, if no row ends later.
    """
    if not rows:
        return Years((), (), HEAD)
    first = min(min([row.start, *(day for day, _what in row.marks)]) for row in rows)
    last = max([today, *(row.end for row in rows if row.end), *(day for row in rows for day, _what in row.marks)])
    span = max(1, (last - first).days)

    def x_at(day: date) -> float:
        return LABEL + FIELD * (day - first).days / span

    bars = tuple(_bar(row, HEAD + ROW * place, last, x_at) for place, row in enumerate(rows))
    return Years(tuple((x_at(day), f"{day:%b %Y}") for day in scale_days(first, last)), bars, HEAD + ROW * len(rows))


def _bar(row: Standing, y: float, last: date, x_at: Callable[[date], float]) -> Bar:
    end = row.end or last
    wet = tuple((x_at(start), x_at(min(stop or end, end)) - x_at(start)) for start, stop in row.wet)
    days: dict[date, list[str]] = {}
    for day, what in row.marks:
        days.setdefault(day, []).append(what)
    dots = tuple((x_at(day), ", ".join(dict.fromkeys(what))) for day, what in days.items())
    return Bar(row, y, x_at(row.start), max(1.0, x_at(end) - x_at(row.start)), row.end is None, wet, dots)


def scale_days(first: date, last: date) -> list[date]:
    """Give first days of months between two days, so far apart that there are at most twelve."""
    months = max(1, (last.year - first.year) * 12 + last.month - first.month)
    step = next((step for step in _MONTHS if months / step <= _MOST_MARKS), 12 * (months // (12 * _MOST_MARKS) + 1))
    after = (first.replace(day=1) + timedelta(days=31)).replace(day=1)
    count = after.year * 12 + after.month - 1
    count += -count % step
    found = []
    while (day := date(count // 12, count % 12 + 1, 1)) <= last:
        found.append(day)
        count += step
    return found
