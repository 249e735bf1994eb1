"""A swapped tag shows in the weight of a hundred seeds, also where too few lots are measured for a chance."""

import pytest

from grading.actions.measuring import HundredSeeds, measure_seed_weights
from grading.queries.looks import NO_CHANCE, look_lines
from tests.grading.station import NOW, Bench, station

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench() -> Bench:
    made = station()
    made.lots("24-0006-6", "25-0005-6", plot="QM24-N-1-1")
    made.lots("24-0008-9", "25-0007-0", plot="QM24-N-2-1")
    made.lots("24-0009-0", plot="QM24-B-1-1")
    return made


def weigh(bench: Bench, **grams: str) -> None:
    measured = [
        HundredSeeds(lot=lot, readings=[f"{float(each) + off:.1f}" for off in (-0.2, -0.1, 0.1, 0.2)], at=at)
        for (lot, at), each in zip(
            (("24-0006-6", "2024-10-04"), ("24-0008-9", "2024-10-04"), ("24-0009-0", "2024-10-04"),
             ("25-0005-6", "2025-10-09"), ("25-0007-0", "2025-10-09")),
            (grams["first"], grams["second"], "21.6", grams["first_now"], grams["second_now"]),
            strict=True,
        )
    ]  # fmt: skip
    measure_seed_weights(measured, station=bench.plant.station, by=bench.plant.bench, now=NOW)


def test_two_lots_with_swapped_tags_look_like_each_others_line(bench: Bench) -> None:
    weigh(bench, first="18.2", second="21.5", first_now="21.7", second_now="18.0")
    assert look_lines(bench.plant.station) == [
        f"25-0005-6: 100 seeds weigh 21.7 g; N-1 weighed 18.2 g before. It looks like N-2 (21.5 g). {NO_CHANCE}",
        f"25-0007-0: 100 seeds weigh 18.0 g; N-2 weighed 21.5 g before. It looks like N-1 (18.2 g). {NO_CHANCE}",
        "25-0005-6 and 25-0007-0 look like each other's line.",
    ]


def test_a_season_that_moves_a_line_by_a_little_says_nothing(bench: Bench) -> None:
    weigh(bench, first="18.2", second="21.5", first_now="18.0", second_now="21.7")
    assert look_lines(bench.plant.station) == []


def test_a_lot_far_from_its_line_that_looks_like_no_other_says_only_that(bench: Bench) -> None:
    weigh(bench, first="18.2", second="21.5", first_now="30.0", second_now="21.7")
    [line] = look_lines(bench.plant.station)
    assert line == f"25-0005-6: 100 seeds weigh 30.0 g; N-1 weighed 18.2 g before. {NO_CHANCE}"
