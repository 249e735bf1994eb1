"""The figure "cleaning": typed fractions in, advice out."""

from copy import deepcopy
from typing import Any

import pytest

from grading.queries.figures import FIGURES
from inventory.importing.words import fill
from inventory.rules.mistakes import Refused

FIGURE = FIGURES["cleaning"]


def worked(**changes: Any) -> Any:
    return FIGURE.work_out(fill(FIGURE.asks, {**FIGURE.example, **changes}), None)


def fractions(**changes: Any) -> list[dict[str, Any]]:
    """The example's fractions, with something changed in the second."""
    listed = deepcopy(FIGURE.example["fractions"])
    listed[1].update(changes)
    return listed  # type: ignore[no-any-return]


def test_it_says_the_cut_its_chance_and_what_no_screen_takes() -> None:
    answer = worked()
    assert answer.says == (
        "As it is it reads No. 2: total defects 2.78, limit 2.00.",
        "No. 1: keep what is over 10/64 x 3/4, 97.2 of 100 kept; chance 78 % (total defects).",
        "Splits: screens can take a part, 52 of 100 (over 10/64 x 3/4, 97.2 of 100 kept).",
        "Damaged: spread over all fractions, screens take 4 of 100 (over 10/64 x 3/4, 97.2 of 100 kept).",
        "Stones: screens can take most, 100 of 100 (over 10/64 x 3/4, 97.2 of 100 kept).",
    )
    assert answer.notes[0].startswith("Advice, not a grade")
    assert answer.values["official"] is False
    assert "8.7000 g / 486.20 g × 100 = 1.789387 %" in answer.working[1].formula


def test_without_a_grade_each_grade_of_the_table_has_its_cut() -> None:
    best = worked(grade="", seed_weight_g_per_100=None).values["best"]
    assert {grade: cut["kept_pct"] for grade, cut in best.items()} == {
        "No. 1": "97.22", "No. 2": "100.00", "No. 3": "100.00",
    }  # fmt: skip
    assert best["No. 1"]["chance"] is None


def even(damaged: str) -> list[dict[str, Any]]:
    """Two fractions that are alike, so that no cut helps."""
    one = {"grams": "250", "weights_g": {"damaged": damaged}}
    return [{"screen": "11/64", **one}, {"screen": "pan", **one}]


def test_a_cut_must_be_as_sure_as_wanted() -> None:
    assert worked(least_chance_pct="75").values["best"]["No. 1"]["over"] == "10/64 x 3/4"
    assert worked(least_chance_pct="99").values["best"]["No. 1"]["over"] == "11/64 x 3/4"
    never = worked(fractions=even("4.8"), sieved_g="500", least_chance_pct="95")
    assert never.values["best"]["No. 1"] is None
    assert never.says[1] == "No. 1: no cut with these screens is sure enough."


def harsh() -> list[dict[str, Any]]:
    """One seed in five lies in the pan, and all damage with it."""
    pan = {"screen": "pan", "grams": "100", "weights_g": {"damaged": "15"}}
    return [{"screen": "12/64 round", "grams": "400", "weights_g": {}}, pan]


def test_a_cut_that_throws_away_too_much_is_never_plain_advice() -> None:
    answer = worked(fractions=harsh(), sieved_g="500", seed_weight_g_per_100=None)
    assert answer.says[1] == (
        "No. 1: no cut that keeps 90 of 100 or more reads so. To keep what is over 12/64 round would, but only 80.0 of "
        "100 kept: that is no cleaning any more. Blend or re-sort, or say least_kept_pct=80 if it is worth it."
    )
    assert answer.values["best"]["No. 1"]["keeps_enough"] is False


def test_who_says_that_a_harsh_cut_is_worth_it_is_told_it_plainly() -> None:
    answer = worked(fractions=harsh(), sieved_g="500", seed_weight_g_per_100=None, least_kept_pct="80")
    assert answer.says[1] == "No. 1: keep what is over 12/64 round, 80.0 of 100 kept."


def test_where_no_cut_helps_the_nearest_is_named() -> None:
    assert worked(fractions=even("6.0"), sieved_g="500").says[1] == (
        "No. 1: no cut with these screens reads so; the nearest (no cut, 100.0 of 100 kept): "
        "total defects 2.40, limit 2.00."
    )


def test_a_published_table_is_read_too_and_says_what_it_cannot_predict() -> None:
    answer = worked(rule_set="CA-BEANS", market_class="Pea", grade="No. 1 Canada")
    assert "judged by eye" in answer.notes[-1]
    assert answer.values["best"]["No. 1 Canada"] is not None


@pytest.mark.parametrize(
    ("changes", "field", "says"),
    [
        ({"rule_set": ""}, "rule_set", "Give the id of a rule set"),
        ({"rule_set": "QM-DEMI"}, "rule_set", "Did you mean QM-DEMO?"),
        ({"market_class": "lentil"}, "market_class", "We know no class of QM-DEMO"),
        ({"grade": "No. 4"}, "grade", "We know no grade of QM-DEMO for navy"),
        ({"sieved_g": "510"}, "sieved_g", "Screens and pan hold 500.10 g, but 510 g were sieved: 1.94 % off"),
        ({"fractions": fractions(screen="12/64 x 3/4")}, "fractions.2", "stands twice"),
        ({"fractions": fractions(screen="13/64 x 3/4")}, "fractions.2", "from the widest hole down"),
        ({"fractions": fractions(screen="fine")}, "fractions.2.screen", "holds the word 'fine'"),
        ({"fractions": fractions(grams="NaN")}, "fractions.2.grams", "cannot be read as a number"),
        ({"fractions": fractions(grams="-1")}, "fractions.2.grams", "it lies from 0"),
        ({"fractions": fractions(grams="")}, "fractions.2.grams", "is missing"),
        ({"fractions": fractions(picked_g="300")}, "fractions.2.picked_g", "more than the 214.1 g"),
        ({"fractions": fractions(picked_g="0")}, "fractions.2.picked_g", "The portion weighs 0 g"),
        ({"fractions": fractions(weights_g={"stain": "1"})}, "fractions.2.weights_g.stain", "We know no dish"),
        ({"fractions": fractions(weights_g={"total_defects": "1"})}, "fractions.2.weights_g.total_defects", "no dish"),
        ({"fractions": fractions(weights_g={"splits": "x"})}, "fractions.2.weights_g.splits", "cannot be read"),
        ({"fractions": fractions(weights_g={"splits": "214.2"})}, "fractions.2.weights_g.splits", "more than the"),
        (
            {"fractions": fractions(weights_g={"splits": "200", "damaged": "20"})},
            "fractions.2.weights_g", "All dishes together weigh 220 g",
        ),
        ({"fractions": fractions()[:1]}, "fractions", "There are 1 fractions. Give from 2 to 30"),
        ({"fractions": fractions() * 8}, "fractions", "There are 32 fractions"),
        ({"seed_weight_g_per_100": "0"}, "seed_weight_g_per_100", "it lies from 0.1"),
        (
            {"least_chance_pct": "95", "seed_weight_g_per_100": None}, "seed_weight_g_per_100",
            "A chance needs the weight of 100 seeds",
        ),
        ({"least_chance_pct": "100"}, "least_chance_pct", "up to 99"),
        ({"least_kept_pct": "101"}, "least_kept_pct", "up to 100"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_a_sentence_at_its_field(changes: dict[str, Any], field: str, says: str) -> None:
    with pytest.raises(Refused) as refused:
        worked(**changes)
    found = [mistake for mistake in refused.value.mistakes if mistake.field == field]
    assert found and says in found[0].says


def test_everything_wrong_is_said_at_once() -> None:
    with pytest.raises(Refused) as refused:
        worked(rule_set="", sieved_g="x", fractions=fractions(screen="fine", grams="y"))
    assert {mistake.field for mistake in refused.value.mistakes} == {
        "rule_set", "sieved_g", "fractions.2.screen", "fractions.2.grams",
    }  # fmt: skip
