"""The figures of sizes: typed stacks, lots in the books, and what is refused."""

import json
from dataclasses import dataclass
from typing import Any

import pytest

from grading.actions.measuring import HundredSeeds, Screened, measure_seed_weights, measure_sizes
from grading.queries.figures import Answer, figure_of
from inventory.importing.words import fill
from inventory.rules.mistakes import Refused
from tests.grading.station import NOW, Bench, station

pytestmark = pytest.mark.django_db
SCREENS = ["14 slot", "13", "12", "11", "10", "pan"]
NAVY = ("0.4", "5.1", "38.6", "42.3", "11.9", "1.7")
OTHER = ("3.2", "27.4", "48.5", "17.0", "3.4", "0.5")
WORKED = {
    "screens": ["32/64 round", "30/64", "28/64", "26/64", "24/64", "22/64", "20/64", "pan"],
    "grams": ["20", "95", "210", "110", "40", "18", "5", "2"],
}


@dataclass(frozen=True)
class Books:
    """A station with two lots of one line that were sieved."""

    bench: Bench

    def ask(self, name: str, **words: Any) -> Answer:
        """Work out a figure."""
        figure = figure_of(name)
        return figure.work_out(fill(figure.asks, words), self.bench.plant.station)

    def measure(self, act: Any, *measured: Any) -> None:
        """Enter measurements."""
        act(measured, station=self.bench.plant.station, by=self.bench.plant.bench, now=NOW)


@pytest.fixture
def books() -> Books:
    bench = station()
    bench.lots("24-0006-6", "24-0008-9", "24-0016-5")
    found = Books(bench)
    curves = [("24-0006-6", NAVY), ("24-0008-9", OTHER)]
    sizes = [Screened(lot=lot, screens=list(zip(SCREENS, pct, strict=True)), sieved_g="500") for lot, pct in curves]
    found.measure(measure_sizes, *sizes)
    return found


def test_screens_are_told_in_millimetres(books):
    answer = books.ask("screens", screens="24/64 round, 5.5/64 x 3/4 slot, 11.1 mm, pan")
    assert [one["mm"] for one in answer.values["screens"]] == ["9.525", "2.1828", "11.1", "0.0"]
    assert answer.working[0].formula == "24/64 × 25.4 mm = 9.525 mm"


def test_a_typed_stack_gives_every_figure_with_its_working(books):
    answer = books.ask("size curve", **WORKED, between=["30/64", "26/64"])
    values = answer.values
    assert [one["passing_pct"] for one in values["screens"]] == [
        "96.00", "77.00", "35.00", "13.00", "5.00", "1.40", "0.40", None,
    ]  # fmt: skip
    assert [values[f"d{p}_mm"] for p in (10, 50, 60, 90)] == ["10.02109", "11.39598", "11.58497", "12.44934"]
    assert [round(values[f"d{p}_log_mm"], 5) for p in (10, 50, 60, 90)] == [10.01362, 11.38972, 11.57836, 12.44379]
    assert round(values["geometric_mean_mm"], 5) == 11.24035
    assert round(values["s_gw_mm"], 6) == 0.979952
    assert round(values["cv_pct"], 5) == 8.30985
    assert (values["between_pct"], values["span"]) == ("64.00", "0.2131")
    formulas = {step.gives: step.formula for step in answer.working}
    assert formulas["D10"] == "9.525 + (10 - 5.00) / (13.00 - 5.00) × (10.3188 - 9.525) = 10.02109 mm"
    assert "20 g / 500 g × 100 = 4.0000 %; passes 100.00 - 4.00 = 96.00 %" in formulas["32/64 in round"]
    assert all(step.source for step in answer.working)
    assert json.dumps(answer.as_json)


def test_a_lot_in_the_books_gives_the_same_as_its_stack_typed(books):
    of_lot = books.ask("size curve", lot="24-0006-6")
    typed = books.ask("size curve", screens=SCREENS, pct=list(NAVY), sieved_g="500")
    assert of_lot.values == typed.values
    assert of_lot.says[0] == "24-0006-6, sieved 2026-03-31."


def test_grams_in_the_books_are_worked_with_as_they_were_weighed(books):
    names = [[name] for name in WORKED["screens"]]
    books.measure(measure_sizes, Screened(lot="24-0016-5", screens=names, grams=WORKED["grams"], sieved_g="501"))
    assert books.ask("size curve", lot="24-0016-5").values == books.ask("size curve", **WORKED).values


def test_what_the_stack_does_not_reach_is_said_and_not_guessed(books):
    answer = books.ask("size curve", screens="24/64 R, 22/64, pan", grams="50, 30, 20")
    assert (answer.values["d10_mm"], answer.values["d90_mm"], answer.values["span"]) == (None, None, None)
    assert "D10 not reached" in " ".join(answer.says)


def test_another_screen_is_read_off_the_curve(books):
    answer = books.ask("another screen", **WORKED, screen="27/64 round")
    assert (answer.values["through_pct"], answer.values["stays_pct"]) == ("24.00", "76.00")
    beyond = books.ask("another screen", **WORKED, screen="34/64 round")
    assert beyond.values["through_pct"] is None
    assert "96.0 % or more would pass" in beyond.says[0]


def test_two_lots_are_compared_and_chance_is_told_where_seeds_are_known(books):
    without = books.ask("compare sizes", lot="24-0006-6", other_lot="24-0008-9")
    assert (without.values["distance_pct"], without.values["chance"]) == (35.0, None)
    readings = [("24-0006-6", "18.2"), ("24-0008-9", "21.5")]
    books.measure(measure_seed_weights, *(HundredSeeds(lot=lot, readings=[g] * 4) for lot, g in readings))
    answer = books.ask("compare sizes", lot="24-0006-6", other_lot="24-0008-9")
    assert answer.values["seeds"] == [2747, 2325]
    assert answer.values["chance"] == 0.0001
    assert answer.says[0] == "24-0006-6 and 24-0008-9 lie 35.0 points apart, most at 4.76 mm."
    assert "less than once in 1,000: more than chance does" in answer.says[1]


def test_every_example_works(books):
    for name in ("size curve", "another screen", "compare sizes"):
        answer = books.ask(name, **figure_of(name).example)
        assert answer.says and all(step.formula and step.source for step in answer.working)


@pytest.mark.parametrize(
    ("name", "words", "says", "field"),
    [
        ("screens", {"screens": []}, "No screen is given", "screens"),
        ("screens", {"screens": ["24/64", "12 mesh"]}, "counts wires", "screens.2"),
        ("size curve", {}, "Nothing is given", "lot"),
        ("size curve", {"lot": "24-0016-5"}, "has no size curve", "lot"),
        ("size curve", {"lot": "24-0006-6", **WORKED}, "A lot and screens are given", "screens"),
        ("size curve", {**WORKED, "between": ["30/64"]}, "Between has 1 screens", "between"),
        ("size curve", {**WORKED, "between": ["26/64", "30/64"]}, "is not wider than", "between"),
        ("size curve", {**WORKED, "between": ["30/64 slot", "26/64"]}, "sort by different sizes", "between"),
        ("size curve", {**WORKED, "sieved_g": "510"}, "1.96 % off", "sieved_g"),
        ("another screen", {**WORKED, "screen": "12/64 x 3/4 slot"}, "sort by different sizes", "screen"),
        ("another screen", {**WORKED, "screen": "pan"}, "The pan has no holes", "screen"),
        ("compare sizes", {"lot": "24-0006-6"}, "Give other_lot", "other_lot"),
        ("compare sizes", {"lot": "24-0006-6", "other_lot": "24-0016-5"}, "has no size curve", "other_lot"),
        ("compare sizes", {"lot": "24-0006-6", "screens": WORKED["screens"], "other_grams": WORKED["grams"]},
         "sort by different sizes", "other_lot"),
        ("compare sizes", {"lot": "24-0006-6", "screens": ["30/64 slot", "pan"], "other_grams": ["1", "2"]},
         "on no screen that is the same", "other_lot"),
        ("compare sizes", {**WORKED, "other_grams": ["1", "2"]}, "8 screens and 2 amounts", "other_grams"),
        ("compare sizes", {**WORKED, "other_grams": WORKED["grams"], "seed_weight_g_per_100": "0"}, "is 0 g",
         "seed_weight_g_per_100"),
    ],
)  # fmt: skip
def test_what_cannot_be_worked_with_is_a_sentence_at_its_field(books, name, words, says, field):
    with pytest.raises(Refused) as refused:
        books.ask(name, **words)
    assert any(says in one.says and one.field == field for one in refused.value.mistakes), refused.value.mistakes
