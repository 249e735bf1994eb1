"""Samples and gradings through their actions: what is kept, what leaves the lot, what is refused."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from grading.actions.grading import SampledAndWorked, grade_portion
from grading.actions.portions import Worked
from grading.actions.sampling import Sampled, take_sample
from grading.models import Portion, Sample
from inventory.actions.reversing import reverse
from inventory.models import ActiveHold, Entry, Operation
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.grading.station import NOW, Bench, benched, row_of, season_of_lots, season_of_samples, station, table
from tests.make import kg_left

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench() -> Bench:
    return station()


def g03(**more: Any) -> SampledAndWorked:
    return benched(row_of(table("samples"), "G03"), **more)


def taken(bench: Bench, act: Operation, **more: Any) -> Any:
    return reverse(act, station=bench.plant.station, by=bench.plant.intake, reason="wrong pan", now=NOW, **more)


def test_a_sample_leaves_its_lot_once_and_its_grading_moves_nothing(bench: Bench) -> None:
    [lot] = bench.lots("24-0016-5")
    booked = bench.bench(g03())
    assert [act.kind for act in booked.operations] == ["sample", "grade"]
    assert kg_left(lot) == 598
    assert Entry.objects.get(account="sampled").mg == 2_000_000
    sample, portion = Sample.objects.get(), Portion.objects.get()
    assert (sample.number, sample.drawn_mg, sample.points_probed, sample.points_asked) == ("G03", 2_000_000, 8, 8)
    assert (portion.sample, portion.rule_set, portion.edition) == (sample, "QM-DEMO", "1")
    assert (portion.grader, portion.operation.by) == ("bench-1", bench.plant.bench)
    assert verify(bench.plant.station).is_whole


def test_a_whole_season_of_samples_is_booked_and_verifies(bench: Bench) -> None:
    season_of_lots(bench)
    season_of_samples(bench)
    assert (Sample.objects.count(), Portion.objects.count()) == (16, 16)
    drawn = sum(entry.mg for entry in Entry.objects.filter(account="sampled"))
    assert drawn == 30_000_000
    assert verify(bench.plant.station).is_whole


def test_a_file_sample_takes_no_seed_and_stands_on_the_one_it_was_kept_from(bench: Bench) -> None:
    [lot] = bench.lots("24-0016-5")
    bench.bench(g03())
    bench.bench(benched(row_of(table("samples"), "G16")))
    regrade = Sample.objects.get(number="G16")
    assert (regrade.lot, regrade.drawn_mg, kg_left(lot)) == (lot, 0, 598)
    with pytest.raises(Refused, match="Reverse these first"):
        taken(bench, Sample.objects.get(number="G03").operation)


def test_a_slipped_decimal_point_is_asked_about_before_anything_is_saved(bench: Bench) -> None:
    bench.lots("24-0016-5")
    slipped = g03(weights={"splits": "24.0", "damaged": "3.1", "other_foreign_material": "0.1"})
    with pytest.raises(Refused) as refused:
        bench.bench(slipped)
    says = "Dishes and sound make 521.9 g, portion was 500.3. Splits 24.0: did you mean 2.4?"
    assert [mistake.says for mistake in refused.value.mistakes] == [says]
    assert not Sample.objects.exists()
    assert Operation.objects.count() == 1


def test_an_open_pan_with_a_reason_is_saved_with_it(bench: Bench) -> None:
    bench.lots("24-0016-5")
    booked = bench.bench(g03(sound="490.0"), answers={"pan_does_not_close": "spilled a dish"})
    assert "spilled a dish" in booked.operations[1].content
    assert Portion.objects.get().sound_g == "490.0"


def test_short_sampling_is_noted_and_not_refused(bench: Bench) -> None:
    bench.lots("24-0022-5", plot="QM24-B-1-1")
    booked = bench.bench(benched(row_of(table("samples"), "G08")))
    assert "4 of 8 points probed" in booked.operations[0].content
    assert Sample.objects.get().points_probed == 4


def test_a_stop_finding_holds_the_lot_at_once(bench: Bench) -> None:
    [lot] = bench.lots("24-0016-5")
    booked = bench.bench(g03(stops=["live_insects"]))
    assert [act.kind for act in booked.operations] == ["sample", "grade", "hold"]
    assert ActiveHold.objects.get().lot == lot
    assert ActiveHold.objects.get().hold.reason == "sample G03: live insects"
    taken(bench, booked.operations[1])
    assert ActiveHold.objects.exists()
    assert verify(bench.plant.station).is_whole


def test_a_grading_taken_back_leaves_its_sample_for_another(bench: Bench) -> None:
    bench.lots("24-0016-5")
    booked = bench.bench(g03())
    taken(bench, booked.operations[1])
    again = replace(g03().portion, sample="g03")
    grade_portion(again, station=bench.plant.station, by=bench.plant.bench, now=NOW)
    assert Portion.objects.filter(operation__reversed_by__isnull=True).count() == 1


def test_a_lot_is_not_taken_back_while_its_sample_stands(bench: Bench) -> None:
    bench.lots("24-0016-5")
    booked = bench.bench(g03())
    making = Operation.objects.get(kind="receive")
    with pytest.raises(Refused, match="used by sample"):
        taken(bench, making)
    for act in reversed(booked.operations):
        taken(bench, act)
    taken(bench, making)
    assert verify(bench.plant.station).is_whole


def test_a_number_taken_back_may_be_used_again_and_a_standing_one_not(bench: Bench) -> None:
    bench.lots("24-0016-5", "24-0018-7")
    booked = bench.bench(g03())
    with pytest.raises(Refused, match=r"G03 is already in the books: a sample of 24-0016-5, 2024-10-10\."):
        bench.bench(g03())
    for act in reversed(booked.operations):
        taken(bench, act)
    bench.bench(g03())
    assert sorted(Sample.objects.values_list("take", flat=True)) == [0, 1]


def test_a_sample_without_a_number_gets_the_next(bench: Bench) -> None:
    [lot] = bench.lots("24-0016-5")
    bench.bench(g03())
    for _ in range(2):
        sampled = Sampled(lot=lot.number, mass="2", points="8", at="2024-11-01")
        take_sample(sampled, station=bench.plant.station, by=bench.plant.bench, now=NOW)
    assert list(Sample.objects.order_by("pk").values_list("number", flat=True)) == ["G03", "G04", "G05"]


def test_bags_are_probed_by_their_number(bench: Bench) -> None:
    from inventory.actions.bagging import Bagging, bag_off  # noqa: PLC0415 - only this test bags

    [lot] = bench.lots("24-0016-5", mass="584.9")
    bag_off(
        Bagging(lot=lot.number, count=23, part_bag="9.9", at="2024-12-02"),
        station=bench.plant.station, by=bench.plant.intake, now=NOW,
    )  # fmt: skip
    sampled = Sampled(lot=lot.number, mass="0.3", bags="24", points="7", at="2025-12-02")
    take_sample(sampled, station=bench.plant.station, by=bench.plant.bench, now=NOW)
    sample = Sample.objects.get()
    assert (sample.scheme, sample.size, sample.points_asked, sample.points_probed) == ("bags", 24, 7, 7)


REFUSALS: list[tuple[str, dict[str, Any], dict[str, Any], str]] = [
    ("the lot's check digit", {"lot": "24-0016-4"}, {}, "24-0016"),
    ("an unknown lot", {"lot": "24-0003-1"}, {}, "No lot 24-0003-1 is in the books"),
    ("no lot", {"lot": ""}, {}, "Lot is missing"),
    ("more than is there", {"mass": "700"}, {}, "600.0 kg left of 24-0016-5"),
    ("a negative mass", {"mass": "-2"}, {}, "Mass"),
    ("a future day", {"at": "2027-01-01"}, {}, "2027-01-01"),
    ("half a point", {"points": "7.5"}, {}, "Give a whole number"),
    ("an unknown scheme", {"scheme": "handful"}, {}, "sampling scheme 'handful'"),
    ("an unknown file sample", {"file_sample_of": "G99"}, {}, "'G99' is not a sample we know"),
    ("a number no tag carries", {"number": "G 03?"}, {}, "is no number for a sample"),
    ("no portion", {}, {"portion": ""}, "portion_g is missing"),
    ("a portion of nothing", {}, {"portion": "0", "weights": {}, "sound": None}, "The portion weighs 0 g"),
    ("a negative dish", {}, {"weights": {"splits": "-2.4"}}, "splits is -2.4 grams"),
    ("a dish of letters", {}, {"weights": {"splits": "a few"}}, "splits is 'a few'"),
    ("not a number", {}, {"weights": {"splits": "NaN"}}, "splits is 'NaN'"),
    ("an unknown dish", {}, {"weights": {"splitz": "2.4"}}, "Did you mean splits?"),
    ("a dish over the portion", {}, {"weights": {"splits": "600"}, "sound": None}, "more than the portion of 500.3 g"),
    ("dockage without gross", {}, {"dockage": "46"}, "dockage_g is given without gross_g"),
    ("an unknown class", {}, {"class_name": "zebra"}, "No rule set was in force for zebra"),
    ("an unknown rule set", {}, {"rule_set": "QM-DEMA"}, "Did you mean QM-DEMO?"),
    ("a rule set before its day", {"at": "2023-10-10"}, {"rule_set": "QM-DEMO"}, "was not in force"),
    ("an unknown stop", {}, {"stops": ["odor"]}, "Did you mean odour?"),
    ("graded before drawn", {}, {"at": "2024-10-09"}, "was drawn on 2024-10-10 and graded on 2024-10-09"),
]


@pytest.mark.parametrize(("case", "sampled", "worked", "says"), REFUSALS, ids=[case[0] for case in REFUSALS])
def test_what_cannot_be_is_refused_and_nothing_is_saved_by_half(
    bench: Bench, case: str, sampled: dict[str, Any], worked: dict[str, Any], says: str
) -> None:
    [lot] = bench.lots("24-0016-5", at="2023-09-24" if "before its day" in case else "2024-09-24")
    good = g03()
    item = SampledAndWorked(sample=replace(good.sample, **sampled), portion=replace(good.portion, **worked))
    with pytest.raises(Refused) as refused:
        bench.bench(item)
    assert says in str(refused.value)
    assert all(mistake.says.endswith((".", "?")) for mistake in refused.value.mistakes)
    assert (kg_left(lot), Operation.objects.count(), Sample.objects.count()) == (600, 1, 0)


def test_everything_wrong_with_sample_and_portion_is_said_at_once(bench: Bench) -> None:
    bench.lots("24-0016-5")
    good = g03()
    item = SampledAndWorked(
        sample=replace(good.sample, mass="700", points="many"),
        portion=replace(good.portion, weights={"splitz": "2.4"}),
    )
    with pytest.raises(Refused) as refused:
        bench.bench(item)
    assert {mistake.field for mistake in refused.value.mistakes} == {"mass", "points", "weights_g.splitz"}


def test_one_bad_row_keeps_the_good_ones_out(bench: Bench) -> None:
    bench.lots("24-0016-5")
    with pytest.raises(Refused):
        bench.bench(g03(), benched(row_of(table("samples"), "G05")))
    assert not Sample.objects.exists()


def test_the_same_number_twice_in_one_sheet_is_refused(bench: Bench) -> None:
    bench.lots("24-0016-5")
    with pytest.raises(Refused, match="in this same act"):
        bench.bench(g03(), g03())


def test_another_role_may_not_grade(bench: Bench) -> None:
    bench.lots("24-0016-5")
    with pytest.raises(Refused, match="line may not grade a sample"):
        bench.bench(g03(), by="line")


def test_an_unknown_sample_names_its_nearest(bench: Bench) -> None:
    bench.lots("24-0016-5")
    bench.bench(g03())
    worked = Worked(sample="GO4", portion="500", weights={})
    with pytest.raises(Refused, match=r"is not a sample we know\. Did you mean G03\?"):
        grade_portion(worked, station=bench.plant.station, by=bench.plant.bench, now=NOW)


def test_weights_are_kept_with_the_digits_that_were_typed(bench: Bench) -> None:
    bench.lots("24-0016-5")
    bench.bench(g03(weights={"splits": "2,40", "damaged": Decimal("3.1"), "stones": ""}))
    assert Portion.objects.get().weights_g == {"splits": "2.40", "damaged": "3.1"}
