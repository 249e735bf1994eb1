"""Plots, blocks, plants, and what the field weighed."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from inventory.actions.plots import NewPlant, NewPlot, PlotWeight, add_plants, add_plots, add_sites, weigh_plots
from inventory.actions.receiving import Delivery, receive
from inventory.actions.reversing import reverse
from inventory.models import FieldWeight, Link, Operation, Plant, Plot, Site
from inventory.queries.deliveries import field_weights
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.make import NOW, House, house

pytestmark = pytest.mark.django_db
TRIAL = NewPlot(code="ST25-T101", line="N-1", trial="T", rep=1, position=1, area="14.4", sown_on="2025-05-20")


@pytest.fixture
def plant() -> House:
    return house()


def test_site_and_season_are_read_from_the_code(plant):
    add_plots([TRIAL], station=plant.station, by=plant.breeder, now=NOW)
    plot = Plot.objects.get(code="ST25-T101")
    assert (plot.site.code, plot.season, plot.line.name) == ("ST", 2025, "N-1")
    assert (plot.area_m2, plot.sown_on) == (Decimal("14.40"), date(2025, 5, 20))
    assert verify(plant.station).is_whole


def test_a_block_is_entered_in_hectares(plant):
    block = NewPlot(
        code="ST25-I1", line="N-1", is_block=True, area="0.28", area_unit="ha", sown_from_note="breeder seed"
    )
    add_plots([block], station=plant.station, by=plant.breeder, now=NOW)
    assert Plot.objects.get(code="ST25-I1").area_m2 == 2800


def test_the_same_plot_twice_changes_nothing(plant):
    booked = add_plots([TRIAL, TRIAL], station=plant.station, by=plant.breeder, now=NOW)
    again = add_plots([TRIAL], station=plant.station, by=plant.breeder, now=NOW)
    assert (len(booked.operations), again.operations) == (1, ())


def test_each_plot_is_an_act_of_its_own_and_many_cost_few_queries(plant, django_assert_max_num_queries):
    plots = [replace(TRIAL, code=f"ST25-T{number}") for number in range(101, 161)]
    with django_assert_max_num_queries(30):
        booked = add_plots(plots, station=plant.station, by=plant.breeder, now=NOW)
    assert len(booked.operations) == 60


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"line": "N-2"}, "ST25-T101 is in the books already, and differs: line N-1, now N-2."),
        ({"rep": 2, "area": None}, "differs: rep 1, now 2 and area m2 14.40, now empty."),
        ({"code": ""}, "Plot is missing. Give it, for example QM24-T101."),
        ({"code": "XX25-T1"}, "'XX' is not a site we know."),
        ({"code": "T9"}, "Season is missing. Give it, for example 2024."),
        ({"code": "ST25-T2", "line": "N-9"}, "'N-9' is not a line we know. Did you mean N-1"),
        ({"code": "ST25-T2", "area": "14.4 rods"}, "Area is in 'rods'."),
        ({"code": "ST25-T2", "sown_on": "soon"}, "'soon'"),
    ],
)  # fmt: skip
def test_a_plot_that_cannot_stand_is_refused_and_nothing_is_saved(plant, changed, says):
    add_plots([TRIAL], station=plant.station, by=plant.breeder, now=NOW)
    other = replace(TRIAL, code="ST25-T102", position=2)
    with pytest.raises(Refused) as refusal:
        add_plots([other, replace(TRIAL, **changed)], station=plant.station, by=plant.breeder, now=NOW)
    assert says in str(refusal.value)
    assert not Plot.objects.filter(code="ST25-T102").exists()
    assert Operation.objects.count() == 1


def test_a_site_is_entered_once(plant):
    sites = {"HF": "Home field"}
    add_sites(sites, station=plant.station, by=plant.breeder, now=NOW)
    assert add_sites(sites, station=plant.station, by=plant.breeder, now=NOW).operations == ()
    with pytest.raises(Refused, match="Site HF is in the books already: it is Home field"):
        add_sites({"HF": "Far field"}, station=plant.station, by=plant.breeder, now=NOW)
    assert Site.objects.count() == 2


def test_lots_come_from_single_plants(plant):
    rows = [NewPlant(plot="ST24-N-1-1"), NewPlant(plot="ST24-N-1-1", is_row=True)]
    add_plants(rows, station=plant.station, by=plant.breeder, now=NOW)
    assert list(Plant.objects.values_list("number", "is_row")) == [("ST24-N-1-1-1", False), ("ST24-N-1-1-2", True)]
    delivery = Delivery(plants=("ST24-N-1-1-2",), net="0.08", place="F-1", at="2024-09-24")
    receive(delivery, station=plant.station, by=plant.intake, now=NOW)
    assert Link.objects.count() == 1
    assert verify(plant.station).is_whole


def test_a_plants_number_stands_for_one_plant(plant):
    rows = [NewPlant(plot="ST24-N-1-1", number="P7"), NewPlant(plot="ST24-N-1-2", number="P7")]
    with pytest.raises(Refused, match="Plant P7 is in the books already"):
        add_plants(rows, station=plant.station, by=plant.breeder, now=NOW)
    assert not Plant.objects.exists()


def test_a_weighing_goes_before_an_estimate_and_a_reversed_one_is_gone(plant):
    plot = Plot.objects.get(code="ST24-N-1-1")
    rows = [PlotWeight(plot=plot.code, mass="4.21"), PlotWeight(plot=plot.code, mass="4.0", is_estimate=True)]
    weighed = weigh_plots(rows, station=plant.station, by=plant.intake, now=NOW)
    assert field_weights([plot])[plot.pk].mg == 4_210_000
    reverse(weighed.operations[0], station=plant.station, by=plant.intake, reason="wrong plot", now=NOW)
    assert field_weights([plot])[plot.pk].mg == 4_000_000
    assert verify(plant.station).is_whole


@pytest.mark.parametrize(
    ("mass", "says"),
    [("0", "Mass is 0"), ("", "Mass is missing"), ("-1", "less than nothing"), ("x", "cannot be read")],
)
def test_a_field_weight_that_cannot_be_is_refused_and_nothing_is_saved(plant, mass, says):
    rows = [PlotWeight(plot="ST24-N-1-2", mass="4"), PlotWeight(plot="ST24-N-1-1", mass=mass)]
    with pytest.raises(Refused, match=says):
        weigh_plots(rows, station=plant.station, by=plant.breeder, now=NOW)
    assert not FieldWeight.objects.exists()


@pytest.mark.parametrize(
    ("number", "named"), [("", "ST24-N-1-1-1"), ("7", "ST24-N-1-1-7"), ("ST24-N-1-1-7", "ST24-N-1-1-7"), ("A7", "A7")]
)
def test_a_bare_number_of_a_plant_counts_within_its_plot(plant, number, named):
    add_plants([NewPlant(plot="ST24-N-1-1", number=number)], station=plant.station, by=plant.breeder, now=NOW)
    assert Plant.objects.get().number == named
