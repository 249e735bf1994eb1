"""Germination figures in typed words."""

import pytest

from tests.grading.queries.figures.working import figure, refused


@pytest.mark.outside("7 CFR 201.55: four replicates 88, 92, 95, 90; mean 91.25 read as 91, range 7, limit 11")
def test_a_test_reads_as_the_rule_reads_it():
    values = figure("germination", replicates="88,92,95,90").values
    assert (values["germination_pct"], values["spread"], values["allowed_spread"]) == ("91", 7, 11)
    assert values["verdict"] == "stands"


def test_the_likely_range_and_the_chance_are_of_the_whole_count():
    values = figure("germination", replicates="88,86,84,86").values
    assert values["n"] == 400
    assert values["low"] < 0.86 < values["high"]
    assert values["chance"] == pytest.approx(0.71, abs=0.005)
    assert values["too_near_to_call"] is True


def test_a_wide_spread_asks_for_another_test():
    answer = figure("germination", replicates="95,81,92,84")
    assert "Test again." in answer.says[0]
    assert answer.says[1].startswith("No likely range and no chance are given")
    assert [answer.values[name] for name in ("estimate", "low", "high", "chance", "too_near_to_call")] == [None] * 5
    assert not any("Beta" in step.formula for step in answer.working)


def test_what_else_was_counted_is_said_with_germination_and_hard_from_their_raw_sum():
    values = figure("germination", replicates="88,92,95,90", hard="2,1,1,1").values
    assert (values["hard_pct"], values["germination_and_hard_pct"]) == ("1", "93")  # 91.25 + 1.25 = 92.5


@pytest.mark.parametrize(
    ("on", "months", "is_old"),
    [
        ("2025-11-11", 11, False), ("2025-11-12", 12, False), ("2025-11-13", 12, True), ("2025-12-12", 13, True),
        ("2024-11-12", 0, False),
    ],
)  # fmt: skip
def test_a_test_is_old_the_day_after_its_months_are_over(on, months, is_old):
    values = figure("germination", replicates="88,92,95,90", tested_on="2024-11-12", on=on).values
    assert (values["age_months"], values["is_old"]) == (months, is_old)


@pytest.mark.parametrize(
    ("words", "field", "says"),
    [
        ({"replicates": "94,96,93"}, "replicates", "The test has 3 replicates"),
        ({"replicates": "94,196,93,93"}, "replicates.2", "Replicates.2 is 196"),
        ({"replicates": "94,96.5,93,93"}, "replicates.2", "it was counted"),
        ({"replicates": "NaN,94,93,93"}, "replicates.1", "cannot be read as a number"),
        ({"replicates": "94,96,93,93", "seeds_each": "50"}, "seeds_each", "Replicates of 50 seeds"),
        ({"replicates": "94,96,93,93", "hard": "7,1,1,1"}, "replicates", "101 of 100 seeds"),
        ({"replicates": "94,96,93,93", "dead": "7,1"}, "dead", "Dead has 2 counts for 4 replicates"),
        ({"replicates": "94,96,93,93", "threshold_pct": "850"}, "threshold_pct", "Check the unit"),
        ({"replicates": "94,96,93,93", "tested_on": "2025-01-01", "on": "2024-01-01"}, "on", "after 2024-01-01"),
        ({"replicates": "94,96,93,93", "tested_on": "2025-01-01"}, "on", "On is empty"),
    ],
)
def test_what_cannot_be_a_test_is_a_sentence_at_its_field(words, field, says):
    assert says in refused("germination", **words)[field]


def test_two_tests_that_agree_are_averaged():
    values = figure("germination of two tests", first="88,92,95,90", second="85,88,86,90").values
    assert (values["germination_pct"], values["used"]) == ("89", [1, 2])  # (91.25 + 87.25) / 2 = 89.25


def test_a_wrong_count_of_the_second_test_is_said_at_the_second():
    assert refused("germination of two tests", first="88,92,95,90", second="85,88,86")["second"]


@pytest.mark.outside("7 CFR 201.63 with 201.59: label 90, found 83 is within 7; found 82 is not")
@pytest.mark.parametrize(("found", "within"), [("83", True), ("82", False)])
def test_a_label_is_held_against_what_was_found(found, within):
    values = figure("label against test", label_pct="90", found_pct=found).values
    assert (values["tolerance_points"], values["within"]) == ("7", within)


@pytest.mark.parametrize(
    ("words", "field", "says"),
    [
        ({"label_pct": "190", "found_pct": "83"}, "label_pct", "Label pct is 190 %"),
        ({"label_pct": "90", "found_pct": "-3"}, "found_pct", "Found pct is -3 %"),
        ({"label_pct": "90", "found_pct": "83", "seeds": "100"}, "seeds", "400 seeds or more"),
        ({"label_pct": "90", "found_pct": "83", "seeds": "0"}, "seeds", "Seeds is 0"),
        ({"label_pct": "90", "found_pct": ""}, "found_pct", "Found pct is missing"),
    ],
)
def test_what_cannot_be_a_label_is_a_sentence_at_its_field(words, field, says):
    assert says in refused("label against test", **words)[field]


def test_fresh_seeds_ask_for_a_retest_in_the_rules_words():
    assert "3 seeds are fresh" in figure("germination", replicates="88,92,95,90", fresh="1,2,0,0").notes[1]
    assert len(figure("germination", replicates="88,92,95,90", fresh="0,0,0,0").notes) == 1
