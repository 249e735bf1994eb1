"""A lot is judged by its line's earlier lots, and a strange one is compared with all other lines."""

import re
from dataclasses import replace
from datetime import date

import pytest

from grading.queries.likeness import ALARM, Books, Likeness, judge
from grading.queries.likeness_words import chance, says, steps
from grading.queries.lot_measures import Measure, MeasuredLot
from tests.grading.seasons import SEED_WEIGHT, SEEN, TAGS, measure, trial_lots


def judged(lots: list[MeasuredLot]) -> dict[str, Likeness]:
    books = Books(lots)
    return {lot.lot: judge(books, lot) for lot in lots}


def weighed(number: str, line: str, grams: str, on: date = date(2025, 10, 9), class_name: str = "navy") -> MeasuredLot:
    return MeasuredLot(number, line, class_name, {SEED_WEIGHT: measure(SEED_WEIGHT, on, grams)})


def station_of_weights() -> list[MeasuredLot]:
    """Six lines with two lots each, a year apart."""
    grams = {"A": ("18.2", "18.0"), "B": ("21.5", "21.7"), "C": ("17.6", "17.4"), "D": ("19.4", "19.6"),
             "E": ("30.0", "30.4"), "F": ("25.0", "24.6")}  # fmt: skip
    return [
        weighed(f"{year}-{line}", line, each, date(2000 + year, 10, 9))
        for line, both in grams.items()
        for year, each in zip((24, 25), both, strict=True)
    ]


def test_both_lots_with_swapped_tags_are_found_and_no_other() -> None:
    found = {lot: each for lot, each in judged(trial_lots(TAGS)).items() if each.is_strange}
    assert set(found) == set(TAGS)
    assert found["25-0005-6"].like[0].line == "QN-2117"
    assert "QN-2104" in {like.line for like in found["25-0007-0"].like}


def test_once_the_tags_are_put_right_nothing_is_strange() -> None:
    answers = judged(trial_lots({}))
    assert not [lot for lot, each in answers.items() if each.is_strange]
    assert sum(each.tail is not None for each in answers.values()) == 8  # the second year's; the first has no past


def test_it_says_what_is_off_how_rarely_and_which_line_it_looks_like() -> None:
    line = says(judged(trial_lots(TAGS))["25-0005-6"])
    assert line.startswith("25-0005-6 is recorded as QN-2104, but 100 seeds weigh 21.7 g where its only lot before ")
    assert line.endswith("lots of QN-2104 lie so far off. It looks like QN-2117 (99 in 100).")


def test_the_working_shows_each_number_its_spread_and_the_chance() -> None:
    shown = [step.says for step in steps(judged(trial_lots(TAGS))["25-0005-6"])]
    assert shown[0].startswith("100-seed weight: ln 21.7 = 3.0773, less the mean of 1, 2.9014, = 0.1759; over ")
    assert shown[-2].startswith("all together: 2 × the smallest of ")
    assert shown[-1].startswith("the line it looks like: QN-2117 0.99")


def test_a_lot_that_fits_says_by_what() -> None:
    line = says(judged(trial_lots({}))["25-0006-2"])
    assert line == (
        "25-0006-2 looks like QN-2109 by seed weight and colour (D65/2°): nothing sets it apart, but only one earlier "
        "lot of QN-2109 was measured, which says little."
    )


def test_a_chance_over_several_kinds_is_said_as_the_bound_that_it_is() -> None:
    grams = ("18.0", "18.3", "17.9", "18.1", "18.2")
    colours = [("40", "1", "9"), ("41", "2", "8"), ("40", "2", "9"), ("41", "1", "9"), ("40", "1", "8")]
    lots = []
    for year, (weight, seen) in enumerate(zip(grams, colours, strict=True), 20):
        on = date(2000 + year, 10, 9)
        measures = {SEED_WEIGHT: measure(SEED_WEIGHT, on, weight), SEEN: measure(SEEN, on, *seen)}
        lots.append(MeasuredLot(f"{year}-A", "A", "navy", measures))
    answer = judged([*station_of_weights(), *lots])["24-A"]
    assert ": at most " in says(answer)


@pytest.mark.outside("The sums written in the step done again by hand: own squares and 3.5 × base, over their degrees")
def test_the_working_shows_where_variance_and_degrees_of_freedom_come_from() -> None:
    likeness = judged(trial_lots({}))["25-0006-2"]
    [step] = [each for each in steps(likeness) if each.gives.startswith("variance of 100-seed weight")]
    own, times, base, of_own, of_base, gives = map(
        float,
        re.fullmatch(r"\((\S+) \+ (\S+) × (\S+)\) / \((\S+) \+ (\S+)\) = ([^;]+)(?:;.*)?", step.formula).groups(),
    )
    assert (own, of_own, times, of_base) == (0, 0, 3.5, 3.5)
    assert (own + times * base) / (of_own + of_base) == pytest.approx(gives, rel=1e-3)
    assert "0.65 of theirs, 3.5 at most" in step.basis


def test_the_first_lot_of_a_line_has_nothing_to_be_judged_by() -> None:
    answer = judged(trial_lots({}))["24-0006-6"]
    assert answer.tail is None
    assert "no other lot of QN-2104 was measured before 2024-10-04" in says(answer)


def test_lots_measured_later_or_on_the_same_day_are_no_past() -> None:
    same_day = [replace(lot, lot=f"{lot.lot}-b") for lot in station_of_weights() if lot.lot.startswith("24")]
    lots = [*station_of_weights(), *same_day]
    answers = judged(lots)
    assert answers["24-A"].tail is None
    [compared] = answers["25-A"].compared
    assert [past.on for past in compared.past] == [date(2024, 10, 9)] * 2


def test_too_few_lines_are_too_few_to_say() -> None:
    answer = judged([lot for lot in station_of_weights() if lot.line in "ABC"])["25-A"]
    assert answer.tail is None
    assert "too few lots of other lines were measured to say how much lots of a line differ" in says(answer)


def test_one_line_alone_is_judged_by_its_own_lots_once_there_are_enough() -> None:
    grams = ("18.0", "18.3", "17.9", "18.1", "18.2", "24.0")
    lots = [weighed(f"{year}-A", "A", each, date(2000 + year, 10, 9)) for year, each in enumerate(grams, 20)]
    answers = judged(lots)
    assert [answers[f"{year}-A"].tail is None for year in (20, 21, 22, 23)] == [True, True, True, False]
    assert answers["25-A"].is_strange
    assert says(answers["25-A"]).endswith("It looks like no other line that was measured before.")


def test_lots_that_weigh_the_same_to_the_digit_do_not_make_the_next_tenth_of_a_gram_strange() -> None:
    lots = [weighed(f"{year}-A", "A", "18.0", date(2000 + year, 10, 9)) for year in range(20, 25)]
    assert not judged([*lots, weighed("25-A", "A", "18.1")])["25-A"].is_strange


def test_a_line_of_another_class_is_not_thought_of_by_weight_alone() -> None:
    lots = [
        *station_of_weights(),
        weighed("24-K", "K", "36.0", date(2024, 10, 9), "pinto"),
        weighed("25-X", "A", "36.0"),
    ]
    answer = judged(lots)["25-X"]
    assert answer.is_strange
    assert answer.like == ()


def test_a_line_of_another_class_is_named_where_colour_speaks_for_it() -> None:
    year = date(2025, 10, 9)
    black = MeasuredLot("25-X", "QN-2104", "navy", {SEED_WEIGHT: measure(SEED_WEIGHT, year, "19.5"),
                                                   SEEN: measure(SEEN, year, "21.4", "0.6", "-0.3")})  # fmt: skip
    answer = judged([*trial_lots({}), black])["25-X"]
    assert answer.like[0].line == "QB-2103"


def test_a_lot_that_was_measured_by_weight_only_is_judged_by_weight() -> None:
    lots = {lot.lot: lot for lot in trial_lots(TAGS)}
    only = replace(lots["25-0005-6"], measures={SEED_WEIGHT: lots["25-0005-6"].measures[SEED_WEIGHT]})
    answer = judged(list((lots | {"25-0005-6": only}).values()))["25-0005-6"]
    assert [str(each.kind) for each in answer.compared] == ["seed weight"]
    assert answer.is_strange
    assert answer.like[0].line == "QN-2117"


def test_colours_under_another_light_are_not_compared() -> None:
    other_light = replace(SEEN, under="A/10°")
    moved = [
        replace(lot, measures={other_light if kind == SEEN else kind: each for kind, each in lot.measures.items()})
        if lot.lot == "25-0006-2" else lot
        for lot in trial_lots({})
    ]  # fmt: skip
    answer = judged(moved)["25-0006-2"]
    assert [each.too_few for each in answer.compared if each.kind == other_light] == [
        "no other lot of QN-2109 was measured before 2025-10-09"
    ]
    assert answer.tail is not None


@pytest.mark.parametrize(
    ("tail", "words"),
    [(0.0, "fewer than 1 in 1,000"), (0.0041, "1 in 243"), (0.012, "1 in 83"), (0.3849, "38 in 100"),
     (1.0, "99 in 100")],
)  # fmt: skip
def test_a_chance_is_worded_no_surer_than_it_is(tail: float, words: str) -> None:
    assert chance(tail) == words


def test_two_hundred_lots_of_a_line_are_judged_by_their_own_ranks() -> None:
    # A line of which every tenth lot is far off: a bell curve would call these strange far more often than 1 in 100.
    lots = [weighed(f"24-{n}", "A", str(24 + n % 3 if n % 10 == 0 else 18 + n % 7 / 10), date(2024, 10, 9))
            for n in range(200)]  # fmt: skip
    answer = judged([*lots, weighed("25-A", "A", "24.5")])["25-A"]
    assert answer.compared[0].method.startswith("rank of T²")
    assert not answer.is_strange
    assert answer.tail is not None and answer.tail > ALARM


def test_every_measurement_is_kept_as_it_was_measured() -> None:
    each: Measure = measure(SEED_WEIGHT, date(2025, 10, 9), "21.7")
    assert SEED_WEIGHT.numbers[0].shown(each.exact[0]) == "21.7"
