"""Looking back at seasons: ripe before the frost, or not."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from inventory.rules.ripening import FROZEN, RIPE, UNKNOWN, heat_between, look_back

PLANTED = date(2024, 5, 20)
D = Decimal


def season(*, days=150, low="10", high="25", frost_on=None, without=()):
    """Days alike, with a frost and gaps at days after planting."""
    found = {PLANTED + timedelta(days=n): (D(low), D(high)) for n in range(days + 1) if n not in without}
    if frost_on:
        found[PLANTED + timedelta(days=frost_on)] = (D("-1"), D(high))
    return found


def back(days, needed="750", frost="0"):
    return look_back(days, PLANTED, D(needed), formula="growing degree days", base=D(10), frost=D(frost))


def test_it_is_ripe_on_the_day_that_brings_the_heat():
    found = back(season())  # 7.5 a day: 750 on day 100
    assert (found.outcome, found.ripe, found.frost) == (RIPE, PLANTED + timedelta(days=100), None)


def test_a_frost_before_that_day_comes_first():
    found = back(season(frost_on=99))
    assert (found.outcome, found.ripe, found.frost) == (FROZEN, None, PLANTED + timedelta(days=99))
    assert back(season(frost_on=101)).outcome == RIPE


def test_a_late_frost_of_spring_is_none():
    assert back(season(frost_on=10)).outcome == RIPE


def test_what_counts_as_a_frost_is_settled_by_who_asks():
    assert back(season(frost_on=90), frost="-2").outcome == RIPE


@pytest.mark.parametrize(
    ("days", "missing"), [(season(without=(50,)), 1), (season(days=80), 170), (season(days=250), 0)]
)
def test_it_is_not_known_where_days_are_missing_or_the_heat_is_never_reached(days, missing):
    found = back(days, needed="750" if missing == 1 else "9999")
    assert (found.outcome, found.missing) == (UNKNOWN, missing)


def test_heat_is_counted_from_the_day_after_planting_and_missing_days_are_counted():
    found = heat_between(season(without=(3, 4)), PLANTED, PLANTED + timedelta(days=10), "growing degree days", D(10))
    assert (found.total, found.missing) == (D("60.0"), 2)
