"""`looks like its line`: what it answers of booked lots and of seed at hand, and what it refuses."""

from collections.abc import Mapping

import pytest

from grading.actions.measuring import (
    Coloured,
    HundredSeeds,
    Screened,
    measure_colours,
    measure_seed_weights,
    measure_sizes,
)
from inventory.models import Line, LineName, MarketClass, Plot, Standing
from tests.grading.station import NOW, Bench, station
from tests.inventory.management.asking import ask

pytestmark = pytest.mark.django_db
NAME = "looks like its line"
GRAMS = {"N-1": "18.2", "N-2": "21.5", "N-3": "17.6", "N-4": "24.0", "N-5": "30.2", "N-6": "27.1"}
EARLIER = dict(zip(GRAMS, ("24-0001-5", "24-0002-8", "24-0003-1", "24-0004-4", "24-0005-3", "24-0006-6"), strict=True))
LATER = dict(zip(GRAMS, ("25-0001-9", "25-0002-4", "25-0003-5", "25-0004-3", "25-0005-6", "25-0006-2"), strict=True))
CURVE = (("14", "0.4"), ("13", "5.1"), ("12", "38.6"), ("11", "42.3"), ("10", "11.9"), ("pan", "1.7"))
BARE = "24-0017-9"


@pytest.fixture
def bench() -> Bench:
    """Six navy lines with a lot of each of two years, weighed; `BARE` was never measured."""
    made = station()
    for name in GRAMS:
        _line(made, name)
        made.lots(EARLIER[name], LATER[name], plot=f"QM24-{name}-1", mass="5")
    made.lots(BARE)
    weigh(made, {EARLIER[name]: grams for name, grams in GRAMS.items()}, "2024-10-04")
    weigh(made, {LATER[name]: str(float(grams) + 0.1) for name, grams in GRAMS.items() if name != "N-1"}, "2025-10-09")
    return made


def _line(bench: Bench, name: str) -> None:
    place, kind = bench.plant.station, MarketClass.objects.get(name="navy")
    line, is_new = Line.objects.get_or_create(station=place, name=name, defaults={"market_class": kind})
    if is_new:
        LineName.objects.create(station=place, line=line, name=name)
    site = Plot.objects.get(code="QM24-N-1-1").site
    Plot.objects.get_or_create(
        station=place, code=f"QM24-{name}-1", defaults={"site": site, "season": 2024, "line": line, "generation": 6}
    )


def weigh(bench: Bench, grams: Mapping[str, str], at: str) -> None:
    weights = [
        HundredSeeds(lot=lot, readings=[f"{float(each) + off:.1f}" for off in (-0.2, -0.1, 0.1, 0.2)], at=at)
        for lot, each in grams.items()
    ]
    measure_seed_weights(weights, station=bench.plant.station, by=bench.plant.bench, now=NOW)


def test_a_lot_of_another_line_is_strange_and_the_line_it_looks_like_is_named(bench: Bench) -> None:
    weigh(bench, {LATER["N-1"]: "24.1"}, "2025-10-09")
    answer = ask("figure", *NAME.split(), f"lot={LATER['N-1']}", "--json").json
    assert answer["verdict"] == "strange"
    assert answer["looks_like"][0]["line"] == "N-4"
    assert answer["tail"] < answer["strange_below"] == 0.01
    [compared] = answer["compared"]
    assert (compared["measured"], compared["earlier_lots"], compared["numbers"][0]["earlier"]) == (
        "seed weight", 1, "18.2 g",
    )  # fmt: skip
    [says] = answer["says"]
    assert says.startswith(f"{LATER['N-1']} is recorded as N-1, but 100 seeds weigh 24.1 g where its only lot before ")
    assert answer["working"][0]["formula"].startswith("ln 24.1 = 3.1822, less the mean of 1, 2.9014, = 0.2808; over ")


def test_a_lot_that_fits_says_so_and_that_it_is_advice(bench: Bench) -> None:
    weigh(bench, {LATER["N-1"]: "18.3"}, "2025-10-09")
    answer = ask("figure", *NAME.split(), f"lot={LATER['N-1']}")
    assert f"{LATER['N-1']} looks like N-1 by seed weight: " in answer.out
    assert "This is advice" in answer.out
    assert ask("figure", *NAME.split(), f"lot={LATER['N-1']}", "--json").json["verdict"] == "fits"


def test_seed_at_hand_is_judged_before_anything_is_booked(bench: Bench) -> None:
    answer = ask("figure", *NAME.split(), "line=N-2", "seed_weight_g=30.3", "--json").json
    assert answer["verdict"] == "strange"
    assert answer["looks_like"][0]["line"] == "N-5"
    assert ask("figure", *NAME.split(), "line=N-2", "seed_weight_g=21.6", "--json").json["verdict"] == "fits"


def test_a_lot_can_be_held_against_a_named_line(bench: Bench) -> None:
    weigh(bench, {LATER["N-1"]: "24.1"}, "2025-10-09")
    answer = ask("figure", *NAME.split(), f"lot={LATER['N-1']}", "line=N-4", "--json").json
    assert (answer["verdict"], answer["line"]) == ("fits", "N-4")
    assert answer["notes"][-1] == f"{LATER['N-1']} stands in the books as N-1; it was held against N-4, as was asked."
    other = ask("figure", *NAME.split(), f"lot={LATER['N-1']}", "line=N-5", "--json").json
    assert other["says"][0].startswith(f"{LATER['N-1']} is held against N-5, but 100 seeds weigh 24.1 g")
    assert "N-4 " not in other["says"][0] or other["verdict"] == "strange"


def test_numbers_beside_a_lot_are_refused_and_an_unknown_line_too(bench: Bench) -> None:
    weigh(bench, {LATER["N-1"]: "18.3"}, "2025-10-09")
    told = ask("figure", *NAME.split(), f"lot={LATER['N-1']}", "line=N-99", "seed_weight_g=18.2").err
    assert "Leave seed_weight_g out" in told
    assert "N-99" in told


def test_the_first_lot_of_a_line_is_too_few_to_say(bench: Bench) -> None:
    answer = ask("figure", *NAME.split(), f"lot={EARLIER['N-1']}", "--json").json
    assert (answer["verdict"], answer["tail"], answer["looks_like"]) == ("too few to say", None, [])
    assert "no other lot of N-1 was measured before 2024-10-04" in answer["says"][0]


def test_size_and_colour_are_named_among_what_was_compared(bench: Bench) -> None:
    place, by = bench.plant.station, bench.plant.bench
    curves = [Screened(lot=lot, screens=CURVE, at="2025-10-09") for lot in LATER.values()]
    measure_sizes(curves, station=place, by=by, now=NOW)
    colours = [
        Coloured(lot=lot, lightness=["70.1"], a=["2.4"], b=["13.2"], illuminant="D65", observer="2", at="2025-10-09")
        for lot in LATER.values()
    ]
    measure_colours(colours, station=place, by=by, now=NOW)
    compared = ask("figure", *NAME.split(), f"lot={LATER['N-2']}", "--json").json["compared"]
    assert [(each["measured"], bool(each["too_few"])) for each in compared] == [
        ("seed weight", False), ("size", True), ("colour", True),
    ]  # fmt: skip
    assert compared[1]["numbers"][0]["value"] == "4.71"  # 4.3656 + (50 - 13.6) / 42.3 × 0.3969 mm


def test_one_line_alone_says_that_there_is_no_other(bench: Bench) -> None:
    Standing.objects.exclude(line__name="N-2").update(line=Line.objects.get(name="N-2"))
    answer = ask("figure", *NAME.split(), f"lot={LATER['N-2']}")
    assert "No other line was measured, so there is none that it could look like." in answer.out


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("lot=24-0018-7",), "No lot 24-0018-7 is in the books."),
        ((f"lot={BARE}",), f"Nothing of {BARE} was measured. Weigh 4 × 100 seeds"),
        (("seed_weight_g=18",), "Give a lot, such as 24-0016-5; or a line with seed_weight_g"),
        (("line=N-1",), "Give a lot, such as 24-0016-5; or a line with seed_weight_g"),
        (("line=N-9", "seed_weight_g=18"), "N-9"),
        (("line=N-1", "seed_weight_g=NaN"), "cannot be read as a number"),
        (("line=N-1", "seed_weight_g=0"), "Seed weight g is 0 g; it lies from 0.001 up to 1000 g."),
        (
            ("line=N-1", "colour.lightness=70", "colour.a=2", "colour.b=13", "colour.observer=2"),
            "Illuminant is missing.",
        ),
        (("line=N-1", "colour.lightness=101", "colour.a=2", "colour.b=13"), "lightness is 101; it lies from 0 up to"),
    ],
)
def test_what_cannot_be_answered_is_a_sentence(bench: Bench, words: tuple[str, ...], says: str) -> None:
    answer = ask("figure", *NAME.split(), *words)
    assert (answer.status, answer.out) == (2, "")
    assert says in answer.err


def test_a_lot_under_no_line_has_none_to_look_like(bench: Bench) -> None:
    Standing.objects.filter(lot__number=BARE).update(line=None)
    assert f"{BARE} stands under no line" in ask("figure", *NAME.split(), f"lot={BARE}").err
