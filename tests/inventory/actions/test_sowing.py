"""Seed that is sown."""

import pytest

from inventory.actions.holding import hold, lift
from inventory.actions.plots import NewPlot, add_plots
from inventory.actions.promising import Promising, promise
from inventory.actions.receiving import Delivery, receive
from inventory.actions.reversing import reverse
from inventory.actions.sowing import Sowing, sow, sow_all
from inventory.models import Entry, Link, Operation, Stock
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.make import NOW, House, bagged, cleaned, house, kg_left, received

pytestmark = pytest.mark.django_db
NEXT = ("ST25-T101", "ST25-T202", "ST25-T303")


@pytest.fixture
def plant() -> House:
    plant = house()
    plots = [NewPlot(code=code, line="N-1", area="14.4") for code in NEXT]
    plots += [NewPlot(code="ST25-B1", line="B-1"), NewPlot(code="ST25-X1", line="N-1")]
    add_plots(plots, station=plant.station, by=plant.breeder, now=NOW)
    return plant


def sown(plant, lot, plots=NEXT, **more):
    answers = more.pop("answers", None)
    sowing = Sowing(**{"lot": lot.number, "plots": plots, "mass": "0.30", "at": "2025-05-20", **more})
    return sow(sowing, station=plant.station, by=plant.breeder, now=NOW, answers=answers)


def parts():
    return sorted(Link.objects.filter(is_sowing=True).values_list("weight", "total", "is_assumed"))


def test_a_sowing_leaves_the_store_and_links_each_plot_to_the_lot(plant):
    lot = received(plant, "12.42")
    booked = sown(plant, lot)
    assert parts() == [(100_000, 300_000, False)] * 3
    assert Entry.objects.get(account="sown").mg == 300_000
    assert verify(plant.station).is_whole
    reverse(booked.operations[0], station=plant.station, by=plant.intake, reason="rain", now=NOW)
    assert parts() == []
    assert str(kg_left(lot)) == "12.42"
    assert verify(plant.station).is_whole


def test_without_all_areas_equal_parts_are_assumed_and_said(plant):
    sown(plant, received(plant, "12.42"), plots=("ST25-T101", "ST25-X1"))
    assert parts() == [(150_000, 300_000, True)] * 2


def test_a_stated_split_is_kept(plant):
    sown(plant, received(plant, "12.42"), plots=NEXT[:2], parts=("0.10", "0.25"), mass=None)
    assert parts() == [(100_000, 350_000, False), (250_000, 350_000, False)]


def test_bags_are_opened_and_a_rest_goes_back_into_a_part_bag(plant):
    lot = bagged(plant, received(plant, "53.8"), count=2, part_bag="3.8")
    sown(plant, lot, mass="45.0", bags="1-2", put_back="5.0", put_back_bag=3)
    assert dict(Stock.objects.filter(lot=lot, mg__gt=0).values_list("bag_no", "mg")) == {3: 8_800_000}
    assert verify(plant.station).is_whole


def test_a_bag_and_a_part_of_another_are_sown(plant):
    lot = bagged(plant, received(plant, "38.2"), count=1, part_bag="13.2")
    sown(plant, lot, mass="27.5", bags="1, 2")
    assert dict(Stock.objects.filter(lot=lot, mg__gt=0).values_list("bag_no", "mg")) == {2: 10_700_000}


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({"plots": ()}, "Plot is missing. Give it, for example QM25-I1."),
        ({"plots": ("ST25-B1",)}, "24-0001-5 is N-1, but plot ST25-B1 is for B-1."),
        ({"plots": ("ST24-N-1-1",)}, "24-0001-5 was harvested from plot ST24-N-1-1, or from what came of it"),
        ({"mass": "900"}, "800.0 kg left of 24-0001-5 at F-1; this asks 900.0."),
        ({"mass": None}, "Mass is missing."),
        ({"mass": "0.000002"}, "cannot be shared over 3 plots"),
        ({"parts": ("0.1", "0.1", "0.2")}, "The plots add up to 0.4 kg, but 0.3 kg were sown."),
        ({"parts": ("0.3",)}, "Part is missing. Give it, for example one mass for each of the 3 plots."),
        ({"put_back": "1", "put_back_bag": 4}, "Bag 24-0001-5/4 is not in store."),
    ],
)
def test_a_sowing_that_cannot_be_is_refused_and_nothing_is_saved(plant, asked, says):
    lot = received(plant)
    before = Operation.objects.count()
    with pytest.raises(Refused) as refusal:
        sown(plant, lot, **asked)
    assert says in str(refusal.value)
    assert (kg_left(lot), Operation.objects.count()) == (800, before)
    assert not Link.objects.filter(is_sowing=True).exists()


def test_another_line_is_sown_when_the_answer_says_why(plant):
    booked = sown(plant, received(plant), plots=("ST25-B1",), answers={"sown_line_differs": "border rows"})
    assert "border rows" in booked.operations[0].content


def test_seed_cannot_stand_before_its_own_plot_even_seasons_later(plant):
    lot = cleaned(plant, received(plant), "798", "741.2")
    sown(plant, lot, plots=("ST25-T101",))
    harvest = Delivery(plots=("ST25-T101",), net="5", place="F-1", at="2025-05-30")
    child = receive(harvest, station=plant.station, by=plant.intake, now=NOW).lots[0]
    with pytest.raises(Refused, match=f"{child.number} was harvested from plot ST24-N-1-1, or from what came of it"):
        sown(plant, child, plots=("ST24-N-1-1",))


def test_a_plot_that_was_sown_is_asked_about(plant):
    lot = received(plant)
    sown(plant, lot)
    with pytest.raises(Refused, match=f"Plot ST25-T101 was sown with {lot.number} already. Same sowing"):
        sown(plant, lot, plots=("ST25-T101",))


def test_seed_on_hold_is_not_sown_until_the_hold_is_lifted(plant):
    lot = received(plant)
    hold([lot.number], station=plant.station, by=plant.bench, reason="germination 79 %", now=NOW)
    with pytest.raises(Refused, match=r"24-0001-5 is on hold: germination 79 %\. breeder-st or records-st can lift it"):
        sown(plant, lot)
    lift(lot.number, station=plant.station, by=plant.breeder, reason="retested", now=NOW)
    sown(plant, lot)
    assert verify(plant.station).is_whole


def test_a_promise_warns_and_does_not_block(plant):
    lot = received(plant)
    given = Promising(lot=lot.number, mass="799.9", recipient="Tollhaven")
    promise(given, station=plant.station, by=plant.breeder, now=NOW)
    booked = sown(plant, lot)
    assert "799.9 kg of 24-0001-5 are promised to Tollhaven; 799.7 would be left." in booked.operations[0].content


def test_sowings_of_many_lots_are_all_or_none(plant):
    lot = received(plant)
    rows = [Sowing(lot=lot.number, plots=NEXT[:1], mass="1"), Sowing(lot=lot.number, plots=NEXT[1:], mass="800")]
    with pytest.raises(Refused, match=r"799.0 kg left of 24-0001-5"):
        sow_all(rows, station=plant.station, by=plant.breeder, now=NOW)
    assert kg_left(lot) == 800
