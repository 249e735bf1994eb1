"""A whole season of samples and tests read back from the books, to the digit."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from grading.queries.agreement import agreement
from grading.queries.behind import at_the_limit, how_sure, not_first_grade
from grading.queries.facts import facts_of_lots
from grading.queries.germination import germination_of, germination_watch, germinations_of
from grading.queries.grades import grades_of, pool, sample_answer
from grading.queries.panels import panels_of_lot
from grading.stats.beta import chance_text
from inventory.models import Lot
from inventory.rules.mistakes import Refused
from tests.grading.station import (
    Bench,
    benched,
    empty,
    row_of,
    season_of_lots,
    season_of_samples,
    season_of_tests,
    station,
    table,
)

pytestmark = pytest.mark.django_db
TODAY = date(2026, 3, 31)
GONE = ("24-0001-5", "24-0014-0", "24-0016-5", "24-0018-7", "24-0022-5")


@pytest.fixture
def bench() -> Bench:
    return station()


@pytest.fixture
def season(bench: Bench) -> Bench:
    season_of_lots(bench)
    season_of_samples(bench)
    season_of_tests(bench)
    return bench


def factor(result: dict[str, Any], name: str) -> dict[str, Any]:
    found: dict[str, Any] = next(entry for entry in result["factors"] if entry["factor"] == name)
    return found


def test_every_sample_reads_back_to_the_digit(season: Bench) -> None:
    for wanted in table("samples", "answers"):
        result = sample_answer(season.plant.station, wanted["sample"])
        total = factor(result, "total_defects")
        low, high = (f"{Decimal(end):.1f}" for end in total["interval"])
        read = {
            "sample": result["sample"],
            "total_pct": total["read_pct"],
            "likely": f"{low} to {high}",
            "foreign_material_pct": factor(result, "foreign_material")["read_pct"],
            "stones_pct": factor(result, "stones")["read_pct"],
            "contrasting_pct": factor(result, "contrasting_classes")["read_pct"],
            "reads_as": result["grade"],
            "chance": chance_text(total["within"]["No. 1"]),
        }
        assert read == wanted


def test_every_test_reads_back_to_the_digit(season: Bench) -> None:
    by_number = {
        test.number: test
        for tests in germinations_of(season.plant.station, Lot.objects.values_list("pk", flat=True)).values()
        for test in tests
    }
    for wanted in table("tests", "answers"):
        test = by_number[wanted["test"]]
        read = (test.result.mean_pct, test.result.spread, test.result.allowed, chance_text(test.chance_at_least()))
        assert read == (Decimal(wanted["mean"]), int(wanted["spread"]), int(wanted["allowed"]), wanted["chance"])


def test_two_samples_of_a_lot_are_surer_and_a_regrade_of_the_same_beans_is_not(season: Bench) -> None:
    drawn_twice, regraded = Lot.objects.get(number="24-0021-7"), Lot.objects.get(number="24-0016-5")
    grades = grades_of(season.plant.station, [drawn_twice.pk, regraded.pk])
    together = pool(grades[drawn_twice.pk])
    assert together is not None
    sure = how_sure(together)
    assert sure is not None
    assert sure.says == "93 in 100 that the lot is within 2.00 (total defects, No. 1)"
    assert (sure.low_pct, sure.high_pct, sure.samples) == (Decimal("1.4"), Decimal("2.1"), ("G07", "G06"))
    alone = pool(grades[regraded.pk])
    assert alone is not None
    assert (grades[regraded.pk][0].sample.number, alone.samples) == ("G16", ("G03",))


def test_the_factor_that_holds_a_grade_back_is_the_one_whose_chance_is_told(season: Bench) -> None:
    lot = Lot.objects.get(number="24-0018-7")
    sure = how_sure(grades_of(season.plant.station, [lot.pk])[lot.pk][0])
    assert sure is not None
    assert sure.says == "18 in 100 that the lot is within 0.50 (contrasting classes, No. 1)"


def test_a_sample_keeps_the_edition_it_was_graded_under_and_may_be_read_under_another(bench: Bench) -> None:
    bench.lots("24-0025-8", plot="QM24-P-1-1")
    bench.bench(benched(row_of(table("samples"), "G10")))
    assert sample_answer(bench.plant.station, "G10")["rule_set"] == "QM-DEMO"
    other = sample_answer(bench.plant.station, "g10", "ca-beans")
    assert other["rule_set"] == "CA-BEANS"
    assert "demo limits, from memory, not official" not in other["notes"]


def test_lots_in_store_that_are_not_of_the_first_grade_say_what_holds_them_back(season: Bench) -> None:
    empty(season, *GONE)
    behind = not_first_grade(season.plant.station)
    told = [(each.lot.number, each.grade, each.held_back) for each in behind]
    assert told == [
        ("24-0023-0", "No. 2", ("total defects 2.34, limit 2.00",)),
        ("25-0019-2", "No. 2", ("total defects 2.38, limit 2.00",)),
    ]
    assert behind[1].hint == "15.9 of 23.8 g picked out are damaged: screens will not take this out"
    limit = at_the_limit(season.plant.station)
    assert [(each.lot.number, each.at_limit) for each in limit] == [("25-0018-4", ("total defects 2.00",))]


def test_the_germination_watch_before_planting(season: Bench) -> None:
    empty(season, *GONE)
    season.lots("24-0006-6", "24-0007-7", mass="12", at="2024-10-01")
    watch = germination_watch(season.plant.station, TODAY)
    assert [each.lot.number for each in watch.below] == ["24-0023-0"]
    assert [each.lot.number for each in watch.too_near] == ["25-0019-2"]
    assert watch.repeat == ()
    older = ["24-0017-9", "24-0019-8", "24-0021-7", "24-0023-0", "24-0025-8"]
    assert [each.lot.number for each in watch.older] == older
    never = [each.lot.number for each in watch.never if each.lot.mg > 1_000]
    assert never == ["24-0006-6", "24-0007-7"]


def test_a_test_that_broke_its_spread_waits_for_its_retest_and_is_then_replaced(season: Bench) -> None:
    lot = Lot.objects.get(number="24-0021-7")
    newest = germination_of(lot)
    assert newest is not None
    assert (newest.number, newest.result.mean_pct) == ("T05", 89)
    assert germination_of(lot, before=date(2024, 11, 25)) is None
    on_the_day = germination_watch(season.plant.station, date(2024, 11, 20))
    assert [each.lot.number for each in on_the_day.repeat] == ["24-0021-7"]


def test_a_sample_that_is_not_graded_says_what_to_do(bench: Bench) -> None:
    with pytest.raises(Refused, match="is not a sample we know"):
        sample_answer(bench.plant.station, "G03")


def test_facts_of_two_hundred_lots_cost_as_many_queries_as_of_one(season: Bench) -> None:
    numbers = list(Lot.objects.values_list("number", flat=True))
    many = numbers * 20
    with CaptureQueriesContext(
        connection,
    ) as one:
        facts_of_lots(season.plant.station, numbers[:1])
    with CaptureQueriesContext(connection) as all_of_them:
        facts = facts_of_lots(season.plant.station, many[:200])
    assert len(one) == len(all_of_them) == 4
    assert facts["24-0023-0"] == {
        "last_grade": "No. 2", "last_grade_on": "2024-10-24", "nearest_limit": "total defects 2.34, limit 2.00",
        "last_germination": "79 %", "last_germination_on": "2024-11-25",
    }  # fmt: skip
    assert facts["24-0016-5"] == {
        "last_grade": "No. 1", "last_grade_on": "2024-10-11", "nearest_limit": "total defects 1.10 of 2.00",
        "last_germination": "90 %", "last_germination_on": "2025-12-02",
    }  # fmt: skip
    assert {**facts["24-0014-0"], "nearest_limit": ""} == {
        "last_grade": "No. 2", "last_grade_on": "2024-10-08", "nearest_limit": "",
    }  # fmt: skip


def test_a_lots_boxes_say_grade_sureness_bases_and_that_it_is_no_certificate(season: Bench) -> None:
    panels = {panel.title: panel.rows for panel in panels_of_lot(season.plant.station, "24-0018-7")}
    rows = panels["Grade"]
    assert ("Grade", "No. 2: contrasting classes 0.62, limit 0.50") in rows
    assert ("Contrasting classes", "0.62 % of the cleaned weight") in rows
    assert ("Rule set", "QM-DEMO, edition 1 (demo limits, from memory, not official)") in rows
    notes = [text for name, text in rows if name == "Note"]
    assert any("not an official certificate" in note for note in notes)
    assert len([text for _name, text in rows if "demo limits, from memory, not official" in text]) == 1  # said once
    germination = dict(panels_of_lot(season.plant.station, "25-0019-2")[1].rows)
    assert germination["Germination"] == "86 %, T11 of 2025-11-18"
    assert germination["At least 85 %"] == "71 % chance, too near to call"


def test_a_lots_box_says_whether_its_portions_agree_and_how_it_was_sampled(season: Bench) -> None:
    rows = dict(panels_of_lot(season.plant.station, "24-0021-7")[0].rows)
    assert rows["Portions"].startswith("G06 and G07 agree (total defects: chi-square 0.52 on 1 df")
    alone = dict(panels_of_lot(season.plant.station, "24-0016-5")[0].rows)
    assert "Portions" not in alone
    assert alone["Sampling"] == "8 points probed; the rule asks 8"
    tested = dict(panels_of_lot(season.plant.station, "25-0019-2")[1].rows)
    assert "the rule asks" in tested["Sampling"] and "(sample G" in tested["Sampling"]


def test_portions_that_differ_by_more_than_picking_chance_are_said_to(season: Bench) -> None:
    lot = Lot.objects.get(number="24-0021-7")
    first, second = grades_of(season.plant.station, [lot.pk])[lot.pk]
    splits = {**second.portion.weights_g, "splits": Decimal("24.1")}
    apart = [first, replace(second, portion=replace(second.portion, weights_g=splits))]
    assert agreement(apart, "total defects").startswith("G06 and G07 differ by more than picking chance")
    assert agreement(apart, "no such factor") == agreement([first], "total defects") == ""


def test_a_stored_sample_gives_its_sampling_and_the_chances_of_its_grades(season: Bench) -> None:
    answer = sample_answer(season.plant.station, "G06")
    assert (answer["sampling"]["scheme"], answer["sampling"]["asked"]) == ("bins", 8)
    assert round(answer["grade_chances"]["No. 1"], 2) == 0.71
    assert any("probed; the rule asks 8 (bins:" in note for note in answer["notes"])
