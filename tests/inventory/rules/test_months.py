"""Months counted back from a day."""

from datetime import date

import pytest

from inventory.rules.months import Month, month_of, months_to


@pytest.mark.parametrize(("month", "last"), [(Month(2024, 2), 29), (Month(2025, 2), 28), (Month(2025, 12), 31)])
def test_a_month_ends_on_its_last_day(month: Month, last: int) -> None:
    assert (month.first.day, month.last.day) == (1, last)


def test_months_run_over_the_new_year() -> None:
    assert [str(month) for month in months_to(Month(2025, 2), 4)] == ["2024-11", "2024-12", "2025-01", "2025-02"]
    assert months_to(month_of(date(2024, 1, 31)), 1) == [Month(2024, 1)]
