"""The figures of colour, asked as a shell asks them."""

import json
from decimal import Decimal
from typing import Any

import pytest

from grading.actions.measuring import Coloured, measure_colours
from grading.queries.figures.colours import colour
from grading.rules.colour_reading import SeenColour
from hilum.plugins.host import the_host
from inventory.actions.reversing import reverse
from inventory.importing.words import fill
from inventory.models import Operation
from inventory.rules.mistakes import Refused
from tests.grading.station import NOW, Bench, station
from tests.inventory.management.asking import ask

pytestmark = pytest.mark.django_db
ODD = (
    "", "NaN", "inf", "-inf", "1e999", "12,5", "1,2,3", "=1+1", "½", "🌱", "x" * 300, "٦٢", "true", "\t", "°",
    Decimal("1e-40"), Decimal("NaN"), Decimal("1e400"), 1e-320, -0.0, True, [], ["", None], [[1]], {"a": 1}, None,
)  # fmt: skip
D65 = {"illuminant": "D65", "observer": "10"}


def seen(lightness: str, a: str, b: str, where: str = "", **words: str) -> list[str]:
    said = {"lightness": lightness, "a": a, "b": b, **D65, **words}
    return [f"{where}{name}={value}" for name, value in said.items()]


def difference(*words: str) -> Any:
    return ask("figure", "colour", "difference", *words, "--json").json


@pytest.fixture
def bench() -> Bench:
    bench = station()
    bench.lots("24-0016-5", "24-0017-9", "24-0018-7", "24-0019-8", plot="QM24-P-1-1")
    return bench


def read(bench: Bench, lot: str, lightness: str, **words: Any) -> Operation:
    asked = Coloured(**{"lot": lot, "lightness": lightness, "a": "5", "b": "15", "at": "2024-10-04", **D65, **words})
    return measure_colours([asked], station=bench.plant.station, by=bench.plant.bench, now=NOW).operations[0]


def of_lot(*words: str) -> Any:
    return ask("figure", "colour", "of", "a", "lot", *words, "--station", "QM", "--json").json


def test_a_colour_says_mean_spread_chroma_hue_and_swatch() -> None:
    found = ask("figure", "colour", *seen("62.1, 61.8, 62.4", "5.9, 6.1, 6.0", "18.2, 17.9, 18.0"), "--json").json
    assert (found["lightness"], found["a"], found["b"], found["n"]) == (62.1, 6.0, 18.0333, 3)
    assert found["spread"] == {"lightness": 0.3, "a": 0.1, "b": 0.1528}
    assert (found["chroma"], found["hue_degrees"]) == (19.0053, 71.5968)
    assert (found["swatch"], found["in_gamut"], found["clipped"]) == ("#ac9177", True, 0.0)


def test_a_grey_has_no_hue_and_says_so() -> None:
    found = ask("figure", "colour", *seen("50", "0", "0"), "--json").json
    assert found["hue_degrees"] is None
    assert any("a grey, which has no hue" in line for line in found["says"])


def test_a_colour_that_no_screen_shows_is_flagged() -> None:
    found = ask("figure", "colour", *seen("60", "-100", "60"), "--json").json
    assert found["in_gamut"] is False
    assert found["clipped"] > 0.2
    assert any("cannot show this colour" in note for note in found["notes"])


def test_hunter_lab_has_a_mean_and_nothing_of_cielab() -> None:
    found = ask("figure", "colour", *seen("56, 54", "5, 5", "15, 15", scale="Hunter Lab"), "--json").json
    assert (found["lightness"], found["swatch"], found["chroma"]) == (55.0, None, None)
    assert any("another scale" in note for note in found["notes"])


def test_a_reading_far_off_is_noted() -> None:
    found = ask("figure", "colour", *seen("70,1", "2,4", "13,2"), "--json").json
    assert any("Reading 1 lies 34.9 from the mean" in note for note in found["notes"])


def test_a_difference_is_given_by_three_formulas() -> None:
    words = [*seen("62", "6", "18", "reference."), *seen("55", "8", "20", "sample.")]
    found = difference(*words)
    assert (found["delta_e_76"], found["delta_e_94"], found["delta_e_2000"]) == (7.5498, 7.1953, 6.5819)
    assert found["ways"] == "darker by 7.0, redder by 2.0, yellower by 2.0"
    assert difference(*words, "cie94_weights=textiles")["delta_e_94"] != found["delta_e_94"]
    assert [step["gives"] for step in found["working"]] == ["ΔE by CIE76", "ΔE by CIE94", "ΔE by CIEDE2000"]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (seen("62", "6", "18", "sample.", illuminant="C"), "with illuminant D65, the other with C"),
        (seen("62", "6", "18", "sample.", observer="2"), "with observer 10, the other with 2"),
        (seen("62", "6", "18", "sample.", scale="Hunter Lab"), "numbers on two scales cannot be compared"),
        (seen("NaN", "6", "18", "sample."), "'NaN' cannot be read as a number"),
        (seen("62", "130", "18", "sample."), "up to 127"),
        (seen("62", "6", "18", "sample.", illuminant=""), "Illuminant is missing"),
        (seen("62", "6", "18", "sample.", observer=""), "Observer is missing"),
        ([], "Sample is missing"),
    ],
)
def test_what_cannot_be_compared_is_a_sentence(words: list[str], says: str) -> None:
    answer = ask("figure", "colour", "difference", *seen("62", "6", "18", "reference."), *words)
    assert (answer.status, answer.out) == (2, "")
    assert says in answer.err


def test_two_colours_on_hunters_scale_are_no_cielab() -> None:
    words = [
        *seen("6", "6", "8", "reference.", scale="Hunter Lab"),
        *seen("5", "8", "2", "sample.", scale="Hunter Lab"),
    ]
    assert "Hunter Lab is not CIELAB" in ask("figure", "colour", "difference", *words).err


def test_a_lot_is_held_against_the_other_lots_of_its_line(bench: Bench) -> None:
    for lot, lightness in (("24-0016-5", "56"), ("24-0017-9", "55"), ("24-0018-7", "54")):
        read(bench, lot, lightness)
    read(bench, "24-0019-8", "48")
    found = of_lot("lot=24-0019-8")
    past = found["past"]
    assert (past["lightness"], past["n"], past["lots"]) == (55.0, 3, ["24-0016-5", "24-0017-9", "24-0018-7"])
    assert past["further_than_all"] is True
    assert (found["swatch"], past["swatch"]) == ("#836e59", "#96806a")
    assert past["ways"] == "darker by 7.0"
    assert "From 3 other lots of P-1 it is" in found["says"][2]
    assert "The line's own lots lay up to 1.0 from their mean." in found["says"]


def test_two_other_lots_are_too_few_to_say(bench: Bench) -> None:
    for lot, lightness in (("24-0016-5", "56"), ("24-0017-9", "55"), ("24-0018-7", "54")):
        read(bench, lot, lightness)
    found = of_lot("lot=24-0018-7")
    assert (found["past"]["n"], found["past"]["further_than_all"]) == (2, None)
    assert "Fewer than 3 lots are too few to say what is usual for the line." in found["says"]


@pytest.mark.parametrize("other", [{"illuminant": "C"}, {"observer": "2"}, {"scale": "Hunter Lab"}])
def test_only_what_was_read_alike_is_its_past(bench: Bench, other: dict[str, str]) -> None:
    read(bench, "24-0016-5", "56", **other)
    read(bench, "24-0017-9", "55")
    read(bench, "24-0018-7", "54")
    assert of_lot("lot=24-0018-7")["past"]["lots"] == ["24-0017-9"]


def test_only_what_was_read_no_later_and_stands_is_its_past(bench: Bench) -> None:
    read(bench, "24-0017-9", "55", at="2024-10-05")
    taken_back = read(bench, "24-0019-8", "55")
    reverse(taken_back, station=bench.plant.station, by=bench.plant.intake, reason="wrong dish", now=NOW)
    read(bench, "24-0018-7", "54")
    found = of_lot("lot=24-0018-7")
    assert found["past"] == {"n": 0}
    assert any("too few to say" in line for line in found["says"])


def test_the_newest_reading_of_a_lot_counts(bench: Bench) -> None:
    read(bench, "24-0016-5", "56")
    read(bench, "24-0016-5", "50", at="2024-10-06")
    assert of_lot("lot=24-0016-5")["lightness"] == 50.0


def test_a_lot_is_held_against_a_chip_as_typed(bench: Bench) -> None:
    read(bench, "24-0016-5", "56", instrument="C-1")
    found = of_lot("lot=24-0016-5", *seen("58", "5", "15", "reference."))
    assert found["reference"]["delta_e_76"] == 2.0
    assert any(line.startswith("From the reference it is 1.8 by CIEDE2000") for line in found["says"])
    answer = ask("figure", "colour of a lot", "lot=24-0016-5", *seen("58", "5", "15", "reference.", illuminant="A"))
    assert "with illuminant D65, the other with A" in answer.err


def test_other_instruments_are_noted(bench: Bench) -> None:
    read(bench, "24-0016-5", "56", instrument="C-1")
    read(bench, "24-0017-9", "55", instrument="C-2")
    assert any("another instrument" in note for note in of_lot("lot=24-0017-9")["notes"])


@pytest.mark.parametrize(("lot", "says"), [("24-0016-5", "No colour of 24-0016-5"), ("24-0099", "No lot 24-0099-1")])
def test_a_lot_without_a_colour_is_a_sentence(bench: Bench, lot: str, says: str) -> None:
    answer = ask("figure", "colour of a lot", f"lot={lot}", "--station", "QM")
    assert (answer.status, answer.out) == (2, "")
    assert says in answer.err


def test_the_page_of_a_lot_shows_its_colour_beside_the_lines_usual_one(bench: Bench) -> None:
    for lot, lightness in (("24-0016-5", "56"), ("24-0017-9", "55"), ("24-0018-7", "54"), ("24-0019-8", "48")):
        read(bench, lot, lightness)
    [panel] = [panel for panel in the_host().lot_panels("24-0019-8", "QM") if panel.title == "Colour"]
    assert [(one.words, one.code) for one in panel.swatches] == [
        ("this lot", "#836e59"),
        ("the line's usual", "#96806a"),
    ]
    assert dict(panel.rows) == {
        "Colour": "L* 48.00, a* 5.00, b* 15.00, read 2024-10-04",
        "Read under": "CIELAB, D65, 10° observer",
        "On a screen": "#836e59",
        "The line's usual": "L* 55.00, a* 5.00, b* 15.00, #96806a on a screen, from 3 other lots",
        "Difference": "7.0 by CIEDE2000, a difference seen from afar: darker by 7.0",
    }


def test_the_page_of_a_lot_whose_colour_was_not_read_has_no_box_for_it(bench: Bench) -> None:
    assert [panel.title for panel in the_host().lot_panels("24-0016-5", "QM")] == ["Grade", "Germination"]


@pytest.mark.parametrize("field", ["lightness", "a", "b", "illuminant", "observer", "scale", "instrument"])
@pytest.mark.parametrize("odd", ODD, ids=repr)
def test_whatever_is_typed_is_answered_or_refused_in_sentences(field: str, odd: Any) -> None:
    words = {"lightness": "62", "a": "6", "b": "18", **D65, field: odd}
    try:
        answer = colour(fill(SeenColour, words))
    except Refused as refused:
        assert all(mistake.says.endswith((".", "?", "…")) for mistake in refused.mistakes)
    else:
        assert json.dumps(answer.as_json, allow_nan=False)
