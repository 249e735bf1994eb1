"""Germination tests through their action: what leaves the lot, what is noted, what is refused."""

from typing import Any

import pytest

from grading.actions import testing
from grading.actions.testing import Germination
from grading.models import SeedTest
from inventory.actions.bagging import Bagging, bag_off
from inventory.models import Entry, Operation, Stock
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.grading.station import NOW, Bench, season_of_lots, season_of_tests, station
from tests.make import kg_left

pytestmark = pytest.mark.django_db
GOOD: dict[str, Any] = {
    "number": "T01", "lot": "24-0016-5", "replicates": ("94", "96", "93", "93"), "mass": "0.3", "at": "2024-11-12",
}  # fmt: skip


@pytest.fixture
def bench() -> Bench:
    return station()


def book(bench: Bench, **words: Any) -> Any:
    plant = bench.plant
    return testing.book_germination(Germination(**{**GOOD, **words}), station=plant.station, by=plant.bench, now=NOW)


def test_the_seed_goes_to_tested_with_its_purpose(bench: Bench) -> None:
    [lot] = bench.lots("24-0016-5")
    book(bench)
    entry = Entry.objects.get(account="tested")
    assert (entry.mg, entry.stream, str(kg_left(lot))) == (300_000, "germination", "599.7")
    test = SeedTest.objects.get()
    assert (test.number, test.normal, test.drawn_mg) == ("T01", [94, 96, 93, 93], 300_000)


def test_a_season_of_tests_is_booked_and_verifies(bench: Bench) -> None:
    season_of_lots(bench)
    season_of_tests(bench)
    assert sum(Entry.objects.filter(account="tested").values_list("mg", flat=True)) == 3_900_000
    assert verify(bench.plant.station).is_whole


def test_seed_is_taken_out_of_a_named_bag(bench: Bench) -> None:
    [lot] = bench.lots("24-0016-5", mass="584.3")
    bag_off(
        Bagging(lot=lot.number, count=23, part_bag="9.3", at="2024-12-02"),
        station=bench.plant.station, by=bench.plant.intake, now=NOW,
    )  # fmt: skip
    book(bench, bags="24", at="2025-12-02")
    assert Stock.objects.get(lot=lot, bag_no=24).mg == 9_000_000


def test_a_spread_over_the_allowed_one_is_noted_for_a_retest(bench: Bench) -> None:
    bench.lots("24-0016-5")
    booked = book(bench, replicates=("95", "81", "92", "84"))
    says = "spread over 14 points; at a mean of 88 the table allows 13. Test again"
    assert says in booked.operations[0].content


REFUSALS: list[tuple[str, dict[str, Any], str]] = [
    ("three replicates", {"replicates": ("94", "96", "93")}, "The test has 3 replicates"),
    ("over a hundred", {"replicates": ("94", "196", "93", "93")}, "Replicate 2 counts 196"),
    ("below nought", {"replicates": ("94", "-1", "93", "93")}, "Replicate 2 counts -1"),
    ("half a seedling", {"replicates": ("94", "96.5", "93", "93")}, "Replicate 2 reads '96.5'"),
    ("letters", {"replicates": ("94", "many", "93", "93")}, "Replicate 2 reads 'many'"),
    ("fifty seeds", {"seeds_each": "50"}, "Replicates of 50 seeds"),
    ("an unknown lot", {"lot": "24-0003-1"}, "No lot 24-0003-1 is in the books"),
    ("more than is there", {"mass": "601"}, "600.0 kg left"),
    ("a future day", {"at": "2027-01-01"}, "2027-01-01"),
]


@pytest.mark.parametrize(("case", "words", "says"), REFUSALS, ids=[case[0] for case in REFUSALS])
def test_what_cannot_be_is_refused(bench: Bench, case: str, words: dict[str, Any], says: str) -> None:
    bench.lots("24-0016-5")
    with pytest.raises(Refused) as refused:
        book(bench, **words)
    assert says in str(refused.value)
    assert (Operation.objects.count(), SeedTest.objects.count()) == (1, 0)


def test_a_test_without_its_mass_is_kept_and_says_so(bench: Bench) -> None:
    [lot] = bench.lots("24-0016-5")
    booked = book(bench, mass=None)
    assert "nothing was taken off the lot" in booked.operations[0].content
    assert kg_left(lot) == 600
