"""The figure "cleaning from past runs": what machines took, how sure the next run is, and what too few cannot say."""

from decimal import Decimal
from typing import Any

import pytest

from grading.actions.grading import SampledAndWorked
from grading.actions.portions import Worked
from grading.actions.sampling import Sampled
from grading.queries.figures import FIGURES, Answer
from grading.stats.next_one import next_one
from inventory.actions.reversing import reverse
from inventory.importing.words import fill
from inventory.models import RunRecord
from inventory.rules.mistakes import Refused
from tests.grading.station import NOW, Bench, station
from tests.make import cleaned

pytestmark = pytest.mark.django_db
FIGURE = FIGURES["cleaning from past runs"]
FED = ("24-0016-5", "24-0018-7", "24-0020-1", "24-0022-5")


@pytest.fixture
def bench() -> Bench:
    return station()


def graded(bench: Bench, lot: str, number: str, **weights: str) -> None:
    worked = Worked(portion="500", weights=weights, seed_weight="18.2")
    sample = Sampled(number=number, lot=lot, mass="2.0", points="8", at="2024-10-01")
    bench.bench(SampledAndWorked(sample=sample, portion=worked))


def ran(bench: Bench, index: int, before: dict[str, str], after: dict[str, str] | None) -> None:
    """A run over the air-screen of 500 kg to 450, graded before and, if said, after it."""
    [fed] = bench.lots(FED[index], mass="600")
    graded(bench, fed.number, f"G{index}1", **before)
    out = cleaned(bench.plant, fed, "500", "450", number=f"R{index}", at="2024-10-08")
    if after is not None:
        sample = Sampled(number=f"G{index}2", lot=out.number, mass="2.0", points="8", at="2024-10-09")
        worked = Worked(portion="500", weights=after, seed_weight="18.2")
        bench.bench(SampledAndWorked(sample=sample, portion=worked))


def three_runs(bench: Bench) -> None:
    ran(bench, 0, {"splits": "10", "damaged": "5"}, {"splits": "5", "damaged": "5"})
    ran(bench, 1, {"splits": "10", "damaged": "5"}, {"splits": "4", "damaged": "5.5"})
    ran(bench, 2, {"splits": "10", "damaged": "4"}, {"splits": "6", "damaged": "3.6"})


def worked(bench: Bench, **words: Any) -> Answer:
    return FIGURE.work_out(fill(FIGURE.asks, words), bench.plant.station)


def test_what_stays_is_paired_run_by_run(bench: Bench) -> None:
    three_runs(bench)
    machines = worked(bench).values["machines"]["air-screen"]
    assert machines["runs"] == ["R0", "R1", "R2"]
    assert machines["factors"]["splits"]["change_points"] == [-1.0, -1.2, -0.8]
    expected = next_one([0.5, 0.4, 0.6])
    assert expected is not None
    assert machines["factors"]["splits"]["stays"] == {
        "n": 3, "mean": 0.5, "sd": 0.1, "next": [round(expected.low, 6), round(expected.high, 6)],
        "method": expected.method,
    }  # fmt: skip
    assert machines["lost"]["mean"] == 0.1


def test_what_runs_cannot_tell_from_nothing_is_said(bench: Bench) -> None:
    three_runs(bench)
    says = worked(bench).says[0]
    assert "splits: 50 of 100 stay (next run 0 to 100)" in says
    assert "damaged: 100 of 100 stay, which runs cannot tell from taking nothing" in says
    assert says.endswith("10.0 of 100 of the feed did not come out clean.")


def test_a_lot_is_read_as_the_runs_would_leave_it(bench: Bench) -> None:
    three_runs(bench)
    [lot] = bench.lots(FED[3])
    graded(bench, lot.number, "G99", splits="12", damaged="2")
    answer = worked(bench, lot=lot.number)
    after = answer.values["after"]["air-screen"]
    assert (answer.values["reads_as"], after["reads_as"]) == ("No. 2", "No. 1")
    assert after["reads_pct"]["splits"][1] == "1.20"
    assert "24-0022-5 reads No. 2; after air-screen it would read No. 1 (likely No. 1 to No. 2)" in answer.says[1]


def test_a_factor_that_no_run_tells_of_stays_as_it_is(bench: Bench) -> None:
    three_runs(bench)
    [lot] = bench.lots(FED[3])
    graded(bench, lot.number, "G99", splits="1", stones="1.5")
    answer = worked(bench, lot=lot.number)
    assert "stones" in answer.values["after"]["air-screen"]["not_known"]
    assert answer.values["after"]["air-screen"]["reads_pct"]["stones"] == ["0.30"] * 3
    assert "Too few runs tell of stones and foreign material: taken as it is." in answer.says[1].replace("other ", "")


def test_two_runs_are_too_few_to_say(bench: Bench) -> None:
    for index in (0, 1):
        ran(bench, index, {"splits": "10"}, {"splits": "5"})
    ran(bench, 2, {"splits": "10"}, None)
    answer = worked(bench, lot=FED[2])
    assert answer.says[0].startswith("air-screen: 2 of 3 runs graded on both sides, too few to say what it takes;")
    assert answer.says[1] == f"After air-screen nothing can be said of {FED[2]}: too few runs."
    assert answer.values["after"]["air-screen"] == {"reads_as": None, "too_few": True}
    assert answer.table[1][-1] == "too few to say"


def test_a_run_that_was_taken_back_no_longer_counts(bench: Bench) -> None:
    ran(bench, 0, {"splits": "10"}, None)
    act = RunRecord.objects.get().operation
    reverse(act, station=bench.plant.station, by=bench.plant.intake, reason="wrong lot", now=NOW)
    answer = worked(bench)
    assert answer.values["machines"] == {}
    assert answer.working


def test_only_runs_of_the_class_that_is_meant_count(bench: Bench) -> None:
    three_runs(bench)
    assert worked(bench, market_class="Navy").values["machines"]["air-screen"]["runs"] == ["R0", "R1", "R2"]
    assert worked(bench, market_class="black").values["machines"]["air-screen"]["runs"] == []


@pytest.mark.parametrize(
    ("words", "field", "says"),
    [
        ({"lot": "24-0099-1"}, "lot", "24-0099"),
        ({"lot": FED[3]}, "lot", "has no grade to start from"),
        ({"machines": "mangle"}, "machine", "No machine is called"),
        ({"machines": "gravity"}, "machines", "We know no run over 'gravity'"),
    ],
)
def test_what_cannot_be_is_a_sentence_at_its_field(
    bench: Bench, words: dict[str, str], field: str, says: str
) -> None:  # fmt: skip
    ran(bench, 0, {"splits": "10"}, {"splits": "5"})
    bench.lots(FED[3])
    with pytest.raises(Refused) as refused:
        worked(bench, **words)
    assert [(field, True)] == [(each.field, says in each.says) for each in refused.value.mistakes]


def test_queries_do_not_grow_with_runs(bench: Bench, django_assert_max_num_queries: Any) -> None:
    three_runs(bench)
    with django_assert_max_num_queries(8):
        worked(bench)


def test_several_lots_that_came_out_count_by_their_mass(bench: Bench) -> None:
    from inventory.actions.running import Out, Run, book_run  # noqa: PLC0415 - one use

    [fed] = bench.lots(FED[0], mass="600")
    graded(bench, fed.number, "G01", splits="10")
    outs = (Out(mass="300"), Out(mass="100"))
    a_run = Run(
        number="R9", machines="sizing", feed_lot=fed.number, feed="420", outs=outs, taken_off={"throughs": "20"},
        at="2024-10-08",
    )  # fmt: skip
    booked = book_run(a_run, station=bench.plant.station, by=bench.plant.line, now=NOW)
    for index, (lot, splits) in enumerate(zip(booked.lots, ("2", "6"), strict=True)):
        sample = Sampled(number=f"G1{index}", lot=lot.number, mass="2.0", points="8", at="2024-10-09")
        bench.bench(SampledAndWorked(sample=sample, portion=Worked(portion="500", weights={"splits": splits})))
    took = worked(bench).values["machines"]["sizing"]["factors"]["splits"]
    assert took["stays"]["mean"] == float(Decimal("0.3"))  # (300 × 0.4 + 100 × 1.2) / 400 of 2 per cent
