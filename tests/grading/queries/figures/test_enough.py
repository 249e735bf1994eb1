"""Is there seed enough, and which lot first: out of the books."""

import json
from typing import Any

import pytest

from grading.queries.figures import Answer, figure_of
from inventory.actions.treating import Treating, treat
from inventory.importing.words import fill
from inventory.rules.mistakes import Refused
from tests.grading.sowing import held, store
from tests.grading.station import NOW, Bench

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench() -> Bench:
    return store()


def ask(bench: Bench, **words: Any) -> Answer:
    figure = figure_of("enough seed")
    asked = {"line": "N-1", "on": "2026-03-31", **words}
    answer = figure.work_out(fill(figure.asks, asked), bench.plant.station)
    assert json.dumps(answer.as_json)
    assert all(step.formula and step.source for step in answer.working)
    return answer


def test_an_area_at_a_rate_is_held_against_the_line_and_the_oldest_good_lot_is_used_first(bench):
    answer = ask(bench, area="0.8 ha", rate="55 kg/ha")
    assert answer.says[0] == "0.8 ha at 55 kg/ha needs 44.0 kg; N-1 has 1,089.7 kg; uses 24-0002-8 first."
    assert answer.says[1] == "600.0 kg of it is promised, which is left alone; 489.7 of 1,089.7 kg may be sown."
    assert answer.says[2] == "Enough: 44.0 kg of 24-0002-8."
    assert answer.values["uses"] == [
        {"lot": "24-0002-8", "kg": "44.0", "left_kg": "15.5", "crop": 2024, "germination_pct": "92",
         "tested_on": "2025-11-12", "places": ["L-1"]},
    ]  # fmt: skip
    assert "24-0002-8 (crop 2024, germination 92 %, 59.5 kg), 25-0002-4" in answer.working[2].formula


def test_a_mass_that_one_lot_does_not_hold_is_taken_from_the_next(bench):
    answer = ask(bench, need="100")
    assert [(one["lot"], one["kg"]) for one in answer.values["uses"]] == [("24-0002-8", "59.5"), ("25-0002-4", "40.5")]


def test_what_is_promised_is_taken_only_where_that_is_asked(bench):
    assert ask(bench, need="600").values["missing_kg"] == "110.3"
    used = ask(bench, need="600", promised="use")
    assert used.values["is_enough"]
    assert "600.0 kg of 25-0002-4 are promised." in used.notes


def test_raw_lots_count_only_where_that_is_asked_and_untested_ones_come_last(bench):
    assert ask(bench, need="1").values["has_kg"] == "1089.7"
    all_of_it = ask(bench, need="499.7", seed="all")
    assert (all_of_it.values["has_kg"], all_of_it.values["uses"][-1]["lot"]) == ("1101.7", "24-0003-1")
    assert "24-0003-1 has no germination test. Test it before sowing." in all_of_it.notes


def test_held_and_low_lots_are_left_out_with_their_reason(bench):
    held(bench, "24-0002-8")
    answer = ask(bench, need="44")
    assert answer.values["left_out"] == [{"lot": "24-0002-8", "kg": "59.5", "why": "on hold: odour"}]
    assert answer.says[0].endswith("uses 25-0002-4 first.")
    low = ask(bench, need="44", least_germination_pct="97")
    assert "25-0002-4 is left out: germination 96 % is under 97 %." in low.says
    assert low.says[2] == "Not enough: 44.0 kg of N-1 is missing."


def test_treated_seed_may_be_left_alone(bench):
    words = Treating(lot="24-0002-8", product="Seed coat", dose="2 g/kg", caution="Not for food or feed.")
    treat(words, station=bench.plant.station, by=bench.plant.line, now=NOW)
    assert "24-0002-8 is treated: never for food or feed." in ask(bench, need="44").notes
    assert ask(bench, need="44", treated="leave").values["uses"][0]["lot"] == "25-0002-4"


def test_an_old_test_is_said(bench):
    assert (
        ask(bench, need="44", on="2026-11-20").notes[0].startswith("24-0002-8 was tested 2025-11-12, more than twelve")
    )
    assert ask(bench, need="44").notes == ()


@pytest.mark.parametrize(
    ("words", "says", "field"),
    [
        ({}, "Give what is needed", "need"), ({"area": "0.8 ha"}, "Give what is needed", "need"),
        ({"need": "44", "area": "0.8 ha"}, "Give need, or area and rate", "need"),
        ({"need": "0"}, "Need is 0 kg", "need"), ({"need": "-1"}, "less than nothing", "need"),
        ({"need": "NaN"}, "cannot be read", "need"), ({"need": "44", "line": "N-9"}, "N-9", "line"),
        ({"need": "44", "promised": "maybe"}, "use or leave", "promised"),
        ({"need": "44", "least_germination_pct": "85.5"}, "whole number", "least_germination_pct"),
        ({"need": "44", "on": "someday"}, "someday", "on"),
        ({"area": "0 ha", "rate": "x"}, "Write it like 55 kg/ha", "rate"),
    ],
)  # fmt: skip
def test_what_cannot_be_answered_is_a_sentence_at_its_field(bench, words, says, field):
    with pytest.raises(Refused) as refused:
        ask(bench, **words)
    assert any(says in one.says and one.field == field for one in refused.value.mistakes), refused.value.mistakes


def test_a_hundred_lots_cost_as_many_queries_as_three(bench, django_assert_max_num_queries):
    with django_assert_max_num_queries(40) as few:
        ask(bench, need="44", seed="all")
    bench.lots(*(f"24-{number:04d}" for number in range(100, 180)), mass="3")
    with django_assert_max_num_queries(len(few)):
        ask(bench, need="44", seed="all")
