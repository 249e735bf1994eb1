"""Months of the calendar, counted back from a day."""

from calendar import monthrange
from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, order=True)
class Month:
    """A month of a year."""

    year: int
    number: int

    @property
    def first(self) -> date:
        """Its first day."""
        return date(self.year, self.number, 1)

    @property
    def last(self) -> date:
        """Its last day."""
        return date(self.year, self.number, monthrange(self.year, self.number)[1])

    def __str__(self) -> str:
        return f"{self.year}-{self.number:02d}"


def month_of(day: date) -> Month:
    """Give the month of a day."""
    return Month(day.year, day.month)


def months_to(last: Month, count: int) -> list[Month]:
    """List months up to one, the oldest first.

    Args:
        count: how many, from 1 on.
    """
    ends = last.year * 12 + last.number - 1
    return [Month(index // 12, index % 12 + 1) for index in range(ends - count + 1, ends + 1)]
