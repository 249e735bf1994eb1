"""The forecast of viability: only by constants that come with their source."""

import pytest

from tests.grading.queries.figures.working import figure, refused

WORDS = {
    "k_e": "8.498", "c_w": "4.836", "c_h": "0.0322", "c_q": "0.000454", "source": "Ellis and Hong (2007), wheat",
    "initial_pct": "98", "moisture_pct": "12", "temperature_c": "20", "days": "365", "down_to_pct": "85",
}  # fmt: skip


def test_it_is_worded_as_a_forecast_and_names_the_source():
    answer = figure("viability forecast", **WORDS)
    assert answer.values["forecast_pct"] == pytest.approx(77.906, abs=0.001)
    assert answer.says[0] == "Forecast after 365 days: 77.9 %. Test before you rely on it."
    assert any("Ellis and Hong (2007), wheat" in note for note in answer.notes)
    assert any(note.startswith("Rule of thumb, not used here") for note in answer.notes)


def test_no_constants_ship():
    said = refused("viability forecast", **{**WORDS, "k_e": "", "c_w": ""})
    assert set(said) == {"k_e", "c_w"}


def test_a_hundred_per_cent_counts_as_half_a_seed_less():
    answer = figure("viability forecast", **{**WORDS, "initial_pct": "100"})
    assert "100 % has no probit; it counts as 99.875 %" in answer.notes[0]


@pytest.mark.outside("7 CFR 201.36c: garden bean in hermetically sealed containers, at most 7.0 % moisture")
@pytest.mark.parametrize(("moisture", "may"), [("6.9", True), ("7.0", True), ("7.1", False), ("12", False)])
def test_beans_are_sealed_at_seven_per_cent_or_less(moisture, may):
    words = {**WORDS, "moisture_pct": moisture, "hermetic": "yes"}
    if may:
        assert figure("viability forecast", **words).says
    else:
        assert "at most 7.0 % moisture" in refused("viability forecast", **words)["moisture_pct"]


@pytest.mark.parametrize(
    ("words", "field", "says"),
    [
        ({"source": ""}, "source", "Name who published these constants"),
        ({"source": "me"}, "source", "Name who published"),
        ({"source": "x" * 401}, "source", "400 fit"),
        ({"temperature_c": "120"}, "temperature_c", "Temperature c is 120"),
        ({"temperature_c": "-40"}, "temperature_c", "from -20"),
        ({"moisture_pct": "40"}, "moisture_pct", "up to 25"),
        ({"days": "-1"}, "days", "Days is -1"),
        ({"initial_pct": "101"}, "initial_pct", "up to 100"),
        ({"k_e": "NaN"}, "k_e", "cannot be read"),
        ({"down_to_pct": "100"}, "down_to_pct", "up to 99"),
    ],
)
def test_what_cannot_be_is_a_sentence_at_its_field(words, field, says):
    assert says in refused("viability forecast", **{**WORDS, **words})[field]
