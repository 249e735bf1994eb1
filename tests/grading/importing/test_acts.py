"""Acts of the bench through the general door: in words, in JSON, with their questions."""

import io
import json
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest

from grading.importing.acts import OFFERS
from grading.models import ColourReading, Portion, Sample, SeedTest, SeedWeight, SizeCurve
from inventory.importing.acts import all_acts
from inventory.models import Lot, Operation, Plot
from inventory.queries.verifying import verify
from tests.grading.booking import command
from tests.grading.refusals import (
    coloured,
    further,
    graded,
    of_health,
    of_purity,
    of_test,
    of_variety,
    screened,
    weighed,
)
from tests.grading.station import Bench, station
from tests.make import kg_left
from tests.test_refusals import flat

pytestmark = pytest.mark.django_db
SAMPLED = {"lot": "24-0016-5", "mass": "2", "points": "8", "at": "2024-10-10"}
TOLD = [
    ("bench-sample", SAMPLED, ["sample"]),
    ("grade", graded(), ["sample", "grade"]),
    ("set-tray", {"lot": "24-0016-5", "at": "2024-10-10"}, ["tray"]),
    ("germination", of_test(), ["test"]),
    ("seed-weight", weighed(), ["measure"]),
    ("size-curve", screened(), ["measure"]),
    ("colour", coloured(), ["measure"]),
    ("regrade-plan", {"one_in": "10"}, ["rules"]),
    ("seed-health", of_health(), ["test"]),
    ("variety-purity", of_variety(), ["test"]),
    ("purity", of_purity(), ["test"]),
    ("seed-limit", {"name": "bacterial blight", "most_pct": "1", "at": "2024-10-10"}, ["limit"]),
]
WHO = {"seed-limit": "breeder-qm", "regrade-plan": "records-qm"}
FILING = {"keep-file-sample", "take-file-sample-out", "discard-file-sample"}  # see actions/test_filing.py
RULING = {"draft-rules", "put-rules-in-force", "withdraw-rules"}  # they stand on each other: see actions/test_ruling.py


@pytest.fixture
def bench() -> Bench:
    bench = station()
    bench.lots("24-0016-5", plot="QM24-P-1-1")
    return bench


def done(*words: str, **options: Any) -> Any:
    by = WHO.get(words[0], "bench-qm")
    status, out, err = command(*words, **{"by": by, "json": True, **options})
    assert (status, err) == (0, "")
    return json.loads(out)


def send(monkeypatch: pytest.MonkeyPatch, words: Any) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO(json.dumps(words)))


def test_every_act_of_the_bench_is_told_here() -> None:
    # These need a sample or another person: actions/test_judging.py, actions/test_correcting.py,
    # queries/figures/test_sowing_plan.py, pages/test_prints.py, actions/test_noting.py.
    more = {"judge-card", "pack-for-sowing", "sample-tag", "correct-grade", "note-sample"} | FILING
    told = {verb for verb, _words, _kinds in TOLD} | more
    assert {offer.verb.replace(" ", "-") for offer in OFFERS} == told | RULING


@pytest.mark.parametrize(("verb", "words", "kinds"), TOLD)
def test_an_act_goes_through_by_its_words(bench, verb, words, kinds):
    facts = done(verb, *flat(words))
    assert [act["kind"] for act in facts["operations"]] == kinds
    assert (facts["lots"], facts["notes"]) == ([], [])
    assert verify(bench.plant.station).is_whole


@pytest.mark.parametrize(("verb", "words", "kinds"), TOLD)
def test_an_act_goes_through_as_one_json_object(bench, monkeypatch, verb, words, kinds):
    send(monkeypatch, words)
    facts = done(verb, "-")
    assert [act["kind"] for act in facts["operations"]] == kinds


@pytest.mark.parametrize(("verb", "words", "kinds"), TOLD)
def test_the_same_key_is_one_effect_and_one_answer(bench, verb, words, kinds):
    first = done(verb, *flat(words), key="k")
    assert done(verb, *flat(words), key="k") == first
    assert Operation.objects.count() == 1 + len(kinds)


@pytest.mark.parametrize("words", [("seed", "weight"), ("seed_weight",), ("Seed weight",), ("seed-weight",)])
def test_two_words_are_one_verb_however_they_are_joined(bench, words):
    assert len(done(*words, *flat(weighed()))["operations"]) == 1
    assert SeedWeight.objects.get().readings_g == ["18.0", "18.1", "18.3", "18.4"]


def test_a_grade_takes_its_seed_once_and_keeps_what_was_weighed(bench):
    done("grade", *flat(graded(number="G03", grader="bench-1")))
    portion = Portion.objects.get()
    assert (portion.sample.number, portion.grader, portion.portion_g, portion.weights_g["splits"]) == (
        "G03", "bench-1", "500.3", "2.4",
    )  # fmt: skip
    assert kg_left(portion.sample.lot) == 598


def test_a_further_portion_takes_no_seed(bench):
    done("grade", *flat(graded(number="G03")))
    facts = done("grade", *flat(further(sample="G03", weights_g={"splits": "9.9"}, sound_g="490.4")))
    assert [act["kind"] for act in facts["operations"]] == ["grade"]
    assert Portion.objects.filter(sample__number="G03").count() == 2
    assert kg_left(Sample.objects.get().lot) == 598


def test_a_sample_that_waits_for_the_bench_is_graded_by_its_tag(bench):
    done("bench", "sample", *flat({**SAMPLED, "number": "G03"}))
    done("grade", *flat(further(sample="g03")))
    assert (Sample.objects.count(), Portion.objects.get().sample.number) == (1, "G03")


def test_weight_that_lies_in_two_dishes_is_named_in_words_and_in_json(bench, monkeypatch):
    shared = {"overlap_g": [{"factors": ["splits", "damaged"], "g": "1.1"}], "sound_g": "495.8"}
    send(monkeypatch, graded(**shared))
    done("grade", "-")
    lines = [*flat(graded(sound_g="495.8")), "overlap_g.1.factors=splits, damaged", "overlap_g.1.g=1.1"]
    done("grade", *lines)
    kept = [portion.overlap_g for portion in Portion.objects.all()]
    assert kept == [[{"factors": ["splits", "damaged"], "g": "1.1"}]] * 2


def test_a_finding_that_stops_grading_holds_the_lot(bench):
    facts = done("grade", *flat(graded()), "stops=odour, heated")
    assert [act["kind"] for act in facts["operations"]] == ["sample", "grade", "hold"]


def test_notes_come_back_with_the_act(bench):
    facts = done("germination", *flat(of_test(replicates=["80", "95", "99", "96"], mass=None)))
    assert any("spread over 19 points" in note for note in facts["notes"])
    assert any("nothing was taken off the lot" in note for note in facts["notes"])
    assert SeedTest.objects.get().normal == [80, 95, 99, 96]


def test_a_curve_and_a_colour_are_kept_in_order_and_exactly(bench):
    done("size curve", *flat(screened()))
    done("colour", *flat(coloured(illuminant="C")))
    assert SizeCurve.objects.get().screens == [["12/64 slot", "50"], ["11/64 slot", "48"], ["pan", "2"]]
    colour = ColourReading.objects.get()
    assert (colour.lightness, colour.a, colour.b, colour.illuminant) == ("70.1", "2.4", "13.2", "C")


def test_a_curve_that_was_weighed_keeps_its_grams_and_the_shares_they_make(bench):
    screens = [{"screen": "12", "g": "200.5"}, {"screen": "11", "g": "96"}, {"screen": "pan", "g": "3.5"}]
    facts = done("size curve", *flat(screened(screens=screens, sieved_g="301", shape="slot")))
    row = SizeCurve.objects.get()
    assert row.screens == [["12", "66.8333"], ["11", "32.0000"], ["pan", "1.1667"]]
    assert (row.grams, row.sieved_g, row.shape) == (["200.5", "96", "3.5"], "301", "slotted")
    assert facts["notes"] == ["Read '12, 11' as 64ths of an inch: 12/64 in slotted, 11/64 in slotted."]


def test_a_plan_is_packed_by_words(bench):
    words = ["entries.1.lot=24-0016-5", "entries.1.plots=QM24-P-1-2", "grams=40", "at=2025-05-20"]
    old = Plot.objects.get(code="QM24-P-1-1")
    old.pk, old.uid, old.code, old.season = None, uuid4(), "QM24-P-1-2", 2025
    old.save()
    facts = done("pack for sowing", *words, by="breeder-qm")
    assert [act["kind"] for act in facts["operations"]] == ["sow"]
    assert kg_left(Lot.objects.get(number="24-0016-5")) == Decimal("599.96")
    assert verify(bench.plant.station).is_whole


def test_the_inventory_still_draws_seed_under_its_own_verb(bench):
    done("sample", "lot=24-0016-5", "mass=2")
    assert Sample.objects.count() == 0


def test_without_a_verb_they_are_listed_with_what_they_need() -> None:
    lines = dict(line.split(": ", 1) for line in command()[1].splitlines()[:-1])
    assert list(lines) == list(all_acts())
    assert "portion_g*" in lines["grade"].split(", ")
    assert lines["germination"].startswith("lot*, replicates*")


def test_a_verb_alone_tells_what_each_field_takes() -> None:
    told = dict(line.split(maxsplit=1) for line in command("grade")[1].splitlines())
    assert told["portion_g"] == "needed; grams, such as 500.3"
    assert told["weights_g.NAME"] == "grams of each dish, such as 2.4"
    assert told["overlap_g.1.factors"] == "needed; one or more, with commas"


def test_a_mistyped_verb_is_said_with_the_nearest() -> None:
    assert "Did you mean germination" in command("germinaton")[2]
