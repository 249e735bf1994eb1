"""A sowing plan against the books, and packing it in one act."""

import json
from decimal import Decimal
from typing import Any

import pytest

from grading.actions.packing import PackedEntry, Packing, pack_for_sowing
from grading.queries.figures import Answer, figure_of
from inventory.importing.words import fill
from inventory.models import Lot, Operation
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.grading.sowing import held, plot_of, store, weighed
from tests.grading.station import NOW, Bench
from tests.make import kg_left

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench() -> Bench:
    found = store()
    weighed(found, "24-0002-8", "20")
    return found


def ask(bench: Bench, *entries: dict[str, Any], **words: Any) -> Answer:
    figure = figure_of("sowing plan")
    asked = {"entries": list(entries), "plots": "3", "seeds": "120", "on": "2026-03-31", **words}
    answer = figure.work_out(fill(figure.asks, asked), bench.plant.station)
    assert json.dumps(answer.as_json)
    assert all(step.formula and step.source for step in answer.working)
    return answer


def test_seeds_of_a_plot_become_grams_with_the_lot_s_germination_and_seed_weight(bench):
    answer = ask(bench, {"lot": "24-0002-8"})
    [entry] = answer.values["entries"]
    assert (entry["seeds_a_plot"], entry["grams_a_plot"], entry["kg"]) == (131, "26.09", "0.07827")
    assert answer.working[0].formula == (
        "120 plants / (0.92 × 1) = 130.43 seeds × 20 g / 100 / 1 = 26.0870 g; 3 plots × 26.09 g = 0.07827 kg"
    )
    assert answer.says[-1] == "Enough for every entry."


def test_a_line_takes_its_oldest_good_lot_that_holds_the_whole_entry(bench):
    small, large = ask(bench, {"line": "N-1"}, {"line": "N-1", "grams": "20000"}).values["entries"]
    assert (small["lot"], large["lot"]) == ("24-0002-8", "25-0002-4")


def test_entries_before_leave_less_for_those_behind(bench):
    answer = ask(bench, {"lot": "24-0002-8", "grams": "15000"}, {"lot": "24-0002-8", "grams": "5000"})
    assert not answer.values["is_enough"]
    assert "entry 2, 24-0002-8: 24-0002-8 has 14.5 kg for it, 0.5 kg too little." in answer.says


def test_a_seed_weight_of_the_line_stands_in_and_is_named(bench):
    answer = ask(bench, {"lot": "25-0002-4"})
    assert "20 g (of 24-0002-8, same line)" in answer.working[0].formula


def test_a_held_lot_is_not_packed_and_says_why(bench):
    held(bench, "24-0002-8")
    answer = ask(bench, {"lot": "24-0002-8"})
    assert answer.values["entries"][0]["why"] == "24-0002-8: on hold: odour"


@pytest.mark.parametrize(
    ("entries", "words", "says", "field"),
    [
        ([], {}, "There are 0 entries", "entries"),
        ([{}], {}, "needs a lot or a line", "entries.1.lot"),
        ([{"lot": "24-0002-8", "line": "N-1"}], {}, "one of them", "entries.1.lot"),
        ([{"lot": "24-0016-5"}], {}, "24-0016-5", "entries.1.lot"),
        ([{"lot": "24-0001-5"}], {}, "holds no seed", "entries.1.lot"),
        ([{"line": "N-9"}], {}, "N-9", "line"),
        ([{"lot": "24-0002-8"}], {"seeds": None}, "needs seeds or grams a plot", "entries.1.seeds"),
        ([{"lot": "24-0002-8"}], {"grams": "5"}, "needs seeds or grams a plot", "entries.1.seeds"),
        ([{"lot": "24-0002-8", "plots": "0"}], {}, "is 0", "entries.1.plots"),
        ([{"lot": "24-0002-8", "grams": "NaN"}], {}, "cannot be read", "entries.1.grams"),
        ([{"lot": "24-0003-1"}], {}, "has no germination test", "entries.1.germination_pct"),
        ([{"lot": "24-0002-8", "germination_pct": "0"}], {}, "is 0 %", "entries.1.germination_pct"),
    ],
)
def test_what_cannot_be_planned_is_a_sentence_at_its_field(bench, entries, words, says, field):
    with pytest.raises(Refused) as refused:
        ask(bench, *entries, **words)
    assert any(says in one.says and one.field == field for one in refused.value.mistakes), refused.value.mistakes


def pack(bench: Bench, *entries: PackedEntry, **words: Any) -> Any:
    who = bench.plant
    packing = Packing(entries=entries, at="2026-03-30", **words)
    return pack_for_sowing(packing, station=who.station, by=who.breeder, now=NOW)


def test_a_plan_is_packed_from_its_lots_in_one_go(bench):
    first, second = plot_of(2026), "QM24-N-1-2"
    booked = pack(
        bench, PackedEntry(lot="24-0002-8", plots=[first]), PackedEntry(lot="25-0002-4", plots=[second], grams="500"),
        seeds="120",
    )  # fmt: skip
    assert [operation.kind for operation in booked.operations] == ["sow", "sow"]
    left = [kg_left(Lot.objects.get(number=number)) for number in ("24-0002-8", "25-0002-4")]
    assert left == [Decimal("59.47391"), Decimal("1029.7")]
    assert verify(bench.plant.station).is_whole


def test_a_plan_is_packed_whole_or_not_at_all(bench):
    before = Operation.objects.count()
    with pytest.raises(Refused, match="59"):
        pack(
            bench, PackedEntry(lot="25-0002-4", plots=[plot_of(2026)]),
            PackedEntry(lot="24-0002-8", plots=["QM24-N-1-2"], grams="90000"), grams="500",
        )  # fmt: skip
    assert Operation.objects.count() == before


@pytest.mark.parametrize(
    ("entries", "words", "says", "field"),
    [
        ([], {"grams": "5"}, "No entry is given", "entries"),
        ([PackedEntry(lot="24-0002-8", plots=[])], {"grams": "5"}, "has no plots", "entries.1.plots"),
        ([PackedEntry(lot="24-0002-8", plots=["QM24-N-1-2"])], {}, "Give grams or seeds", "entries.1.grams"),
        ([PackedEntry(lot="24-0003-1", plots=["QM24-N-1-2"])], {"seeds": "9"}, "no germination test",
         "entries.1.germination_pct"),
        ([PackedEntry(lot="24-0002-8", plots=["QM24-N-1-2"], seeds="0")], {}, "is 0", "entries.1.seeds"),
        ([PackedEntry(lot="24-0099", plots=["QM24-N-1-2"], seeds="9")], {}, "24-0099", "entries.1.lot"),
    ],
)  # fmt: skip
def test_what_cannot_be_packed_is_a_sentence_at_its_field(bench, entries, words, says, field):
    with pytest.raises(Refused) as refused:
        pack(bench, *entries, **words)
    assert any(says in one.says and one.field == field for one in refused.value.mistakes), refused.value.mistakes
