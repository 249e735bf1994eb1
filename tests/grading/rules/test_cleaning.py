"""What each cut keeps, and what no screen takes: exact sums of the fractions."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grading.queries.shipped import shipped_rule_set
from grading.rules.cleaning import OnScreen, all_cuts, best_cut, nearest_cut, spreads, sum_mistakes
from grading.rules.outcome import outcome
from grading.rules.portion import Portion
from grading.rules.screens import read_screen

DEMO = shipped_rule_set("QM-DEMO")
FIRST = DEMO.tables[0].grades[0]


def stack(text):
    """Read "12/64 210.4: damaged 2.2, splits 0.3" a line into fractions; "300 of 400" is picked of all."""
    return [_fraction(line) for line in text.strip().splitlines()]


def _fraction(line):
    head, _, dishes = line.partition(":")
    screen, _, grams = head.strip().partition(" ")
    picked, _, whole = grams.partition(" of ")
    weights = [dish.split() for dish in dishes.split(",") if dish.strip()]
    found = {name: Decimal(weight) for name, weight in weights}
    return OnScreen(read_screen(screen, "screen"), Decimal(whole or picked), Decimal(picked), found)


def cuts_of(text):
    return all_cuts(DEMO, "navy", stack(text))


SAMPLE = """
    12/64 200: damaged 2.0
    11/64 200: damaged 2.0, splits 1.0
    10/64 80: damaged 0.8, splits 2.0
    pan 20: damaged 0.2, splits 4.0
"""


def test_every_screen_alone_and_every_pair_of_screens_is_tried():
    assert [cut.words for cut in cuts_of(SAMPLE)] == [
        *("no cut", "over 10/64", "under 12/64"),
        *("over 11/64", "under 12/64 and over 10/64", "under 11/64"),
        *("over 12/64", "under 12/64 and over 11/64", "under 11/64 and over 10/64", "under 10/64"),
    ]


def test_what_is_kept_is_summed_exactly():
    cut = cuts_of(SAMPLE)[1]
    assert (cut.kept_g, cut.kept) == (480, Fraction(480, 500))
    assert cut.predicted.shares["total_defects"] == Fraction(78, 4800)
    assert cut.stays == {"splits": Fraction(3, 7), "damaged": Fraction(48, 50)}


def test_the_best_cut_keeps_most_among_those_that_read_as_wanted():
    best = best_cut(cuts_of(SAMPLE), "No. 1")
    assert best is not None
    assert (best.words, best.predicted.grade) == ("over 10/64", "No. 1")


def test_where_nothing_is_wrong_no_cut_is_best():
    best = best_cut(cuts_of("12/64 300:\npan 200: splits 1.0"), "No. 1")
    assert best is not None
    assert best.words == "no cut"


def test_a_two_screen_window_is_found_where_both_ends_are_bad():
    text = "12/64 20: damaged 8.0\n11/64 200: splits 1.0\n10/64 200: splits 2.0\npan 20: splits 9.0"
    best = best_cut(cuts_of(text), "No. 1")
    assert best is not None
    assert best.words == "under 12/64 and over 10/64"


def test_where_no_cut_reads_so_the_nearest_is_named():
    cuts = cuts_of("12/64 250: damaged 7.0\n10/64 230: damaged 6.0\npan 20: damaged 0.6, splits 3.0")
    assert best_cut(cuts, "No. 1") is None
    assert nearest_cut(cuts, FIRST).words == "over 10/64"


def test_a_defect_that_is_everywhere_stays_and_one_in_the_pan_goes():
    said = {each.dish: each for each in spreads(DEMO, cuts_of(SAMPLE))}
    assert said["damaged"].taken == Fraction(4, 100)
    assert said["damaged"].says == (
        "Damaged: spread over all fractions, screens take 4 of 100 (over 10/64, 96.0 of 100 kept)."
    )
    assert said["splits"].says.startswith("Splits: screens can take a part, 57 of 100")
    assert "stones" not in said


def test_a_cut_that_keeps_too_little_is_no_cleaning():
    [only] = spreads(DEMO, cuts_of("12/64 250: damaged 1.0\npan 250: damaged 4.0"))
    assert only.says == "Damaged: no cut that keeps enough of the seed takes any."


def test_a_part_that_was_picked_stands_for_its_fraction():
    cut = cuts_of("12/64 100 of 400: damaged 1.0\npan 50: damaged 1.0")[0]
    assert cut.predicted.shares["damaged"] == Fraction(5, 450)
    assert cut.picked_g == 150


def test_a_reading_at_the_limit_is_kept_as_on_the_bench():
    at, over = (cuts_of(f"12/64 500: damaged {grams}\npan 0:")[0] for grams in ("10.024", "10.025"))
    assert (at.predicted.grade, over.predicted.grade) == ("No. 1", "No. 2")


@pytest.mark.parametrize(
    ("sieved", "wrong"), [("500", 0), ("502.5", 0), ("502.6", 1), ("497.6", 0), ("497.5", 1), (None, 0)]
)
def test_fractions_add_up_to_what_was_sieved_within_half_a_per_cent(sieved, wrong):
    found = sum_mistakes(stack(SAMPLE), None if sieved is None else Decimal(sieved))
    assert len(found) == wrong
    assert all(mistake.field == "sieved_g" for mistake in found)


_GRAMS = st.integers(1, 3000).map(lambda tenths: Decimal(tenths) / 10)


@st.composite
def _stacks(draw):
    fractions = []
    for screen in ("14/64", "12/64", "11/64", "pan"):
        grams = draw(_GRAMS)
        names = ("splits", "damaged", "stones", "contrasting_classes")
        found = {name: grams * draw(st.integers(0, 20)) / 100 for name in names}
        fractions.append(OnScreen(read_screen(screen, "screen"), grams, grams, found))
    return fractions


@settings(deadline=None)
@given(_stacks(), st.sampled_from([(DEMO, "navy"), (shipped_rule_set("CA-BEANS"), "Pea")]))
def test_a_kept_window_reads_as_if_it_had_been_picked_as_one_portion(fractions, under):
    rule_set, class_name = under
    for cut in all_cuts(rule_set, class_name, fractions):
        names = [each.screen.words for each in fractions]
        first = names.index(cut.under) + 1 if cut.under else 0
        last = names.index(cut.over) + 1 if cut.over else len(names)
        kept = fractions[first:last]
        dishes = {dish: sum((each.weights_g[dish] for each in kept), Decimal(0)) for dish in kept[0].weights_g}
        whole = Portion(class_name, sum((each.grams for each in kept), Decimal(0)), dishes)
        on_the_bench = outcome(rule_set, whole)
        assert cut.predicted.grade == on_the_bench.grade
        assert cut.predicted.qualifies_for == on_the_bench.qualifies_for
        assert {name: str(read) for name, read in cut.predicted.reads_pct.items()} == {
            reading.factor.name: str(reading.read_pct) for reading in on_the_bench.readings
        }


@given(_stacks())
def test_the_best_cut_is_the_best_of_all_windows_counted_out(fractions):
    cuts = all_cuts(DEMO, "navy", fractions)
    best = best_cut(cuts, "No. 2")
    kept = [cut.kept for cut in cuts if "No. 2" in cut.predicted.qualifies_for]
    assert (best.kept if best else None) == max(kept, default=None)
    assert len(cuts) == 10
