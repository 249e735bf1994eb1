"""Heat of days, and maturity of lines over the books."""

from datetime import date, timedelta
from typing import Any

import pytest

from inventory.actions.field import DayTyped, StageSeen, WeatherLog, log_weather, note_stages
from tests.grading.queries.figures.asking import asked, refused
from tests.grading.trials import plot
from tests.make import NOW, House, house

DAYS = {"low": "10, 15, 2, 3, 18", "high": "25, 30, 20, 8, 32"}


def test_days_are_added_up_by_the_formula_that_is_named() -> None:
    by_units, by_degrees = asked("heat", **DAYS), asked("heat", **DAYS, formula="growing degree days", base_c="10")
    assert (by_units.values["total"], by_degrees.values["total"]) == ("87.597", "36.0")
    assert by_units.says == ("5 days gave 87.6 crop heat units.",)
    assert by_degrees.says == ("5 days gave 36.0 growing degree days over 10 °C.",)
    assert "Crop heat units".casefold() in by_units.working[0].source


def test_fahrenheit_gives_the_same_crop_heat_units_and_says_how_it_was_turned() -> None:
    answer = asked("heat", low="50", high="77", unit="F")
    assert answer.values["days"] == ["20.565"]
    assert answer.working[0].formula.startswith("lowest (50 - 32) × 5 / 9 = 10 °C; highest (77 - 32) × 5 / 9 = 25 °C; ")


@pytest.mark.outside("Growing degree days over 50 °F by hand: max(0, (high + low)/2 - 50); common practice, no source")
@pytest.mark.parametrize(
    ("low", "high", "base", "days"), [("50", "77", "", "13.5"), ("59", "86", "50", "22.5"), ("40", "50", "", "0")]
)
def test_fahrenheit_gives_degree_days_in_fahrenheit(low: str, high: str, base: str, days: str) -> None:
    answer = asked("heat", low=low, high=high, unit="F", base_f=base, formula="growing degree days")
    assert (answer.values["total"], answer.values["unit"], answer.values["base"]) == (days, "F", "50")
    assert answer.says[0].endswith("growing degree days over 50 °F.")
    assert f"({high} + {low}) / 2 - 50" in answer.working[0].formula


def test_the_working_of_crop_heat_units_can_be_done_again_by_hand() -> None:
    [step, cold] = asked("heat", low="10, 3", high="25, 8").working
    assert step.formula == (
        "day 3.33 × (25 - 10) - 0.084 × (25 - 10)² = 31.05; night 1.8 × (10 - 4.4) = 10.08; half of both = 20.565"
    )
    assert "= -6.996, counts as 0" in cold.formula


@pytest.mark.parametrize(
    ("words", "field", "says"),
    [
        ({"low": "25", "high": "10"}, "low.1", "change places"),
        ({"low": "10, 12", "high": "25, 11"}, "low.2", "The lowest is 12 and the highest 11"),
        ({"low": "10", "high": "25, 30"}, "high", "Lowest temperatures: 1, highest: 2"),
        ({"low": [], "high": []}, "high", "one of each"),
        ({"low": "NaN", "high": "25"}, "low.1", "cannot be read"),
        ({"low": "10", "high": "250"}, "high.1", "250 °C"),
        ({"low": "10", "high": "25", "unit": "K"}, "unit", "C or F"),
        ({"low": "10", "high": "25", "formula": "warmth"}, "formula", "growing degree days"),
        ({"low": "10", "high": "25", "base_c": "41"}, "base_c", "41"),
        ({"low": "50", "high": "77", "unit": "F", "base_c": "10"}, "base_c", "as base_f=…"),
        ({"low": "10", "high": "25", "base_f": "50"}, "base_f", "as base_c=…"),
    ],
)
def test_heat_is_refused_at_its_field(words: dict[str, Any], field: str, says: str) -> None:
    [mistake] = refused("heat", **words)
    assert mistake.field == field
    assert says in mistake.says


@pytest.fixture
def plant() -> House:
    return house()


def ripe(plant: House, line: str, year: int, days: list[int]) -> None:
    """Plots of a line, each ripe so many days after 20 May."""
    number = {"N-1": 1, "N-2": 2}[line]
    for rep, after in enumerate(days, 1):
        code = f"TA{year % 100}-T{rep}0{number}"
        plot(plant, code, line, year, rep)
        day = (date(year, 5, 20) + timedelta(days=after)).isoformat()
        seen = [StageSeen(plot=code, stage="maturity", day=day)]
        note_stages(seen, station=plant.station, by=plant.breeder, now=NOW)


def warm(plant: House, year: int, *, frost_after: int, without: int = 0) -> None:
    """A season of equal days from 20 May on, 20.565 crop heat units each, with a frost so many days after it."""
    days = []
    for n in range(150):
        low = "-1" if n == frost_after else "10"
        if n != without:
            days.append(DayTyped(day=(date(year, 5, 20) + timedelta(days=n)).isoformat(), low=low, high="25"))
    log_weather(WeatherLog(site="ST", days=days), station=plant.station, by=plant.bench, now=NOW)


@pytest.mark.django_db
def test_lines_are_compared_in_days_with_a_range_and_seasons_are_looked_back_at(plant: House) -> None:
    ripe(plant, "N-1", 2024, [92, 93, 94])
    ripe(plant, "N-2", 2024, [97, 97, 99])
    warm(plant, 2022, frost_after=100)
    warm(plant, 2023, frost_after=95)
    warm(plant, 2024, frost_after=120)
    answer = asked("maturity", plant.station, check="N-1")
    assert answer.says == (
        "N-1: 93.0 days to maturity, 1913 crop heat units (3 plots).",
        "Planted on 05-20, N-1 would have ripened before the first frost in 3 of 3 past seasons at ST.",
        "N-2: 97.7 days to maturity, 2009 crop heat units (3 plots).",
        "N-2 ripens 4.7 days later than N-1, likely 3.2 to 6.1 in these site-years. 3 site-years are needed to speak "
        "of others.",
        "Planted on 05-20, N-2 would have ripened before the first frost in 2 of 3 past seasons at ST.",
    )
    [_check, line] = answer.values["lines"]
    assert line["seasons"]["ST"][1]["outcome"] == "frost first"
    assert line["seasons"]["ST"][1]["frost"] == "2023-08-23"
    assert all(step.source for step in answer.working)


@pytest.mark.django_db
def test_a_season_with_a_missing_day_is_not_told_and_later_planting_is_asked_for(plant: House) -> None:
    ripe(plant, "N-1", 2024, [92, 94])
    warm(plant, 2023, frost_after=99, without=40)
    warm(plant, 2024, frost_after=99)
    answer = asked("maturity", plant.station, check="N-1")
    assert "1 of 1 past seasons at ST. 1 more cannot be told, because days are missing." in answer.says[1]
    later = asked("maturity", plant.station, check="N-1", planted="06-10")
    assert "Planted on 06-10, N-1 would have ripened before the first frost in 0 of 1 past seasons" in later.says[1]


@pytest.mark.django_db
def test_without_temperatures_days_are_said_and_no_heat(plant: House) -> None:
    ripe(plant, "N-1", 2024, [92, 94])
    answer = asked("maturity", plant.station, check="N-1")
    assert answer.says == ("N-1: 93.0 days to maturity (2 plots).",)
    assert "TA24-T101, TA24-T201" in answer.notes[1]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("words", "field"),
    [
        ({"check": ""}, "check"),
        ({"check": "N-2"}, "check"),
        ({"check": "N-1", "lines": "Nowhere"}, "lines.1"),
        ({"check": "N-1", "planted": "02-30"}, "planted"),
        ({"check": "N-1", "planted": "May"}, "planted"),
        ({"check": "N-1", "frost_c": "x"}, "frost_c"),
        ({"check": "N-1", "formula": "warmth"}, "formula"),
    ],
)
def test_maturity_is_refused_at_its_field(plant: House, words: dict[str, str], field: str) -> None:
    ripe(plant, "N-1", 2024, [92, 94])
    assert [mistake.field for mistake in refused("maturity", plant.station, **words)] == [field]
