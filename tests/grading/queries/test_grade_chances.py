"""Chances of grades, limits by count and the sampling in the answer of a grading."""

import pytest

from grading.queries.answers import graded
from grading.queries.answers_in_words import answer_lines
from grading.queries.grade_chances import NONE_OF_THESE
from grading.queries.piece_weights import BY_WEIGHT
from grading.queries.sampled import NOT_SAID
from grading.stats.by_weight import Pieces, by_weight
from inventory.rules.mistakes import Refused
from tests.grading.queries.test_answers import LINES, bench, factor

G04 = bench(next(line for line in LINES if line.startswith("G04")))
G06 = bench(next(line for line in LINES if line.startswith("G06")))
DRAWN = {"scheme": "bags", "size": 23, "probed": 7}
BOOKED = {"sample": "G06", "lot": "24-0016-5", "date": "2024-10-01", "grader": "A", "file_sample_of": None}


def test_the_chance_of_the_best_grade_is_that_of_its_tightest_limit_where_the_others_are_sure():
    result = graded(G06)
    within = factor(result, "total_defects")["within"]["No. 1"]
    assert list(result["grade_chances"]) == ["No. 1", "No. 2", "No. 3", NONE_OF_THESE]
    assert result["grade_chances"]["No. 1"] == pytest.approx(within, abs=0.001)
    assert sum(result["grade_chances"].values()) == pytest.approx(1, abs=2e-6)


def test_two_doubtful_limits_leave_less_than_either():
    result = graded(G04)
    both = [factor(result, name)["within"]["No. 1"] for name in ("total_defects", "contrasting_classes")]
    # The tag mix counts in both, so they hang together: more than by independence, less than the tighter one.
    assert both[0] * both[1] < result["grade_chances"]["No. 1"] <= min(both)


def test_the_plain_lines_say_the_chances_as_advice():
    lines = answer_lines({**BOOKED, **graded(G06)})
    line = next(line for line in lines if line.startswith("Chance that the lot is"))
    chances, advice = line.split(" (")
    assert chances == "Chance that the lot is: No. 1 71 %, No. 2 29 %, No. 3 <1 %, none of these <1 %"
    assert advice == "advice, rounded so that no more than 100 % stand here; the rule's own grade stands)"


@pytest.mark.parametrize(
    "change", [{"stops": ["odour"]}, {"seed_weight_g_per_100": None}], ids=["stopped", "pieces unknown"]
)
def test_without_a_grade_or_pieces_there_is_no_chance_of_a_grade(change):
    assert graded({**G06, **change})["grade_chances"] is None


def test_what_was_judged_by_eye_and_stones_are_taken_as_found():
    poor = graded({**G06, "weights_g": {**G06["weights_g"], "stones": "1.5"}})
    # 0.30 % stones: over the 0.20 of No. 1, within the 0.40 of No. 2.
    assert poor["grade_chances"]["No. 1"] == 0
    canadian = {"rule_set": "CA-BEANS", "class": "Pinto", "portion_g": 500, "weights_g": {}}
    best = graded({**canadian, "seed_weight_g_per_100": 36})["grade_chances"]
    first = next(iter(best))
    assert best[first] > 0.5


def test_stones_get_a_count_and_an_upper_limit_and_no_chance():
    none = factor(graded(G06), "stones")
    assert (none["within"], none["upper_pieces"], none["upper_pct"]) == (None, 2.9957, None)
    two = graded({**G06, "weights_g": {**G06["weights_g"], "stones": "0.8"}, "counts": {"stones": 2}})
    stones = factor(two, "stones")
    # 6.2958 stones of 0.4 g in 500 g.
    assert (stones["pieces"], stones["upper_pieces"], stones["upper_pct"]) == (2, 6.2958, "0.5037")
    assert any("2 found: so much seed holds up to 6.3 pieces on average, 0.50 %" in note for note in two["notes"])
    weighed = graded({**G06, "weights_g": {**G06["weights_g"], "stones": "0.8"}})
    assert any("Count them" in note for note in weighed["notes"])


def test_a_dish_that_was_counted_too_gets_its_range_by_its_own_pieces():
    heavy = graded({**G06, "counts": {"damaged": 25}})
    damaged = factor(heavy, "damaged")
    # 4.9 g of 25 pieces, 0.196 g each, where a bean weighs 0.194 g.
    expected = by_weight(4.9 / 500, 500, Pieces(4.9 / 25, 0.194))
    assert damaged["by_weight"]["sd_points"] == f"{expected.sd * 100:.5f}"
    assert damaged["by_weight"]["interval"] == [
        f"{e * 100:.4f}" for e in (expected.interval.low, expected.interval.high)
    ]
    assert BY_WEIGHT in heavy["notes"]
    assert factor(heavy, "splits")["by_weight"] is None and BY_WEIGHT not in graded(G06)["notes"]


def test_the_answer_says_how_the_sample_was_drawn_or_that_nobody_said():
    assert graded(G06)["sampling"] is None and NOT_SAID in graded(G06)["notes"]
    result = graded({**G06, "sampling": DRAWN})
    assert (result["sampling"]["asked"], result["sampling"]["enough"]) == (7, True)
    assert "7 of 23 bags probed; the rule asks 7." in result["notes"]
    short = graded({**G06, "sampling": {**DRAWN, "probed": 3}})
    assert "3 of 23 bags probed; the rule asks 7. The sampling was short." in short["notes"]


@pytest.mark.parametrize(
    ("drawn", "field", "says"),
    [
        (3, "sampling", "sampling is 3"),
        ({}, "sampling.size", "sampling.size is missing"),
        ({**DRAWN, "scheme": "bag"}, "scheme", "Did you mean bags?"),
        ({**DRAWN, "scheme": None}, "sampling.scheme", "Give one of"),
        ({**DRAWN, "size": 0}, "size", "0 parts"),
        ({**DRAWN, "probed": "2.5"}, "sampling.probed", "whole number"),
        ({**DRAWN, "probed": -1}, "sampling.probed", "-1"),
        ({**DRAWN, "size": "NaN"}, "sampling.size", "NaN"),
        ({**DRAWN, "bags": 3}, "sampling.bags", "bags"),
    ],
)
def test_a_sampling_that_cannot_be_read_is_a_sentence(drawn, field, says):
    with pytest.raises(Refused) as refused:
        graded({**G06, "sampling": drawn})
    assert field in [mistake.field for mistake in refused.value.mistakes]
    assert says in str(refused.value)
