"""Runs of several lots, of bags, in parts and by hand; what is found later; what the line lost."""

from datetime import date
from decimal import Decimal

import pytest

from inventory.actions.additions import Addition, add_to_run
from inventory.actions.reversing import reverse
from inventory.actions.running import Out, Run, book_run
from inventory.models import Entry, Lot, Operation, RunRecord, Standing, Stock
from inventory.queries.losses import losses, losses_by_machines
from inventory.queries.runs import find_run, next_run_number, open_runs, run_balance, uncleaned_before, went_before
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.inventory.line_books import ran
from tests.make import NOW, House, bagged, house, kg_left, received

pytestmark = pytest.mark.django_db
KG = 1_000_000


@pytest.fixture
def plant() -> House:
    return house()


def later(plant: House, run: str, at: str = "2024-10-17", **taken_off: str) -> Operation:
    addition = Addition(run=run, taken_off=taken_off, at=at)
    return add_to_run(addition, station=plant.station, by=plant.line, now=NOW).operations[0]


R14 = "R14 | 2024-10-16 | air-screen | 1130.0 | 1041.0 | scalpings 12.0, throughs 38.5, liftings 16.5"


# one feed, several lots


def test_sizing_makes_a_lot_of_each_size(plant: House) -> None:
    made = ran(plant, "R03 | 2024-10-09 | sizing | 703.0 | 587.2, 103.8 | throughs 10.6")
    assert [kg_left(lot) for lot in made] == [Decimal("587.2"), Decimal("103.8")]
    assert Operation.objects.get(run__number="R03").kind == "size"
    balance = run_balance(plant.station, "r03")
    assert (balance.unaccounted_mg, balance.unaccounted_pct, balance.allowed_ppm) == (1_400_000, "0.20", 5_000)
    assert {str(Standing.objects.get(lot=lot).line) for lot in made} == {"N-1"}
    assert verify(plant.station).is_whole


def test_what_was_picked_by_hand_is_a_stream_of_its_own(plant: House) -> None:
    off = "picked 3.4, lights 19.8, middlings 4.6, stones 0.2"
    ran(plant, f"R05 | 2024-10-17 | hand-pick belt + gravity (re-clean) | 595.6 | 566.0 | {off}")
    balance = run_balance(plant.station, "R05")
    assert balance.machines == "hand-pick + gravity"
    assert balance.streams == {"picked": 3_400_000, "lights": 19_800_000, "middlings": 4_600_000, "stones": 200_000}
    assert (balance.unaccounted_mg, balance.unaccounted_pct, balance.is_over) == (1_600_000, "0.27", False)


def test_bags_can_be_fed_in_their_order(plant: House) -> None:
    lot = bagged(plant, received(plant, "109"), count=4, part_bag="9")
    ran(plant, "R1 | 2024-12-05 | gravity | 55 | 52 | lights 3", feed_lot=lot.number, feed_bags="5, 1-2")
    left = Stock.objects.filter(lot=lot, mg__gt=0).order_by("bag_no").values_list("bag_no", "mg")
    assert list(left) == [(2, 4 * KG), (3, 25 * KG), (4, 25 * KG)]
    with pytest.raises(Refused, match=r"is in bags \(2-4\)"):
        ran(plant, "R2 | 2024-12-05 | gravity | 30 | 30 | ", feed_lot=lot.number)


# part feeds


def test_a_lot_is_fed_in_parts_but_the_same_part_twice_is_asked_about(plant: House) -> None:
    lot = received(plant, "1300").number
    ran(plant, "R1 | 2024-10-08 | air-screen | 300 | 290 | throughs 9", feed_lot=lot)
    ran(plant, "R2 | 2024-10-08 | air-screen | 310 | 300 | throughs 9", feed_lot=lot)
    ran(plant, "R3 | 2024-10-08 | gravity | 300 | 290 | lights 9", feed_lot=lot)
    twice = "R4 | 2024-10-08 | air-screen | 300.5 | 290 | throughs 9.5"
    with pytest.raises(Refused, match=r"went over the same machines that day as R1. Same run") as refusal:
        ran(plant, twice, feed_lot=lot)
    assert [mistake.level for mistake in refusal.value.mistakes] == ["duplicate"]
    assert RunRecord.objects.count() == 3
    # the next day, or beyond half a kilogram, it is a part of its own
    ran(plant, "R5 | 2024-10-09 | air-screen | 10 | 9.9 | throughs 0.1", feed_lot=lot)
    ran(plant, twice.replace("R4", "R6"), feed_lot=lot, answers={"fed_before": "second half of the bin"})


# what is found later


def test_a_tote_found_next_day_takes_its_mass_out_of_what_is_missing(plant: House) -> None:
    with pytest.raises(Refused, match=r"22.0 kg of 1,130.0 are missing \(1.95 %, allowed 1.0\)"):
        ran(plant, R14)
    ran(plant, R14, answers={"loss_over_allowed": "left open, looking for a tote"})
    assert [run.number for run in open_runs(plant.station)] == ["R14"]
    found = later(plant, "R14", throughs="17.5")
    assert list(found.entries.values_list("account", "stream", "mg")) == [
        ("screenings", "throughs", 17_500_000),
        ("unaccounted", "", -17_500_000),
    ]
    balance = run_balance(plant.station, "R14")
    assert (balance.streams["throughs"], balance.unaccounted_mg, balance.unaccounted_pct) == (
        56 * KG,
        4_500_000,
        "0.40",
    )
    assert not balance.is_over
    assert not open_runs(plant.station)
    assert verify(plant.station).is_whole


def test_no_more_is_added_in_all_than_was_missing(plant: House) -> None:
    ran(plant, R14, answers={"loss_over_allowed": "open"})
    later(plant, "R14", throughs="17.5")
    with pytest.raises(Refused, match=r"4.6 kg are added to R14, but only 4.5 kg of it are missing") as refusal:
        later(plant, "R14", lights="4.6")
    assert refusal.value.mistakes[0].code == "too_much_out"
    later(plant, "R14", lights="4.5")
    assert run_balance(plant.station, "R14").unaccounted_mg == 0


def test_an_addition_that_was_reversed_counts_no_more(plant: House) -> None:
    ran(plant, R14, answers={"loss_over_allowed": "open"})
    found = later(plant, "R14", throughs="17.5")
    reverse(found, station=plant.station, by=plant.records, reason="another run's tote", now=NOW)
    assert run_balance(plant.station, "R14").unaccounted_mg == 22 * KG
    later(plant, "R14", throughs="22")


def test_a_run_with_an_addition_is_reversed_after_it(plant: House) -> None:
    ran(plant, R14, answers={"loss_over_allowed": "open"})
    later(plant, "R14", throughs="17.5")
    run = RunRecord.objects.get().operation
    with pytest.raises(Refused, match="was used by late addition"):
        reverse(run, station=plant.station, by=plant.records, reason="slip", now=NOW)


def test_a_run_that_was_taken_back_is_in_the_books_no_more(plant: House) -> None:
    ran(plant, "R1 | 2024-10-08 | gravity | 300 | 290 | lights 9")
    reverse(find_run(plant.station, "R1").operation, station=plant.station, by=plant.records, reason="slip", now=NOW)
    with pytest.raises(Refused, match="No run 'R1' is in the books"):
        later(plant, "R1", lights="1")


# what the line lost

OCTOBER = """
    R02 | 2024-10-09 | gravity | 739.2 | 703.0 | lights 27.1, middlings 7.0, stones 0.6
    R04 | 2024-10-15 | air-screen | 640.0 | 597.6 | scalpings 7.2, throughs 22.8, liftings 8.6
    R05 | 2024-10-17 | hand-pick + gravity | 595.6 | 566.0 | picked 3.4, lights 19.8, middlings 4.6, stones 0.2
    R07 | 2024-10-18 | gravity | 668.4 | 629.5 | lights 29.2, middlings 7.6, stones 0.5
    R09 | 2024-10-24 | air-screen + gravity | 529.0 | 488.2 | throughs 17.6, lights 17.9, middlings 3.6, stones 0.6
    R11 | 2024-10-31 | gravity | 822.0 | 781.5 | lights 29.6, middlings 8.3, stones 0.8
    R12 | 2024-11-01 | gravity | 100.0 | 95.0 | lights 4.9
"""


def test_losses_of_a_machine_alone_and_of_every_stage_of_it(plant: House) -> None:
    ran(plant, OCTOBER, answers={"fed_before": "test"})
    month = (plant.station, date(2024, 10, 1), date(2024, 10, 31))
    alone = losses(*month, "gravity", is_alone=True)
    assert alone.runs == ("R02", "R07", "R11")
    assert (alone.feed_mg, alone.streams["lights"], alone.percent(alone.streams["lights"])) == (
        2_229_600_000, 85_900_000, "3.85",
    )  # fmt: skip
    assert (alone.streams["middlings"], alone.streams["stones"]) == (22_900_000, 1_900_000)
    assert (alone.unaccounted_mg, alone.percent(alone.unaccounted_mg)) == (4_900_000, "0.22")
    stages = losses(*month, "gravity")
    assert [stages.streams[name] for name in ("lights", "middlings", "stones")] == [123_600_000, 31_100_000, 2_700_000]
    rows = {row.machines: row.runs for row in losses_by_machines(*month)}
    assert rows["hand-pick + gravity"] == ("R05",)
    assert sum(row.feed_mg for row in losses_by_machines(*month)) == losses(*month).feed_mg


def test_an_empty_month_lost_nothing(plant: House) -> None:
    nothing = losses(plant.station, date(2024, 1, 1), date(2024, 1, 31), "gravity")
    assert (nothing.runs, nothing.feed_mg, nothing.percent(0)) == ((), 0, None)


def test_the_number_of_queries_does_not_grow_with_the_runs(
    plant: House, django_assert_num_queries: pytest.FixtureRequest
) -> None:
    ran(plant, OCTOBER, answers={"fed_before": "test"})
    with django_assert_num_queries(3):  # type: ignore[operator]
        losses(plant.station, date(2024, 10, 1), date(2024, 10, 31))


# was the line clean?


def test_a_run_without_clean_out_says_what_went_before(plant: House) -> None:
    ran(plant, "R06 | 2024-10-14 | air-screen (black) | 720.0 | 668.4 | scalpings 8.8, throughs 27.4, liftings 10.9")
    ran(plant, "R04 | 2024-10-15 | air-screen (not cleaned out) | 640.0 | 597.6 | throughs 38.6")
    before = uncleaned_before(find_run(plant.station, "R04"))
    assert [(run.number, run.line, run.market_class) for run in before] == [("R06", "B-1", "black")]
    assert uncleaned_before(find_run(plant.station, "R06")) == []


def test_it_looks_back_to_the_last_clean_out_of_each_machine(plant: House) -> None:
    ran(
        plant,
        """
        R1 | 2024-10-01 | air-screen (black) | 100 | 99 | throughs 1
        R2 | 2024-10-02 | gravity (black) | 101 | 100 | lights 1
        R3 | 2024-10-03 | air-screen | 102 | 101 | throughs 1
        R4 | 2024-10-04 | sizing (black) (not cleaned out) | 103 | 102 | throughs 1
        R5 | 2024-10-05 | gravity (not cleaned out) | 104 | 103 | lights 1
        R6 | 2024-10-06 | air-screen + gravity (not cleaned out) | 105 | 104 | lights 1
        """,
    )
    # the air-screen was cleaned before R3, of our line; the gravity table not since black R2
    assert [run.number for run in uncleaned_before(find_run(plant.station, "R6"))] == ["R2"]


def test_seed_of_the_same_line_does_not_matter(plant: House) -> None:
    ran(plant, "R1 | 2024-10-01 | gravity | 100 | 99 | lights 1")
    ran(plant, "R2 | 2024-10-02 | gravity (not cleaned out) | 101 | 100 | lights 1")
    run = find_run(plant.station, "R2")
    assert uncleaned_before(run) == []
    others = went_before(plant.station, "gravity", NOW, line_id=None)
    assert [other.number for other in others] == ["R2", "R1"]


def test_the_next_run_number_follows_the_highest(plant: House) -> None:
    assert next_run_number(plant.station) == "R01"
    ran(plant, "R17 | 2024-10-01 | gravity | 100 | 99 | lights 1")
    assert next_run_number(plant.station) == "R18"


# entered late


def late(plant: House, lot: Lot, feed: str, at: str, answers: dict[str, str] | None = None) -> None:
    run = Run(number="R9", machines="gravity", feed_lot=lot.number, feed=feed, outs=(Out(mass=feed),), at=at)
    book_run(run, station=plant.station, by=plant.line, answers=answers, now=NOW)


def test_more_than_was_there_on_its_day_is_asked_about_and_not_refused(plant: House) -> None:
    lot = received(plant, "800", at="2024-09-24")
    with pytest.raises(Refused, match=r"only 0.0 kg of 24-0001-5 were there on 2024-09-20; this takes 300.0") as asked:
        late(plant, lot, "300", "2024-09-20")
    assert [mistake.level for mistake in asked.value.mistakes] == ["question"]
    late(plant, lot, "300", "2024-09-20", {"negative_on_its_day": "the intake sheet has the wrong day"})
    assert kg_left(lot) == 500
    assert "the intake sheet has the wrong day" in Operation.objects.latest("seq").content


def test_what_was_taken_since_counts_on_its_own_day(plant: House) -> None:
    lot = received(plant, "800", at="2024-09-24")
    late(plant, lot, "500", "2024-10-20")
    late(plant, lot, "300", "2024-10-01")
    assert kg_left(lot) == 0


def test_a_run_that_was_taken_back_never_stood_in_the_way(plant: House) -> None:
    lot = received(plant, "800", at="2024-09-24")
    late(plant, lot, "500", "2024-10-01")
    reverse(find_run(plant.station, "R9").operation, station=plant.station, by=plant.records, reason="slip", now=NOW)
    late(plant, lot, "501", "2024-10-01")
    assert kg_left(lot) == 299


def test_no_entry_of_all_this_is_empty_or_unbalanced(plant: House) -> None:
    ran(plant, OCTOBER, answers={"fed_before": "test"})
    for operation in Operation.objects.all():
        assert sum(Entry.objects.filter(operation=operation).values_list("mg", flat=True)) == 0
