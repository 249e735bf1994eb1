"""Honest differences from the check over the trials in the books."""

from dataclasses import replace

import pytest

from grading.queries.figures.line_differences import _from_to
from grading.stats.trials import by_site_years
from inventory.models import Plot
from tests.grading.queries.figures.asking import asked, refused
from tests.grading.trials import deliver, plot, trial
from tests.make import House, house

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    plant = house()
    Plot.objects.all().update(is_block=True)  # the house's own plots are no trial
    return plant


def two_years(plant: House) -> None:
    trial(plant, "TA", 2023, {"N-1": ["4.0", "4.2", "4.1"], "N-2": ["4.3", "4.4", "4.5"]})
    trial(plant, "TA", 2024, {"N-1": ["3.0", "3.3", "3.1"], "N-2": ["3.1", "3.5", "3.2"]})


def test_a_line_is_said_to_lie_ahead_with_a_range_and_its_site_years(plant: House) -> None:
    two_years(plant)
    answer = asked("line differences", plant.station, check="N-1", moisture_pct="16")
    [line] = answer.values["lines"]
    # Differences 0.3 0.2 0.4 and 0.1 0.2 0.1: means 0.3 and 0.1333; pooled variance (0.02 + 0.006667) / 4.
    assert line["difference"] == "0.217"
    assert line["in_these_site_years"]["low"] == pytest.approx(0.2167 - 2.7764 * 0.03333, abs=1e-3)
    assert line["in_these_site_years"]["lies_apart"]
    assert line["in_other_site_years"] is None
    assert answer.says[0] == (
        "N-2: ahead of N-1 by 0.22 t/ha (2 site-years). In these it is likely 0.12 to 0.31 ahead (6 pairs of plots). "
        "Too few to say what another year brings: 3 site-years are needed."
    )
    assert "*" not in str(answer.as_json)


def test_three_site_years_speak_of_other_years_too(plant: House) -> None:
    two_years(plant)
    trial(plant, "TB", 2024, {"N-1": ["2.0", "2.1", "2.2"], "N-2": ["2.0", "2.2", "2.1"]})
    answer = asked("line differences", plant.station, check="N-1")
    years = answer.values["lines"][0]["in_other_site_years"]
    assert (years["n"], years["lies_apart"]) == (3, False)
    assert "In another site or year it is likely" in answer.says[0]


def test_seasons_and_lines_can_be_named(plant: House) -> None:
    two_years(plant)
    answer = asked("line differences", plant.station, check="N-1", since="2024", lines="N-2")
    assert list(answer.values["lines"][0]["site_years"]) == ["ST 2024 TA"]
    assert "(1 site-year)" in answer.says[0]


def test_plots_that_share_a_lot_give_a_mean_and_no_range(plant: House) -> None:
    for number, line in ((1, "N-1"), (2, "N-2")):
        codes = [f"TA24-T{rep}0{number}" for rep in (1, 2, 3)]
        for rep, code in enumerate(codes, 1):
            plot(plant, code, line, 2024, rep)
        deliver(plant, tuple(codes), str(11 + number), "2024-09-20")
    [line] = asked("line differences", plant.station, check="N-1").values["lines"]
    assert (line["difference"], line["in_these_site_years"]) == ("0.333", None)


def test_what_is_left_out_is_said(plant: House) -> None:
    two_years(plant)
    plot(plant, "TA24-T401", "N-1", 2024, 4)
    answer = asked("line differences", plant.station, check="N-1")
    assert answer.values["left_out"] == {"TA24-T401": "no lot came in from it"}
    assert answer.notes[-1] == "Left out: TA24-T401: no lot came in from it."


@pytest.mark.parametrize(
    ("words", "field", "says"),
    [
        ({"check": ""}, "check", "Check is missing"),
        ({"check": "Nowhere"}, "check", "Nowhere"),
        ({"check": "N-1", "lines": "Nowhere"}, "lines.1", "Nowhere"),
        ({"check": "N-1", "moisture_pct": "41"}, "moisture_pct", "41 %"),
        ({"check": "N-1", "moisture_pct": "NaN"}, "moisture_pct", "cannot be read"),
        ({"check": "N-1", "since": "24"}, "since", "from 1900"),
        ({"check": "N-1", "since": "2026"}, "check", "No trial has both N-1 and another line"),
        ({"check": "B-1"}, "check", "No trial has both B-1"),
    ],
)
def test_what_cannot_be_compared_is_refused_at_its_field(
    plant: House, words: dict[str, str], field: str, says: str
) -> None:
    two_years(plant)
    [mistake] = refused("line differences", plant.station, **words)
    assert mistake.field == field
    assert says in mistake.says


@pytest.mark.parametrize(
    ("low", "high", "says"),
    [
        (0.12, 0.31, "0.12 to 0.31 ahead"),
        (-0.23, -0.06, "0.06 to 0.23 behind"),
        (-0.02, 0.05, "0.02 behind to 0.05 ahead"),
    ],
)
def test_a_likely_range_is_said_by_its_side(low: float, high: float, says: str) -> None:
    [likely] = [each for each in [by_site_years([low, high, (low + high) / 2])] if each]
    assert _from_to(replace(likely, low=low, high=high)) == says
