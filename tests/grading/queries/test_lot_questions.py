"""What grading answers on the list of lots, over a whole season."""

from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from grading.queries.germination import germination_watch
from grading.queries.lot_questions import QUESTIONS, below, no_sample, not_first, one_factor, repeat, too_near, untested
from hilum.plugins.host import the_host
from inventory.models import DataMark, Stock
from tests.grading.station import Bench, season_of_lots, season_of_samples, season_of_tests, station

pytestmark = pytest.mark.django_db
TODAY = date(2026, 3, 31)


@pytest.fixture
def season() -> Bench:
    bench = station()
    season_of_lots(bench)
    season_of_samples(bench)
    season_of_tests(bench)
    DataMark.objects.update_or_create(only=True, defaults={"is_demo": True, "today": TODAY})
    return bench


def test_lots_below_the_threshold_name_their_test(season: Bench) -> None:
    found = below(season.plant.station)
    assert "24-0023-0" in found
    assert found["24-0023-0"].startswith("79 % by T")
    assert "25-0019-2" in too_near(season.plant.station)


def test_every_answer_is_that_of_the_watch(season: Bench) -> None:
    watch = germination_watch(season.plant.station, TODAY)
    here = season.plant.station
    assert set(below(here)) == {each.lot.number for each in watch.below}
    assert set(too_near(here)) == {each.lot.number for each in watch.too_near}
    assert set(repeat(here)) == {each.lot.number for each in watch.repeat}
    assert set(untested(here)) == {each.lot.number for each in (*watch.older, *watch.never)}


def test_what_holds_a_lot_back_is_said_and_one_factor_alone_is_part_of_it(season: Bench) -> None:
    found = not_first(season.plant.station)
    assert "total defects 2.34, limit 2.00" in found["24-0023-0"]
    assert set(one_factor(season.plant.station)) <= set(found)
    assert "24-0021-7" not in found


def test_lots_without_a_sample_are_those_in_store_that_none_was_drawn_of(season: Bench) -> None:
    found = no_sample(season.plant.station)
    there = set(Stock.objects.filter(mg__gt=0).values_list("lot__number", flat=True))
    assert found
    assert set(found) < there
    assert "24-0021-7" not in found


def test_every_question_names_lots_in_store_alone(season: Bench) -> None:
    there = set(Stock.objects.filter(mg__gt=0).values_list("lot__number", flat=True))
    for question in QUESTIONS:
        assert set(question.answer(season.plant.station.code, "")) <= there, question.name


@pytest.mark.parametrize("name", ["no-sample", "below", "too-near", "repeat", "untested", "not-first", "one-factor"])
def test_a_question_costs_at_most_four_queries_however_many_lots_there_are(season: Bench, name: str) -> None:
    question = next(one for one in the_host().lot_questions("ST") if one.name == name)
    with CaptureQueriesContext(connection) as asked:
        question.answer(season.plant.station.code, "")
    assert len(asked) <= 4
