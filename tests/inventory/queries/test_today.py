"""Which moment it is for acts."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from inventory.actions.bagging import Bagging, bag_off
from inventory.models import DataMark
from inventory.queries.today import now_at, today_at
from tests.make import House, house, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    return house()


def mark(day: date) -> None:
    DataMark.objects.update_or_create(only=True, defaults={"is_demo": True, "today": day})


def test_real_books_go_by_the_clock(plant: House) -> None:
    assert datetime.now(UTC) - now_at(plant.station) < timedelta(minutes=1)


def test_what_is_done_in_a_demo_happens_on_the_day_that_its_pages_call_today(plant: House) -> None:
    mark(date(2020, 1, 1))
    assert now_at(plant.station).astimezone(ZoneInfo(plant.station.zone)).date() == today_at(plant.station)


def test_an_act_of_the_demo_never_comes_before_the_newest_one(plant: House) -> None:
    late = datetime(2025, 3, 1, 23, 59, 59, 999999, tzinfo=ZoneInfo(plant.station.zone))
    received(plant, at=late)
    mark(late.date())
    assert now_at(plant.station) == late


def test_an_act_on_a_demo_that_lies_ahead_of_the_clock_happens_on_the_demos_day(plant: House) -> None:
    day = (datetime.now(UTC) + timedelta(days=400)).date()
    lot = received(plant)
    mark(day)
    booked = bag_off(Bagging(lot=lot.number, count=2), station=plant.station, by=plant.line)
    assert booked.operations[0].at.date() == day
