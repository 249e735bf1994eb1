"""Measurements through their actions: nothing leaves the lot, and doubtful ones are asked about."""

from collections.abc import Callable
from typing import Any

import pytest

from grading.actions.measuring import (
    Coloured,
    HundredSeeds,
    Screened,
    measure_colours,
    measure_seed_weights,
    measure_sizes,
)
from grading.models import ColourReading, SeedWeight, SizeCurve
from grading.queries.sizes import newest_seed_weight
from inventory.actions.acting import Booked
from inventory.actions.reversing import reverse
from inventory.models import Operation
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.grading.station import NOW, Bench, station
from tests.make import kg_left

pytestmark = pytest.mark.django_db
CURVE = (("14", "0.4"), ("13", "5.1"), ("12", "38.6"), ("11", "42.3"), ("10", "11.9"), ("pan", "1.7"))


@pytest.fixture
def bench() -> Bench:
    return station()


def do(bench: Bench, act: Callable[..., Booked], *measured: Any, **more: Any) -> Booked:
    return act(measured, station=bench.plant.station, by=bench.plant.bench, now=NOW, **more)


def white(**words: Any) -> Coloured:
    usual = {"lot": "24-0016-5", "lightness": "70.1", "a": "2.4", "b": "13.2", "illuminant": "D65", "observer": "10"}
    return Coloured(**{**usual, **words})


def test_measurements_keep_exact_texts_and_take_no_seed(bench: Bench) -> None:
    [lot] = bench.lots("24-0016-5")
    do(bench, measure_seed_weights, HundredSeeds(lot=lot.number, readings=("18.0", "18.1", "18.3", "18.4")))
    do(bench, measure_sizes, Screened(lot=lot.number, screens=CURVE))
    do(bench, measure_colours, white(lot=lot.number, b="-13.2"))
    assert SeedWeight.objects.get().readings_g == ["18.0", "18.1", "18.3", "18.4"]
    assert SizeCurve.objects.get().screens[-1] == ["pan", "1.7"]
    colour = ColourReading.objects.get()
    assert (colour.lightness, colour.a, colour.b, colour.illuminant) == ("70.1", "2.4", "-13.2", "D65")
    assert kg_left(lot) == 600
    assert verify(bench.plant.station).is_whole


def test_a_colour_read_several_times_keeps_every_reading_and_their_mean(bench: Bench) -> None:
    bench.lots("24-0016-5")
    words = {"lightness": ("70.1", "70.2", "70.2"), "a": ("2", "2", "2.5"), "b": ("13", "13", "13"), "observer": "10°"}
    do(bench, measure_colours, white(**words, illuminant="d65", instrument="C-1", scale="hunter lab"))
    colour = ColourReading.objects.get()
    assert (colour.lightness, colour.a, colour.b) == ("70.1667", "2.1667", "13.0000")
    assert colour.replicates == [["70.1", "2", "13"], ["70.2", "2", "13"], ["70.2", "2.5", "13"]]
    assert (colour.scale, colour.illuminant, colour.observer, colour.instrument) == ("Hunter Lab", "D65", "10", "C-1")
    assert verify(bench.plant.station).is_whole


def test_a_measurement_does_not_stand_in_the_way_of_taking_its_lot_back(bench: Bench) -> None:
    [lot] = bench.lots("24-0016-5")
    do(bench, measure_seed_weights, HundredSeeds(lot=lot.number, readings=("18.0", "18.1", "18.3", "18.4")))
    making = Operation.objects.get(kind="receive")
    reverse(making, station=bench.plant.station, by=bench.plant.intake, reason="wrong tag", now=NOW)
    assert verify(bench.plant.station).is_whole


def test_readings_that_spread_are_asked_about_and_saved_with_a_reason(bench: Bench) -> None:
    bench.lots("24-0016-5")
    spread = HundredSeeds(lot="24-0016-5", readings=("17.0", "18.1", "18.3", "18.6"))
    with pytest.raises(Refused, match=r"spread over 8\.9 % of their mean; 4 % is allowed"):
        do(bench, measure_seed_weights, spread)
    do(bench, measure_seed_weights, spread, answers={"weigh_again": "mixed sizes, weighed twice"})
    assert SeedWeight.objects.count() == 1


def test_eight_and_sixteen_replicates_are_kept_and_eight_that_spread_ask_for_more(bench: Bench) -> None:
    [lot] = bench.lots("24-0016-5")
    spread = ["17", "19"] * 4
    with pytest.raises(Refused, match=r"have a CV of 5\.94 %; 4\.0 % is allowed\. Weigh 8 more and give all 16"):
        do(bench, measure_seed_weights, HundredSeeds(lot=lot.number, readings=spread))
    do(bench, measure_seed_weights, HundredSeeds(lot=lot.number, readings=["18"] * 8))
    do(bench, measure_seed_weights, HundredSeeds(lot=lot.number, readings=["18"] * 15 + ["21"]))
    weighed = newest_seed_weight(lot.pk)
    assert weighed is not None
    assert weighed.grams == 18  # the one that lies over two deviations off is dropped


REFUSALS: list[tuple[str, Callable[..., Booked], Any, str]] = [
    ("three readings", measure_seed_weights, HundredSeeds(lot="24-0016-5", readings=("18", "18", "18")), "3 readings"),
    (
        "a reading of letters",
        measure_seed_weights,
        HundredSeeds(lot="24-0016-5", readings=("x", "18", "18", "18")),
        "x",
    ),
    ("no weight", measure_seed_weights, HundredSeeds(lot="24-0016-5", readings=("0", "18", "18", "18")), "is 0"),
    ("a curve of 89", measure_sizes, Screened(lot="24-0016-5", screens=CURVE[:4] + CURVE[5:]), "make 88.1 %"),
    ("one screen", measure_sizes, Screened(lot="24-0016-5", screens=(("pan", "100"),)), "two screens or more"),
    ("brighter than white", measure_colours, white(lightness="170"), "is 170"),
    ("a colour under no light", measure_colours, white(illuminant="", observer=""), "Illuminant is missing"),
    ("an unknown lot", measure_colours, white(lot="24-0003-1"), "No lot 24-0003-1"),
]


@pytest.mark.parametrize(("case", "act", "words", "says"), REFUSALS, ids=[case[0] for case in REFUSALS])
def test_what_cannot_be_is_refused(
    bench: Bench, case: str, act: Callable[..., Booked], words: Any, says: str
) -> None:  # fmt: skip
    bench.lots("24-0016-5")
    with pytest.raises(Refused) as refused:
        do(bench, act, words)
    assert says in str(refused.value)
    assert Operation.objects.count() == 1
