"""The figure "blend plan": lots of the books in, masses that hold a grade out, or the limit that hinders it."""

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest

from grading.actions.grading import SampledAndWorked
from grading.actions.portions import Worked
from grading.actions.sampling import Sampled
from grading.actions.testing import Germination, book_germinations
from grading.queries.figures import FIGURES, Answer
from grading.queries.shipped import shipped_rule_set
from grading.rules.outcome import outcome
from grading.rules.portion import Portion
from inventory.actions.blending import Blend, Part, blend
from inventory.actions.holding import hold
from inventory.actions.promising import Promising, promise
from inventory.actions.treating import Treating, treat
from inventory.importing.words import fill
from inventory.models import Lot
from inventory.rules.mistakes import Refused
from tests.grading.station import NOW, Bench, station

pytestmark = pytest.mark.django_db
FIGURE = FIGURES["blend plan"]
GOOD, POOR, OTHER = "24-0016-5", "24-0018-7", "24-0020-1"


@pytest.fixture
def bench() -> Bench:
    """Two lots of 500 kg of one line: one of 1 % total defects, one of 4 %."""
    bench = station()
    bench.lots(GOOD, POOR, mass="502")
    graded(bench, GOOD, "G01", damaged="5.0")
    graded(bench, POOR, "G02", damaged="20.0")
    return bench


def graded(bench: Bench, lot: str, number: str, **more: Any) -> None:
    """A portion of 500 g of a lot: dishes by name, words of `Worked` as they are."""
    known = ("splits", "damaged", "stones", "other_foreign_material", "contrasting_classes")
    weights = {dish: more.pop(dish) for dish in known if dish in more}
    worked = Worked(**{"portion": "500", "weights": weights, "seed_weight": "18.2", **more})
    sample = Sampled(number=number, lot=lot, mass="2.0", points="8", at="2024-10-10")
    bench.bench(SampledAndWorked(sample=sample, portion=worked), answers={"pan_does_not_close": "test"})


def germinated(bench: Bench, lot: str, number: str, normal: int) -> None:
    test = Germination(number=number, lot=lot, replicates=[str(normal)] * 4, mass="0.3", at="2024-11-12")
    book_germinations([test], station=bench.plant.station, by=bench.plant.bench, now=NOW)


def worked(bench: Bench, *lots: str, **words: Any) -> Answer:
    asked = {"lots": [{"lot": lot} for lot in lots or (GOOD, POOR)], "grade": "No. 1", **words}
    return FIGURE.work_out(fill(FIGURE.asks, asked), bench.plant.station)


def kg(answer: Answer) -> dict[str, str]:
    return {row["lot"]: row["kg"] for row in answer.values["plan"]}


def refused(bench: Bench, *lots: str, **words: Any) -> dict[str, str]:
    with pytest.raises(Refused) as refusal:
        worked(bench, *lots, **words)
    return {mistake.field: mistake.says for mistake in refusal.value.mistakes}


def test_all_good_seed_carries_as_much_poor_seed_as_the_rule_reads_within(bench: Bench) -> None:
    answer = worked(bench)
    # 500 kg of 1 % carry x kg of 4 % up to 2.005 %, where 2.01 would be read: x = 500 × 1.005 / 1.995 = 251.879…
    assert kg(answer) == {GOOD: "500.0", POOR: "251.879"}
    assert answer.values["reads_pct"]["total_defects"] == "2.00"
    assert answer.says[0] == f"Take 500.0 kg of {GOOD}, 251.879 kg of {POOR}: 751.879 kg that would read No. 1."
    assert "close to a limit" in answer.says[2]
    assert "(500.0 × 1.000000 + 251.879 × 4.000000) / 751.879 = 2.004998 %" in answer.working[1].formula


def test_the_table_shows_lots_mix_and_limits(bench: Bench) -> None:
    heads, good, poor, mix, limit = worked(bench, margin_points_of={"total_defects": "0.5"}).table
    assert heads[:6] == ("lot", "kg", "in store", "% of mix", "reads as", "total defects")
    assert good[:6] == (GOOD, "500.0", "500.0", "83.3", "No. 1", "1.00")
    assert poor[:6] == (POOR, "100.0", "500.0", "16.7", "No. 2", "4.00")
    assert mix[:6] == ("mix", "600.0", "", "100.0", "No. 1", "1.50")
    assert limit[4:6] == ("No. 1", "2.00")


def test_a_margin_as_a_chance_counts_each_lot_with_its_upper_bound(bench: Bench) -> None:
    answer = worked(bench, chance_pct="95")
    assert Decimal(kg(answer)[POOR]) < 200
    assert answer.values["chances"]["total_defects"] > 0.95
    assert answer.says[-1] == "Margin: each lot counts with the share that it lies under with 95 in 100."


def test_whole_bags_are_counted(bench: Bench) -> None:
    answer = worked(bench, bag_kg="25")
    assert [row["bags"] for row in answer.values["plan"]] == [20, 10]


def test_of_a_wanted_total_the_poor_lot_gives_most_so_that_good_seed_is_saved(bench: Bench) -> None:
    assert kg(worked(bench, total_kg="300", bag_kg="25")) == {GOOD: "200.0", POOR: "100.0"}


def test_poorest_first_uses_up_the_poorest_lot_before_most_seed(bench: Bench) -> None:
    bench.lots(OTHER, mass="102")
    graded(bench, OTHER, "G03", damaged="30.0")
    lots, points = (GOOD, POOR, OTHER), {"total_defects": "0.5"}
    assert kg(worked(bench, *lots, margin_points_of=points)) == {GOOD: "500.0", POOR: "100.0", OTHER: "0.0"}
    poorest = worked(bench, *lots, margin_points_of=points, aim="poorest first")
    assert Decimal(kg(poorest)[OTHER]) == Decimal("55.555")  # 500 × 0.5 / 4.5
    assert Decimal(kg(poorest)[POOR]) < Decimal("0.01")


def test_least_and_most_of_a_lot_are_kept(bench: Bench) -> None:
    ends = [{"lot": GOOD, "most_kg": "300"}, {"lot": POOR, "least_kg": "20", "most_kg": "60"}]
    assert kg(worked(bench, lots=ends)) == {GOOD: "300.0", POOR: "60.0"}


def test_germination_is_forecast_and_its_floor_held(bench: Bench) -> None:
    germinated(bench, GOOD, "T01", 96)
    germinated(bench, POOR, "T02", 84)
    free = worked(bench, total_kg="300", margin_points_of={"total_defects": "0.5"})
    assert free.values["germination_pct"] == "94.0"  # 250 of 96 and 50 of 84
    held = worked(bench, total_kg="300", germination_pct="95", margin_points_of={"total_defects": "0.5"})
    assert kg(held) == {GOOD: "275.0", POOR: "25.0"}
    assert held.table[-1][-1] == "95"
    says = "No mix of these lots holds No. 1: germination comes to 96.00 % at best, at least 97. Add a better lot."
    assert refused(bench, germination_pct="97") == {"grade": says}


def test_with_a_chance_germination_counts_with_its_lower_bound(bench: Bench) -> None:
    germinated(bench, GOOD, "T01", 96)
    germinated(bench, POOR, "T02", 84)
    # Lower bounds, by scipy's quantiles: 94.136 and 80.807 %; so (94.136 - 93) / (94.136 - 80.807) of 300 kg.
    assert kg(worked(bench, total_kg="300", germination_pct="93", chance_pct="95"))[POOR] == "25.566"
    says = refused(bench, total_kg="300", germination_pct="94", chance_pct="99")["grade"]
    assert "germination comes to 93.25 % at best, at least 94" in says


def test_one_lot_that_does_it_alone_is_said(bench: Bench) -> None:
    bench.lots(OTHER, mass="502")
    graded(bench, OTHER, "G03", damaged="50.0")
    answer = worked(bench, GOOD, OTHER, margin_points_of={"total_defects": "1.0"})
    assert kg(answer) == {GOOD: "500.0", OTHER: "0.0"}
    assert "One lot does it alone: nothing needs to be blended." in answer.says


def refused_or_not(bench: Bench, **words: Any) -> dict[str, str]:
    try:
        worked(bench, **words)
    except Refused as refusal:
        return {mistake.field: mistake.says for mistake in refusal.mistakes}
    return {}


@pytest.mark.outside("scipy.stats.beta.ppf, Jeffreys' prior; then the limit's mean of two lots solved for the second")
@pytest.mark.parametrize("place", [0, 1])
def test_a_plan_with_a_chance_can_be_redone_from_its_working(bench: Bench, place: int) -> None:
    from scipy.stats import beta  # noqa: PLC0415 - as the other tests of chances

    answer = worked(bench, chance_pct="95")
    n, part = 500 * 100 / 18.2, (0.01, 0.04)
    upper = [float(beta.ppf(0.95, n * each + 0.5, n * (1 - each) + 0.5)) for each in part]
    shown = [step for step in answer.working if step.gives.startswith("total defects of")]
    assert shown[place].formula.endswith(f" = {100 * upper[place]:.6f} %")
    # So much of the poor lot to 500 kg of the good one brings the counted mean to 2 %; found in whole grams.
    by_hand = 500 * (0.02 - upper[0]) / (upper[1] - 0.02)
    assert float(kg(answer)[POOR]) == pytest.approx(by_hand, abs=0.0011)


def test_the_limit_that_makes_it_impossible_is_named(bench: Bench) -> None:
    bench.lots(OTHER, mass="502")
    graded(bench, OTHER, "G03", damaged="30.0")
    says = "No mix of these lots holds No. 1: total defects comes to 4.000 % at best, limit 2.00. Add a better lot."
    assert refused(bench, POOR, OTHER) == {"grade": says}
    assert refused(bench, total_kg="900") == {
        "grade": (
            "No mix of 900.0 kg of these lots holds No. 1: total defects comes to 2.333 % at best, limit 2.00. "
            "Add a better lot."
        )
    }


def test_two_limits_that_clash_are_named_together(bench: Bench) -> None:
    bench.lots(OTHER, "24-0022-5", mass="502")
    graded(bench, OTHER, "G03", contrasting_classes="5.0", damaged="1.0")
    graded(bench, "24-0022-5", "G04", damaged="24.0")
    says = refused(bench, OTHER, "24-0022-5")["grade"]
    assert says.startswith("No mix of these lots holds No. 1: total defects and contrasting classes cannot be held tog")
    assert "foreign material" not in says


def test_whole_bags_that_stand_in_the_way_are_named(bench: Bench) -> None:
    ends = [{"lot": GOOD, "most_kg": "100"}, {"lot": POOR, "least_kg": "40"}]
    assert kg(worked(bench, lots=ends))[GOOD] == "100.0"
    assert refused(bench, lots=ends, bag_kg="60")["grade"].startswith(
        "No mix in whole bags of 60.0 kg holds No. 1, though one holds it weighed out finer."
    )


def test_promised_seed_is_warned_of_or_kept(bench: Bench) -> None:
    promised = Promising(lot=GOOD, mass="400", recipient="the block of 2026", at="2026-03-01")
    promise(promised, station=bench.plant.station, by=bench.plant.breeder, now=NOW)
    assert worked(bench).notes[0] == (
        f"400.0 kg of {GOOD} are promised and 100.0 kg are not: the plan takes 500.0 kg. Ask whom it was promised to, "
        "or say keep_promised=yes."
    )
    assert kg(worked(bench, keep_promised=True))[GOOD] == "100.0"
    lapsed = Promising(lot=POOR, mass="400", recipient="a grower", until="2025-12-01", at="2025-11-01")
    promise(lapsed, station=bench.plant.station, by=bench.plant.breeder, now=NOW)
    assert len([note for note in worked(bench).notes if "promised and" in note]) == 1


def test_lots_of_two_lines_meet_only_for_a_reason(bench: Bench) -> None:
    bench.lots(OTHER, plot="QM24-N-2-1", mass="502")
    graded(bench, OTHER, "G03", damaged="6.0")
    says = refused(bench, GOOD, OTHER)["two_lines_reason"]
    assert says.startswith("These are two lines (N-1, N-2).")
    assert says.endswith("Write why as two_lines_reason=…, or stop.")
    answer = worked(bench, GOOD, OTHER, two_lines_reason="feed, no seed")
    assert "Several lines, because: feed, no seed" in answer.notes


def test_seed_of_another_class_never_hides_in_a_plan(bench: Bench) -> None:
    bench.lots(OTHER, plot="QM24-B-1-1", mass="502")
    graded(bench, OTHER, "G03", damaged="6.0")
    words = {"two_lines_reason": "a trial"}
    assert "graded as black and navy" in refused(bench, GOOD, OTHER, **words)["market_class"]
    named = refused(bench, GOOD, OTHER, market_class="navy", **words)
    assert named.keys() == {"lots.2.lot"}
    assert f"{OTHER} was graded as black: in a mix read as navy every bean of it" in named["lots.2.lot"]
    assert refused(bench, GOOD, OTHER, market_class="black", **words).keys() == {"lots.1.lot"}
    assert "lots.2.lot" in refused(bench, GOOD, POOR, market_class="black")


def test_lots_of_one_class_may_be_read_under_another_rule_sets_name_for_it(bench: Bench) -> None:
    words = {"rule_set": "CA-BEANS", "market_class": "navy", "grade": "No. 1 Canada"}
    assert not any("every bean" in says for says in refused_or_not(bench, **words).values())


def _held(bench: Bench) -> None:
    hold([POOR], station=bench.plant.station, by=bench.plant.breeder, reason="germination 79 %", now=NOW)


def _treated(bench: Bench) -> None:
    coat = Treating(lot=POOR, product="a coat", dose="2 ml/kg", caution="Not for food or feed.", at="2025-12-01")
    treat(coat, station=bench.plant.station, by=bench.plant.line, now=NOW)


def _used_up(bench: Bench) -> None:
    parts = (Part(lot=GOOD, loose="100"), Part(lot=POOR))
    blend(Blend(parts=parts, place="A-01", at="2025-12-09"), station=bench.plant.station, by=bench.plant.line, now=NOW)


def _stopped(bench: Bench) -> None:
    graded(bench, POOR, "G05", damaged="1.0", stops=("odour",))


@pytest.mark.parametrize(
    ("happened", "says"),
    [
        (_held, "is on hold (germination 79 %)"),
        (_treated, "is treated"),
        (_used_up, "Nothing is left of"),
        (_stopped, "was not graded for odour"),
    ],
)
def test_a_lot_that_is_not_free_is_named(bench: Bench, happened: Callable[[Bench], None], says: str) -> None:
    happened(bench)
    assert says in refused(bench)["lots.2.lot"]


def test_a_lot_that_was_never_graded_is_named(bench: Bench) -> None:
    bench.lots(OTHER)
    assert "was never graded" in refused(bench, GOOD, OTHER)["lots.2.lot"]


def test_a_chance_needs_beans_that_were_counted(bench: Bench) -> None:
    bench.lots(OTHER)
    graded(bench, OTHER, "G03", damaged="6.0", seed_weight="")
    assert "nothing says how many beans were picked" in refused(bench, GOOD, OTHER, chance_pct="95")["lots.2.lot"]
    assert worked(bench, GOOD, OTHER).values["chances"] == {}


@pytest.mark.parametrize(
    ("words", "field", "says"),
    [
        ({"grade": ""}, "grade", "Give the grade that the blend is to hold: No. 1, No. 2 or No. 3"),
        ({"grade": "No. 9"}, "grade", "We know no grade of QM-DEMO"),
        ({"rule_set": "QM-DEMI"}, "rule_set", "Did you mean QM-DEMO?"),
        ({"total_kg": "1200"}, "total_kg", "1,200.0 kg are wanted, but there are 1,000.0"),
        ({"total_kg": "0"}, "total_kg", "it lies from 0.001"),
        ({"total_kg": "300.00005"}, "total_kg", "whole grams"),
        ({"total_kg": "x"}, "total_kg", "cannot be read as a number"),
        ({"total_kg": "310", "bag_kg": "25"}, "total_kg", "Give 300.0 or 325.0"),
        ({"bag_kg": "0"}, "bag_kg", "it lies from 0.001"),
        ({"margin_points": "0.2"}, "margin_points", "leaves nothing of No. 1's stones 0.20"),
        ({"margin_points": "-1"}, "margin_points", "it lies from 0"),
        ({"margin_points_of": {"stain": "0.1"}}, "margin_points_of.stain", "We know no limit of No. 1"),
        ({"margin_points": "0.1", "chance_pct": "95"}, "chance_pct", "in points or as a chance, not both"),
        ({"chance_pct": "100"}, "chance_pct", "up to 99.9"),
        ({"germination_pct": "101"}, "germination_pct", "up to 100"),
        ({"germination_pct": "85"}, "lots.1.lot", "no valid germination test"),
        ({"aim": "cheapest"}, "aim", "Give most seed or poorest first"),
        ({"lots": [{"lot": GOOD}]}, "lots", "A blend needs at least two lots"),
        ({"lots": []}, "lots", "none is named"),
        ({"lots": [{"lot": GOOD}, {"lot": GOOD}]}, "lots", "is named twice"),
        ({"lots": [{"lot": GOOD}, {"lot": "24-0099-1"}]}, "lots.2.lot", "24-0099"),
        ({"lots": [{"lot": GOOD, "most_kg": "501"}, {"lot": POOR}]}, "lots.1.most_kg", "only 500.0 kg of"),
        ({"lots": [{"lot": GOOD, "least_kg": "501"}, {"lot": POOR}]}, "lots.1.least_kg", "only 500.0 kg of"),
        (
            {"lots": [{"lot": GOOD, "least_kg": "50", "most_kg": "40"}, {"lot": POOR}]}, "lots.1.least_kg",
            "is more than at most 40.0",
        ),
        (
            {"lots": [{"lot": GOOD, "least_kg": "30", "most_kg": "40"}, {"lot": POOR}], "bag_kg": "25"},
            "lots.1.least_kg", "in whole bags of 25.0",
        ),
        (
            {"lots": [{"lot": GOOD, "least_kg": "100"}, {"lot": POOR, "least_kg": "50"}], "total_kg": "120"},
            "total_kg", "at least 150.0 must go in",
        ),
    ],
)  # fmt: skip
def test_what_cannot_be_is_a_sentence_at_its_field(
    bench: Bench, words: dict[str, Any], field: str, says: str
) -> None:  # fmt: skip
    assert says in refused(bench, **words)[field]


def test_the_mix_is_what_the_rule_set_itself_reads_of_the_laid_together_portions(bench: Bench) -> None:
    """500 g of the one and 250 g of the other, as if both had been picked from the mix."""
    answer = worked(bench, bag_kg="250")
    assert kg(answer) == {GOOD: "500.0", POOR: "250.0"}
    result = outcome(shipped_rule_set("QM-DEMO"), Portion("navy", Decimal(750), {"damaged": Decimal(15)}))
    assert answer.values["reads_as"] == result.grade
    assert answer.values["reads_pct"] == {
        reading.factor.name: str(reading.read_pct) for reading in result.readings if reading.limits
    }


def test_nothing_is_written(bench: Bench) -> None:
    before = Lot.objects.count()
    worked(bench)
    assert Lot.objects.count() == before
