"""The figures on sureness: worked numbers, working that can be followed, and everything that cannot be worked out."""

from decimal import Decimal

import pytest

from grading.queries.figures import FIGURES, figure_of
from grading.rules.sampling import SCHEMES
from inventory.importing.words import fill
from inventory.rules.mistakes import Refused

COUNT = {"found": "7", "of": "125"}
WEIGHT = {"defect_g": "10", "portion_g": "500", "defect_piece_g": "0.1", "sound_piece_g": "0.2"}
SO_FAR = {"defect_g": "9.2", "portion_g": "500", "seed_weight_g_per_100": "19.4", "limit_pct": "2"}
STOP = {**{name: SO_FAR[name] for name in ("portion_g", "seed_weight_g_per_100")}, "defect_g": "30"}
STOP["limits_pct"] = {"No. 1": "2.00", "No. 2": "8.00"}
PAIR = {"found": ["9.2", "7.9"], "of": ["500.0", "500.4"], "seed_weight_g_per_100": "19.4"}
POOLS = {"positive": "2", "pools": "10", "seeds_each": "300"}
RISKS = {"good_pct": "1", "bad_pct": "8"}


def work(name, words):
    figure = figure_of(name)
    return figure.work_out(fill(figure.asks, words), None)


def test_an_interval_gives_all_three_ranges_and_says_that_wald_is_not_used():
    answer = work("interval", COUNT)
    assert answer.says[0] == "7 of 125 is 5.60 %, likely 2.74 to 11.11 % (95 in 100, Wilson)."
    assert "At most 10.261 %" in answer.says[1]
    assert set(answer.values["by_method"]) == {"wilson", "clopper-pearson", "jeffreys"}
    assert any("is not used" in note for note in answer.notes)
    exact = work("interval", {**COUNT, "method": "Clopper-Pearson", "level_pct": "90"})
    assert exact.values["low_pct"] == pytest.approx(work("interval", {**COUNT, "level_pct": "95"}).values["lower_pct"])


def test_an_interval_by_weight_shows_its_effective_pieces():
    answer = work("interval by weight", {**WEIGHT, "defect_cv_pct": "30", "sound_cv_pct": "15"})
    assert answer.values["sd_points"] == pytest.approx(0.20851, abs=6e-6)
    assert answer.values["n"] == pytest.approx(4508.2, abs=0.05)
    assert "likely 1.630 to 2.451 %" in answer.says[0]
    assert "= 4508.16" in answer.working[0].formula


def test_nothing_found_by_weight_is_a_limit_and_no_nought():
    answer = work("interval by weight", {**WEIGHT, "defect_g": "0"})
    assert answer.values["sd_points"] is None and answer.values["high_pct"] > 0.05


def test_stones_are_limited_by_their_count():
    answer = work("heavy pieces", {"pieces": "2", "pieces_g": "0.8", "portion_g": "500"})
    assert (round(answer.values["upper_pieces"], 4), round(answer.values["upper_pct"], 4)) == (6.2958, 0.5037)
    unweighed = work("heavy pieces", {"pieces": "0", "portion_g": "500"})
    assert unweighed.values["upper_pct"] is None and "3.00 pieces" in unweighed.says[0]


def test_grams_more_says_how_many_or_that_none_will_do():
    answer = work("grams more", SO_FAR)
    assert answer.values["side"] == "within"
    more = f"Pick {answer.values['grams_more']:,} g more to be 95 % sure to be within 2 %"
    assert answer.says[0] == f"{more}, if the rest reads like what was picked."
    picked = float(SO_FAR["portion_g"]) + answer.values["grams_more"]
    again = work("grams more", {**SO_FAR, "portion_g": str(picked), "defect_g": str(picked * 9.2 / 500)})
    assert again.values["grams_more"] == 0 and "sure already" in again.says[0]
    assert work("grams more", {**SO_FAR, "defect_g": "10"}).values["grams_more"] is None
    assert work("grams more", {**SO_FAR, "defect_g": "12"}).values["side"] == "beyond"


def test_when_to_stop_is_advice_and_names_each_limit():
    answer = work("when to stop", STOP)
    assert answer.says == (
        "After 500 g it is already beyond No. 1 (>99 %).",
        "After 500 g it is already within No. 2 (>99 %).",
        "Every limit is told: you may stop picking.",
    )
    doubtful = work("when to stop", {**STOP, "defect_g": "9.2"})
    assert "reads within No. 1, but not surely (71 %)" in doubtful.says[0]
    assert not doubtful.values["may_stop"] and "Pick on" in doubtful.says[-1]


def test_portions_that_agree_or_do_not_are_said_so():
    assert "The portions agree" in work("portions together", PAIR).says[1]
    apart = work("portions together", {**PAIR, "found": ["4", "16"]})
    assert "do not agree" in apart.says[1] and apart.values["between_sd_points"] > 1
    counted = work("portions together", {"found": ["88", "92", "95", "90"], "of": ["100"] * 4})
    assert counted.values["chi_square"] == pytest.approx(3.3503, abs=5e-5)


def test_within_a_limit_keeps_the_rules_reading_beside_the_word():
    said = work("within a limit", {"found": "3", "of": "100", "limit_pct": "5"})
    assert said.values["word"] == "sample cannot tell" and said.values["reads_within"]
    assert round(said.values["chance_beyond"], 4) == 0.1814
    assert any("not an official certificate" in note for note in said.notes)


def test_detection_and_none_found_and_pools_give_the_printed_numbers():
    found = work("detection", {"share_pct": "1", "lot_pieces": "500"})
    assert (found.values["pieces"], found.values["pieces_of_lot"], found.values["of_a_kind"]) == (299, 225, 5)
    assert round(work("none found", {"of": "300"}).values["upper_pct"], 4) == 0.9936
    pools = work("pools", {**POOLS, "most_positive": "0"})
    assert round(pools.values["estimate_pct"], 4) == 0.0744
    assert round(pools.values["accepts"]["0.1"], 4) == 0.0497
    assert "no more can be said" in work("pools", {**POOLS, "positive": "10"}).says[0]


def test_a_plan_shows_its_characteristic_and_is_found_from_two_risks():
    table = work("acceptance plan", {"n": "52", "c": "3"})
    assert round(table.values["accepts"]["5"], 3) == 0.738
    plan = work("plan for risk", RISKS)
    assert (plan.values["n"], plan.values["c"]) == (65, 2)
    assert plan.values["good_refused"] <= 0.05 and plan.values["bad_accepted"] <= 0.10


@pytest.mark.parametrize("scheme", SCHEMES)
def test_sampling_says_what_each_scheme_asks_and_by_what_source(scheme):
    answer = work("sampling", {"scheme": scheme, "size": "10"})
    assert answer.says[0].startswith("The rule asks ") and answer.values["enough"] is None
    assert answer.working[0].source == SCHEMES[scheme].source
    if SCHEMES[scheme].demands.source:
        assert len(answer.working) > 1
    short = work("sampling", {"scheme": scheme, "size": "10", "probed": "0"})
    assert short.values["enough"] is False and "The sampling was short." in short.says


REFUSED = [
    ("interval", {**COUNT, "found": "126"}, "found", "Found is 126, more than the 125"),
    ("interval", {**COUNT, "of": "0"}, "of", "Of is 0"),
    ("interval", {**COUNT, "found": "2.5"}, "found", "whole number"),
    ("interval", {**COUNT, "found": "NaN"}, "found", "cannot be read"),
    ("interval", {**COUNT, "found": "-1"}, "found", "Found is -1"),
    ("interval", {**COUNT, "level_pct": "100"}, "level_pct", "Level pct is 100 %"),
    ("interval", {**COUNT, "level_pct": "0"}, "level_pct", "Level pct is 0 %"),
    ("interval", {**COUNT, "method": "wald"}, "method", "wilson"),
    ("interval by weight", {**WEIGHT, "portion_g": "0"}, "portion_g", "Portion g is 0"),
    ("interval by weight", {**WEIGHT, "defect_g": "501"}, "defect_g", "more than the 500 g"),
    ("interval by weight", {**WEIGHT, "sound_piece_g": "0"}, "sound_piece_g", "Sound piece g is 0"),
    ("interval by weight", {**WEIGHT, "defect_cv_pct": "-1"}, "defect_cv_pct", "Defect cv pct is -1"),
    ("heavy pieces", {"pieces": "1.5", "portion_g": "500"}, "pieces", "whole number"),
    ("heavy pieces", {"pieces": "1", "pieces_g": "501", "portion_g": "500"}, "pieces_g", "more than the 500 g"),
    ("grams more", {**SO_FAR, "portion_g": "0"}, "portion_g", "Portion g is 0"),
    ("grams more", {**SO_FAR, "limit_pct": "0"}, "limit_pct", "Limit pct is 0"),
    ("grams more", {**SO_FAR, "seed_weight_g_per_100": "0"}, "seed_weight_g_per_100", "is 0"),
    ("when to stop", {**STOP, "official": "yes"}, "official", "In an official test the whole portion is picked"),
    ("when to stop", {**STOP, "limits_pct": {}}, "limits_pct", "has 0 limits"),
    ("when to stop", {**STOP, "limits_pct": {"No. 1": "x"}}, "limits_pct.No. 1", "cannot be read"),
    ("portions together", {**PAIR, "found": ["9.2"]}, "found", "has 1 numbers"),
    ("portions together", {**PAIR, "of": ["1", "2", "3"]}, "of", "Give both for each"),
    ("portions together", {**PAIR, "found": ["501", "1"]}, "found.1", "more than the 500"),
    ("portions together", {"found": ["1.5", "2"], "of": ["10", "10"]}, "found.1", "whole number"),
    ("portions together", {**PAIR, "of": ["0", "10"]}, "of.1", "is 0"),
    ("within a limit", {**COUNT, "limit_pct": "101"}, "limit_pct", "Limit pct is 101"),
    ("detection", {"share_pct": "0"}, "share_pct", "Share pct is 0"),
    ("detection", {"share_pct": "1", "lot_pieces": "2000000"}, "lot_pieces", "Lot pieces is 2000000"),
    ("none found", {"of": "0"}, "of", "Of is 0"),
    ("pools", {**POOLS, "positive": "11"}, "positive", "more than the 10"),
    ("pools", {**POOLS, "seeds_each": "0"}, "seeds_each", "Seeds each is 0"),
    ("pools", {**POOLS, "most_positive": "11"}, "most_positive", "more than the 10"),
    ("pools", {**POOLS, "pools": "20000"}, "pools", "Pools is 20000"),
    ("acceptance plan", {"n": "52", "c": "52"}, "c", "every lot would pass"),
    ("acceptance plan", {"n": "52", "c": "3", "shares_pct": ["101"]}, "shares_pct.1", "is 101"),
    ("acceptance plan", {"n": "52", "c": "3", "shares_pct": ["1"] * 101}, "shares_pct", "up to 100"),
    ("plan for risk", {**RISKS, "bad_pct": "1"}, "bad_pct", "must be larger"),
    ("plan for risk", {**RISKS, "bad_pct": "1.02"}, "bad_pct", "lie too near"),
    ("plan for risk", {**RISKS, "good_refused_pct": "0"}, "good_refused_pct", "Good refused pct is 0"),
    ("sampling", {"scheme": "bag", "size": "23"}, "scheme", "bags"),
    ("sampling", {"scheme": "bags", "size": "0"}, "size", "Size is 0"),
    ("sampling", {"scheme": "bags", "size": "2.5"}, "size", "whole number"),
    ("sampling", {"scheme": "bags", "size": "23", "probed": "-1"}, "probed", "Probed is -1"),
]


@pytest.mark.parametrize(("name", "words", "field", "says"), REFUSED)
def test_what_cannot_be_worked_out_is_a_sentence_at_its_field(name, words, field, says):
    with pytest.raises(Refused) as refused:
        work(name, words)
    (mistake,) = refused.value.mistakes
    assert (mistake.field, says in mistake.says) == (field, True), mistake.says
    assert mistake.says.endswith(".")


@pytest.mark.parametrize("name", ["interval", "grams more", "pools", "plan for risk", "when to stop", "sampling"])
def test_everything_that_is_missing_is_said_at_once(name):
    figure = FIGURES[name]
    needed = [field for field in figure.example if not isinstance(figure.example[field], dict)]
    with pytest.raises(Refused) as refused:
        work(name, {**figure.example, **dict.fromkeys(needed[:2], "x")})
    assert {mistake.field for mistake in refused.value.mistakes} == set(needed[:2])


def test_portions_agree_to_the_digit_with_a_pooled_count():
    pooled = work("portions together", {"found": ["50", "50"], "of": ["2500", "2500"]}).values
    one = work("interval", {"found": "100", "of": "5000"}).values
    assert pooled["low_pct"] == pytest.approx(one["low_pct"])
    assert Decimal(str(round(pooled["estimate_pct"], 6))) == 2
