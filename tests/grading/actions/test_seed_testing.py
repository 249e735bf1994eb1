"""Seed health, purity of variety, purity and limits: kept, judged, shown and watched."""

from datetime import date
from typing import Any

import pytest

from grading.models import HealthTest, PurityTest, SeedLimit, SeedTest, VarietyTest
from grading.queries.facts import facts_of_lots
from grading.queries.germination import threshold_of
from grading.queries.panels import panels_of_lot
from grading.queries.seed_tests import counts_of, counts_to_watch, limits_in_force
from grading.queries.watch_list import watch_lines, watch_list
from grading.stats.against_limit import Judgement
from inventory.importing.acts import book
from inventory.models import Entry, Lot, Operation
from inventory.queries.verifying import verify
from tests.grading.refusals import of_health, of_purity, of_test, of_variety
from tests.grading.station import NOW, Bench, station
from tests.make import kg_left

pytestmark = pytest.mark.django_db
TODAY = date(2026, 3, 31)
NUMBER = "24-0016-5"


@pytest.fixture
def bench() -> Bench:
    bench = station()
    bench.lots(NUMBER, plot="QM24-P-1-1")
    return bench


def done(bench: Bench, verb: str, words: dict[str, Any], *, by: str = "bench", **more: Any) -> Any:
    return book(verb, words, station=bench.plant.station, by=bench.plant.people[by], now=NOW, **more)


def limit(bench: Bench, name: str, most_pct: str | None, at: str = "2024-10-01") -> None:
    done(bench, "seed limit", {"name": name, "most_pct": most_pct, "at": at}, by="breeder")


def judged(bench: Bench) -> list[str]:
    """What the newest counts of the lot say, one line each."""
    lot = Lot.objects.get(number=NUMBER)
    counts = counts_of(bench.plant.station, [lot.pk])[lot.pk]
    return [f"{counted.name}: {counted.judged.judgement}" for counted in counts]


def test_a_health_test_takes_its_seed_and_keeps_what_was_counted(bench: Bench) -> None:
    done(bench, "seed health", of_health(pathogen="  bacterial   blight"))
    row = HealthTest.objects.get()
    assert (row.pathogen, row.method, row.tested, row.found) == ("bacterial blight", "plating", 400, 1)
    entry = Entry.objects.get(account="tested")
    assert (entry.mg, entry.stream, row.drawn_mg, str(kg_left(row.lot))) == (200_000, "health", 200_000, "599.8")
    assert verify(bench.plant.station).is_whole


def test_off_types_of_plants_take_no_seed_and_say_so(bench: Bench) -> None:
    booked = done(bench, "variety purity", of_variety(counted="Plants", mass=None, described="late"))
    row = VarietyTest.objects.get()
    assert (row.counted, row.looked_at, row.off_types, row.described) == ("plants", 200, 1, "late")
    assert "nothing was taken off the lot" in booked.operations[0].content
    assert verify(bench.plant.station).is_whole


def test_a_purity_keeps_its_weights_and_is_worked_out_when_asked(bench: Bench) -> None:
    done(bench, "purity", of_purity(other_crop_g="0.9"))
    row = PurityTest.objects.get()
    assert row.parts_g == {"pure_seed": "497.3", "other_crop": "0.9", "weed": "0.2", "inert": "1.6"}
    panel = next(panel for panel in panels_of_lot(bench.plant.station, NUMBER) if panel.title == "Purity")
    assert dict(panel.rows)["Pure seed"] == "99.46 %"
    assert dict(panel.rows)["Weed seed"] == "0.04 %"


def test_a_purity_that_was_weighed_to_three_figures_is_noted(bench: Bench) -> None:
    booked = done(bench, "purity", of_purity(working_g="500", pure_seed_g=None))
    assert "asks four figures" in booked.operations[0].content


def test_hard_and_other_seeds_of_a_germination_are_kept_beside_the_normal_ones(bench: Bench) -> None:
    done(bench, "germination", of_test(hard=["2", "1", "3", "0"]))
    row = SeedTest.objects.get()
    assert (row.normal, row.others) == ([94, 95, 93, 96], {"hard": [2, 1, 3, 0]})
    assert verify(bench.plant.station).is_whole


@pytest.mark.parametrize(
    ("most_pct", "found", "judgement"),
    [(None, "1", "no limit is set"), ("0", "1", "over the limit"), ("0", "0", "none found"),
     ("1", "1", "too near to call"), ("2", "1", "within the limit")],
)  # fmt: skip
def test_a_count_is_held_against_the_stations_own_limit(bench: Bench, most_pct, found, judgement) -> None:
    if most_pct:
        limit(bench, "Bacterial Blight", most_pct)
    done(bench, "seed health", of_health(found=found))
    assert judged(bench) == [f"bacterial blight: {judgement}"]


def test_the_newest_limit_counts_and_an_empty_one_takes_it_off(bench: Bench) -> None:
    limit(bench, "rust", "1")
    limit(bench, "rust", "0.5", at="2024-10-02")
    assert limits_in_force(bench.plant.station) == {"rust": pytest.approx(0.5)}
    assert limits_in_force(bench.plant.station, date(2024, 10, 1)) == {"rust": 1}
    limit(bench, "rust", None, at="2024-10-03")
    assert limits_in_force(bench.plant.station) == {}
    assert SeedLimit.objects.count() == 3


def test_the_newest_test_of_a_pathogen_counts_and_another_one_stands_beside_it(bench: Bench) -> None:
    limit(bench, "bacterial blight", "0")
    limit(bench, "off types", "1")
    done(bench, "seed health", of_health(found="3"))
    done(bench, "seed health", of_health(found="0", at="2024-11-01"))
    done(bench, "seed health", of_health(pathogen="anthracnose"))
    done(bench, "variety purity", of_variety(off_types="5"))
    assert judged(bench) == [
        "anthracnose: no limit is set", "bacterial blight: none found", "off-types: over the limit",
    ]  # fmt: skip


def test_a_test_that_was_taken_back_says_nothing(bench: Bench) -> None:
    limit(bench, "bacterial blight", "0")
    booked = done(bench, "seed health", of_health())
    assert facts_of_lots(bench.plant.station, [NUMBER])[NUMBER]["seed_health"] == "bacterial blight over the limit"
    done(bench, "reverse", {"act": f"#{booked.operations[0].seq}"}, by="intake", reason="wrong lot")
    assert "seed_health" not in facts_of_lots(bench.plant.station, [NUMBER])[NUMBER]
    assert verify(bench.plant.station).is_whole


def test_the_watch_names_lots_over_a_limit_and_those_too_near_to_call(bench: Bench) -> None:
    limit(bench, "bacterial blight", "0")
    limit(bench, "off-types", "1")
    done(bench, "seed health", of_health())
    done(bench, "variety purity", of_variety())
    watched = counts_to_watch(bench.plant.station, TODAY)
    assert [len(watched[judgement]) for judgement in (Judgement.OVER, Judgement.TOO_NEAR)] == [1, 1]
    listed = watch_list(bench.plant.station, TODAY)
    assert [row["counted"] for row in listed["health_over"]] == ["bacterial blight"]
    assert (listed["health_near"][0]["found"], listed["health_near"][0]["tested"]) == (1, 200)
    text = "\n".join(watch_lines(listed))
    assert "Health or off-types over the limit: 1" in text
    assert "1 of 200 (seeds, 2024-10-10), at most 2.35 %; limit 1 %: too near to call" in text


def test_the_watch_of_an_earlier_day_knows_no_later_test(bench: Bench) -> None:
    limit(bench, "bacterial blight", "0")
    done(bench, "seed health", of_health())
    assert watch_list(bench.plant.station, date(2024, 10, 9))["health_over"] == []
    assert len(watch_list(bench.plant.station, date(2024, 10, 10))["health_over"]) == 1


def test_the_page_shows_each_count_with_its_upper_limit(bench: Bench) -> None:
    done(bench, "seed health", of_health())
    panel = next(panel for panel in panels_of_lot(bench.plant.station, NUMBER) if panel.title == "Health and variety")
    assert panel.rows == (
        ("Bacterial blight", "1 of 400 (plating, 2024-10-10), at most 1.18 %: no limit is set"),
    )  # fmt: skip


def test_a_limit_is_a_dated_act_without_masses(bench: Bench) -> None:
    limit(bench, "rust", "1")
    operation = Operation.objects.get(kind="limit")
    assert not operation.entries.exists()
    assert verify(bench.plant.station).is_whole


def test_the_least_germination_is_the_stations_own_and_85_where_it_set_none(bench: Bench) -> None:
    done(bench, "germination", of_test())
    here = bench.plant.station
    assert threshold_of(here) == 85
    assert watch_list(here, TODAY)["below"] == []
    done(bench, "seed limit", {"name": "Germination", "least_pct": "97", "at": "2024-10-11"}, by="breeder")
    assert [threshold_of(here), threshold_of(here, date(2024, 10, 10))] == [97, 85]
    listed = watch_list(here, TODAY)
    assert (listed["threshold_pct"], [row["lot"] for row in listed["below"]]) == (97, [NUMBER])
    assert "Below 97 %: 1" in watch_lines(listed)
    panel = next(panel for panel in panels_of_lot(here, NUMBER) if panel.title == "Germination")
    assert "At least 97 %" in dict(panel.rows)
    assert panel.uses[0].why == "germination 95 % is under 97 %"
    done(bench, "seed limit", {"name": "germination", "at": "2024-10-12"}, by="breeder")
    assert threshold_of(here) == 85
    assert limits_in_force(here) == {}
    assert verify(here).is_whole
