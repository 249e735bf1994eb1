"""The figure of the seed weight: typed replicates, a lot in the books, and what is refused."""

import json

import pytest

from grading.actions.measuring import HundredSeeds, measure_seed_weights
from grading.queries.figures import figure_of
from inventory.importing.words import fill
from inventory.rules.mistakes import Refused
from tests.grading.station import NOW, station

pytestmark = pytest.mark.django_db
EIGHT = "0.2224, 0.2134, 0.2130, 0.2116, 0.2145, 0.2071, 0.2116, 0.2125"


def ask(at=None, **words):
    figure = figure_of("seed weight")
    return figure.work_out(fill(figure.asks, words), at)


def test_eight_replicates_give_every_number_with_its_working():
    answer = ask(readings=EIGHT)
    values = answer.values
    assert (values["seed_weight_g_per_100"], values["seed_weight_g_per_1000"]) == ("0.2133", "2.1326")
    assert (values["variance"], values["cv_pct"], values["verdict"]) == ("1.8456964e-05", "2.01449", "accepted")
    assert values["low_g_per_100"] < 0.2132625 < values["high_g_per_100"]
    assert all(step.formula and step.source for step in answer.working)
    assert "(from memory)" in answer.working[2].source
    assert json.dumps(answer.as_json)


def test_replicates_of_fifty_are_brought_to_a_hundred():
    values = ask(readings="9, 9.05, 9.15, 9.2", seeds_each="50").values
    assert (values["seed_weight_g_per_100"], values["seeds_per_kg"]) == ("18.2000", "5495")
    assert values["low_g_per_100"] < 18.2 < values["high_g_per_100"]


def test_what_to_do_stands_in_the_answer():
    assert "weigh 8 more and give all 16" in ask(readings=", ".join(["17", "19"] * 4)).says[1]
    assert "weigh 4 × 100 seeds again" in ask(readings="17, 19, 18, 18").says[1]
    assert "are dropped; 15 count" in ask(readings=", ".join(["18"] * 15 + ["21"])).says[1]


def test_a_lot_is_read_from_the_books():
    bench = station()
    bench.lots("24-0016-5")
    words = HundredSeeds(lot="24-0016-5", readings=("18.0", "18.1", "18.3", "18.4"))
    measure_seed_weights([words], station=bench.plant.station, by=bench.plant.bench, now=NOW)
    answer = ask(bench.plant.station, lot="24-0016-5")
    assert answer.says[0] == "24-0016-5, weighed 2026-03-31."
    assert answer.says[1] == "100 seeds weigh 18.20 g, likely 17.91 to 18.49 g: 5,495 seeds per kg, 2,492 per lb."
    assert answer.values == ask(readings="18.0, 18.1, 18.3, 18.4").values


@pytest.mark.parametrize(
    ("words", "says", "field"),
    [
        ({}, "There are 0 replicates; the rule asks 4", "readings"),
        ({"readings": "18, 18, 18"}, "There are 3 replicates; the rule asks 4", "readings"),
        ({"readings": "18, 18, 18, 18, 18"}, "the rule asks 8", "readings"),
        ({"readings": "18, 0, 18, 18"}, "weighs 0 g", "readings.2"),
        ({"readings": "18, NaN, 18, 18"}, "cannot be read as a number", "readings.2"),
        ({"readings": "18, -1, 18, 18"}, "is -1 g", "readings.2"),
        ({"readings": "18, 18, 18, 18", "seeds_each": "99.5"}, "Give a whole number", "seeds_each"),
        ({"readings": "18, 18, 18, 18", "seeds_each": "0"}, "is 0", "seeds_each"),
        ({"readings": "18, 18, 18, 18", "kind": "beans"}, "chaffy grasses", "kind"),
        ({"lot": "24-0016-5"}, "Name the station", "lot"),
        ({"lot": "24-0016-5", "readings": "18"}, "Give the one or the other", "readings"),
    ],
)
def test_what_cannot_be_weighed_is_a_sentence_at_its_field(words, says, field):
    with pytest.raises(Refused) as refused:
        ask(**words)
    assert any(says in one.says and one.field == field for one in refused.value.mistakes), refused.value.mistakes


def test_a_lot_that_was_not_weighed_says_so():
    bench = station()
    bench.lots("24-0016-5")
    with pytest.raises(Refused, match="has no seed weight in the books"):
        ask(bench.plant.station, lot="24-0016-5")
