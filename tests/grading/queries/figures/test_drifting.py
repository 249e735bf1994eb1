"""The drift figure over re-grades in the books."""

from decimal import Decimal

import pytest

from grading.queries.regrades import pairs_of
from tests.grading.queries.figures.asking import asked, refused
from tests.grading.regrading import again, first, laid_out, told
from tests.grading.station import Bench, station

pytestmark = pytest.mark.django_db
SPLITS = ("2.4", "5.0", "1.0", "3.3", "0.8", "4.1", "2.2", "1.7", "3.0", "2.6", "2.4", "1.9")


@pytest.fixture
def bench() -> Bench:
    bench = station()
    bench.lots("24-0016-5", plot="QM24-P-1-1")
    return bench


def pan(splits):
    splits = Decimal(splits)
    return {"portion_g": "500", "weights_g": {"splits": str(splits)}, "sound_g": str(500 - splits)}


def regraded(bench, over, graders=("bench-1", "bench-2")):
    """Samples whose second grader finds so many grams more of splits than the first."""
    for place, (splits, more) in enumerate(zip(SPLITS, over, strict=False)):
        one, other = f"G{2 * place + 10}", f"G{2 * place + 11}"
        turned = graders if place % 2 == 0 else graders[::-1]
        first(bench, one, grader=turned[0], mass="0.5", **pan(splits))
        laid_out(bench, one, other)
        sign = 1 if place % 2 == 0 else -1  # the same person finds more, whether first or second
        again(bench, other, grader=turned[1], **pan(Decimal(splits) + sign * Decimal(more)))


def test_who_finds_more_is_said_with_a_likely_range_whoever_was_first(bench):
    regraded(bench, ["0.2", "0.25", "0.15", "0.2", "0.2", "0.25"])
    answer = asked("drift", bench.plant.station, factor="splits")
    [series] = answer.values["series"]
    assert (series["grader"], series["against"], series["pairs"]) == ("bench-2", "bench-1", 6)
    assert series["mean_difference"] == pytest.approx(0.041667, abs=1e-6)  # 1.25 g / 6 of 500 g
    assert any("bench-2 reads 0.04167 points over the other on average" in line for line in answer.says)
    assert any("they stand apart" in line for line in answer.says)
    assert any("6 pairs are too few to see a drift" in line for line in answer.says)


def test_a_drift_is_named_with_the_sample_where_it_began(bench):
    regraded(bench, ["0.02", "-0.02", "0.02", "-0.02", "0.02", "-0.02", "0.02", "-0.02", "0.3", "0.3", "0.3", "0.3"])
    answer = asked("drift", bench.plant.station, factor="splits")
    assert any("It drifts: from G" in line and "bench-2 reads over" in line for line in answer.says)
    assert len(answer.values["series"][0]["chart"]["points"]) == 12


def test_graders_who_agree_show_no_difference(bench):
    regraded(bench, ["0.02", "-0.02"] * 5)
    answer = asked("drift", bench.plant.station, factor="splits")
    assert any("no difference is shown" in line for line in answer.says)
    assert any("No drift is shown over 10 pairs" in line for line in answer.says)


def test_one_pair_is_too_few_to_say(bench):
    regraded(bench, ["0.2"])
    answer = asked("drift", bench.plant.station)
    assert "Two graders gave the same grade to 1 of 1 samples." in answer.says
    assert any("one pair is too few to say" in line for line in answer.says)


def test_three_graders_are_each_held_against_the_others(bench):
    regraded(bench, ["0.2"])
    first(bench, "G40", grader="bench-3", mass="0.5", **pan("2"))
    laid_out(bench, "G40", "G41")
    again(bench, "G41", grader="bench-1", **pan("2.1"))
    series = asked("drift", bench.plant.station, factor="splits").values["series"]
    assert [(one["grader"], one["against"]) for one in series] == [
        (name, "the others") for name in ("bench-1", "bench-2", "bench-3")
    ]
    assert series[0]["differences"] == [-0.04, 0.02]


def test_a_regrade_that_was_not_blind_is_counted_and_said(bench):
    first(bench, "G03")
    told(bench, "bench sample", {"file_sample_of": "G03", "number": "G16", "at": "2024-10-10"})
    again(bench, "G16")
    answer = asked("drift", bench.plant.station)
    assert answer.values["not_blind"] == 1
    assert "1 of 1 re-grades were not blind" in answer.notes[-1]
    assert refused("drift", bench.plant.station, blind_only="yes")[0].field == "blind_only"


def test_an_open_regrade_and_one_by_the_same_grader_are_no_pairs(bench):
    first(bench, "G03")
    laid_out(bench, "G03", "G17")
    told(bench, "bench sample", {"file_sample_of": "G03", "number": "G16", "at": "2024-10-10"})
    again(bench, "G16", grader="bench-1")
    assert pairs_of(bench.plant.station) == []


@pytest.mark.parametrize(
    ("words", "field", "says"),
    [({"factor": "splitz"}, "factor", "splits"), ({"grader": "nobody"}, "grader", "bench-1 or bench-2")],
)
def test_an_unknown_factor_or_grader_is_refused_at_its_field(bench, words, field, says):
    regraded(bench, ["0.2", "0.1"])
    [mistake] = refused("drift", bench.plant.station, **words)
    assert mistake.field == field
    assert says in mistake.says


def test_without_any_regrade_it_says_how_to_begin(bench):
    [mistake] = refused("drift", bench.plant.station)
    assert "blind=yes" in mistake.says
