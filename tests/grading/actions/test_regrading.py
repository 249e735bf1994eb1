"""Blind re-grades through their acts: who may pick what, and what stays as it was."""

import pytest

from grading.models import RegradePlan, Sample
from grading.queries.grades import grades_of
from inventory.actions.reversing import reverse
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.grading.regrading import again, first, laid_out, told
from tests.grading.station import NOW, Bench, station
from tests.make import kg_left

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench() -> Bench:
    bench = station()
    bench.lots("24-0016-5", plot="QM24-P-1-1")
    first(bench, "G03")
    return bench


def refused(work):
    with pytest.raises(Refused) as caught:
        work()
    return [(mistake.code, mistake.field) for mistake in caught.value.mistakes]


def test_a_blind_sample_is_the_same_beans_under_another_tag(bench):
    lot = Sample.objects.get(number="G03").lot
    sample = laid_out(bench, "G03", "G17")
    assert (sample.is_blind, sample.drawn_mg, sample.lot, sample.file_sample_of.number) == (True, 0, lot, "G03")
    assert kg_left(lot) == 598
    again(bench, "G17")
    assert verify(bench.plant.station).is_whole


def test_the_lot_keeps_the_grade_that_it_had(bench):
    laid_out(bench, "G03", "G17")
    again(bench, "G17", weights_g={"splits": "24"}, sound_g="476.3")
    lot = Sample.objects.get(number="G03").lot
    assert [each.sample.number for each in grades_of(bench.plant.station, [lot.pk])[lot.pk]] == ["G03"]


def test_the_same_grader_may_not_pick_it_again(bench):
    laid_out(bench, "G03", "G17")
    assert refused(lambda: again(bench, "G17", grader="Bench-1 ")) == [("same_grader", "grader")]


def test_who_laid_it_out_may_not_pick_it(bench):
    laid_out(bench, "G03", "G17", by="bench")
    assert refused(lambda: again(bench, "G17", grader="")) == [("laid_it_out", "grader")]


def test_a_further_portion_of_it_is_held_to_the_same_rule(bench):
    laid_out(bench, "G03", "G17")
    again(bench, "G17")
    assert refused(lambda: again(bench, "G17", grader="bench-1")) == [("same_grader", "grader")]


def test_a_regrade_of_a_regrade_is_refused(bench):
    laid_out(bench, "G03", "G17")
    again(bench, "G17")
    assert refused(lambda: laid_out(bench, "G17", "G18")) == [("regrade_of_regrade", "file_sample_of")]
    open_one = {"file_sample_of": "G17", "number": "G18", "at": "2024-10-10"}
    assert refused(lambda: told(bench, "bench sample", open_one)) == [("regrade_of_regrade", "file_sample_of")]


def test_a_sample_that_was_never_graded_has_nothing_to_be_held_against(bench):
    told(bench, "bench sample", {"lot": "24-0016-5", "mass": "1", "number": "G05", "at": "2024-10-10"})
    assert refused(lambda: laid_out(bench, "G05", "G18")) == [("not_graded_yet", "file_sample_of")]


def test_nothing_is_due_without_a_plan(bench):
    assert refused(lambda: laid_out(bench, None, "G17")) == [("nothing_due", "file_sample_of")]


def test_where_every_grading_comes_back_the_oldest_is_taken_first(bench):
    told(bench, "regrade plan", {"one_in": "1"}, by="records")
    first(bench, "G04")
    first(bench, "G05", grader="bench-2")
    assert laid_out(bench, None, "G17").file_sample_of.number == "G04"
    assert laid_out(bench, None, "G18").file_sample_of.number == "G05"
    assert refused(lambda: laid_out(bench, None, "G19")) == [("nothing_due", "file_sample_of")]


def test_taken_out_and_graded_in_one_act_it_is_held_to_the_same_rules(bench):
    words = {"file_sample_of": "G03", "blind": "yes", "portion_g": "500.3", "weights_g": {"splits": "2.4"},
             "sound_g": "497.9", "at": "2024-10-10"}  # fmt: skip
    assert refused(lambda: told(bench, "grade", {**words, "grader": "bench-1"})) == [("same_grader", "grader")]
    told(bench, "grade", {**words, "grader": "bench-2", "number": "G17"}, by="records")
    assert Sample.objects.get(number="G17").is_blind
    assert verify(bench.plant.station).is_whole


def test_only_records_set_how_often_and_the_plan_may_be_taken_back(bench):
    assert refused(lambda: told(bench, "regrade plan", {"one_in": "10"})) == [("may_not", "")]
    booked = told(bench, "regrade plan", {"one_in": "10"}, by="records")
    assert RegradePlan.objects.get().one_in == 10
    reverse(booked.operations[0], station=bench.plant.station, by=bench.plant.intake, reason="no", now=NOW)
    assert verify(bench.plant.station).is_whole


@pytest.mark.parametrize("typed", ["2.5", "-1", "1001", "NaN", "often"])
def test_how_often_is_a_whole_number_in_range(bench, typed):
    [(code, field)] = refused(lambda: told(bench, "regrade plan", {"one_in": typed}, by="records"))
    assert code in {"out_of_range", "not_a_number", "not_a_mass", "unreadable"} and field == "one_in"
