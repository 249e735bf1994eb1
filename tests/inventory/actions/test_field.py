"""Daily temperatures and stages of plots: what is kept, what is refused at which field."""

from datetime import date
from decimal import Decimal

import pytest

from inventory.actions.field import DayTyped, StageSeen, WeatherLog, log_weather, note_stages
from inventory.actions.reversing import reverse
from inventory.models import Operation, Plot, PlotStage, Site, WeatherDay
from inventory.queries.verifying import verify
from inventory.queries.weather import stage_days, weather_of
from inventory.rules.mistakes import Refused
from tests.inventory.importing.kinds_of_rows import check, load
from tests.make import NOW, House, house

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    return house()


def logged(plant, *days, site="ST", **more):
    typed = [DayTyped(day=day, low=low, high=high) for day, low, high in days]
    words = WeatherLog(site=site, days=typed, **more)
    return log_weather(words, station=plant.station, by=plant.bench, now=NOW)


def seen(plant, plot, stage, day, **more):
    words = StageSeen(plot=plot, stage=stage, day=day)
    return note_stages([words], station=plant.station, by=plant.breeder, now=NOW, **more)


def test_temperatures_are_kept_as_typed_and_read_in_celsius(plant):
    logged(plant, ("2024-06-01", "11.20", "24,6"), ("2024-06-02", "-1", "20"))
    logged(plant, ("2024-06-03", "50", "71.6"), unit="f")
    assert WeatherDay.objects.get(day="2024-06-01").low == "11.20"
    days = weather_of(Site.objects.get(code="ST").pk)
    assert [(day.low, day.high) for day in days.values()] == [
        (Decimal("11.20"), Decimal("24.6")), (-1, 20), (10, 22),
    ]  # fmt: skip
    assert verify(plant.station).is_whole


def test_a_log_that_is_taken_back_leaves_its_days_free(plant):
    booked = logged(plant, ("2024-06-01", "11", "24"))
    reverse(booked.operations[0], station=plant.station, by=plant.intake, reason="other site", now=NOW)
    assert weather_of(Site.objects.get(code="ST").pk) == {}
    logged(plant, ("2024-06-01", "10", "24"))
    assert verify(plant.station).is_whole


def test_days_missing_in_between_are_said(plant):
    booked = logged(plant, ("2024-06-01", "11", "24"), ("2024-06-04", "11", "24"))
    assert "2024-06-02 and 2024-06-03" in booked.operations[0].content


@pytest.mark.parametrize(
    ("days", "more", "field", "says"),
    [
        ([("2024-06-01", "24", "11")], {}, "low", "The lowest is 24 and the highest 11 on 2024-06-01"),
        ([("2024-06-01", "11", "24"), ("2024-06-02", "24", "11")], {}, "days.2.low", "change places"),
        ([("2024-06-01", "11", "240")], {}, "high", "240 °C; -60 to 60 °C can be"),
        ([("2024-06-01", "NaN", "24")], {}, "low", "cannot be read as a number"),
        ([("2024-06-01", "", "24")], {}, "low", "missing"),
        ([("", "11", "24")], {}, "day", "missing"),
        ([("2024-06-31", "11", "24")], {}, "day", "2024-06-31"),
        ([("2027-06-01", "11", "24")], {}, "day", "2027-06-01"),
        ([("2024-06-01", "11", "24")] * 2, {}, "days.2.day", "stands twice"),
        ([("2024-06-01", "11", "24")], {"unit": "K"}, "unit", "C or F"),
        ([("2024-06-01", "11", "24")], {"site": "nowhere"}, "site", "nowhere"),
        ([("2024-06-01", "11", "24")], {"site": ""}, "site", "missing"),
        ([], {}, "days", "missing"),
        ([("2024-06-01", "11", "24")] * 1001, {}, "days", "one act takes 1,000"),
    ],
)
def test_what_no_field_had_is_refused_at_its_place(plant, days, more, field, says):
    with pytest.raises(Refused) as caught:
        logged(plant, *days, **more)
    assert field in [mistake.field for mistake in caught.value.mistakes]
    assert any(says in mistake.says for mistake in caught.value.mistakes)
    assert not Operation.objects.exists()


def test_a_day_that_stands_is_refused_with_what_stands(plant):
    logged(plant, ("2024-06-01", "11", "24"))
    with pytest.raises(Refused, match=r"ST 2024-06-01 is in the books already: 11 to 24 °C"):
        logged(plant, ("2024-06-01", "11", "25"))


def test_a_sheet_of_temperatures_is_loaded_day_by_day(plant):
    sheet = "Date;Site;Min;Max\n2024-06-01;ST;11,2;24,6\n2024-06-02;ST;9;21\n"
    load(plant, "weather", sheet)
    assert list(WeatherDay.objects.order_by("day").values_list("low", "high")) == [("11.2", "24.6"), ("9", "21")]
    assert verify(plant.station).is_whole


def test_a_sheet_says_its_bad_day_at_its_cell(plant):
    sheet = "Date;Site;Min;Max\n2024-06-01;ST;24;11\n2024-06-01;ST;9;21\n2024-06-01;ST;9;22\n"
    found = [(each.row, each.column, each.says) for each in check(plant, "weather", sheet).findings]
    assert any(row == 2 and column == "Min" and "change places" in says for row, column, says in found)
    assert any(row == 4 and column == "Date" and "in the books already" in says for row, column, says in found)


def test_a_stage_is_kept_and_the_newest_note_goes_before(plant):
    plot = Plot.objects.get(code="ST24-N-1-1")
    seen(plant, plot.code, "maturity", "2024-09-01")
    seen(plant, plot.code, "Maturity", "2024-09-03")
    assert stage_days([plot], "maturity") == {plot.pk: date(2024, 9, 3)}
    assert PlotStage.objects.count() == 2
    assert verify(plant.station).is_whole


@pytest.mark.parametrize(
    ("day", "code"),
    [("2024-05-01", "stage_before_sowing"), ("2024-05-30", "stage_unlikely"), ("2024-12-30", "stage_unlikely")],
)
def test_a_stage_far_from_its_sowing_is_refused_or_asked_about(plant, day, code):
    Plot.objects.filter(code="ST24-N-1-1").update(sown_on="2024-05-21")
    with pytest.raises(Refused) as caught:
        seen(plant, "ST24-N-1-1", "maturity", day)
    assert [mistake.code for mistake in caught.value.mistakes] == [code]
    if code == "stage_unlikely":
        seen(plant, "ST24-N-1-1", "maturity", day, answers={code: "late rain"})
        assert PlotStage.objects.exists()


@pytest.mark.parametrize(
    ("plot", "stage", "day", "field"),
    [
        ("ST24-N-1-1", "ripe", "2024-09-01", "stage"),
        ("ST24-X", "maturity", "2024-09-01", "plot"),
        ("ST24-N-1-1", "maturity", "", "day"),
        ("ST24-N-1-1", "maturity", "2027-09-01", "day"),
    ],
)
def test_a_stage_is_refused_at_its_field(plant, plot, stage, day, field):
    with pytest.raises(Refused) as caught:
        seen(plant, plot, stage, day)
    assert [mistake.field for mistake in caught.value.mistakes] == [field]
