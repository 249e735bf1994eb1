"""Lots that turn out to be something else."""

import json

import pytest

from inventory.actions.blending import Blend, Part, blend
from inventory.actions.plots import PlotWeight, weigh_plots
from inventory.actions.reassigning import Reassignment, reassign
from inventory.actions.reversing import reverse, reverse_all
from inventory.actions.sowing import Sowing, sow
from inventory.models import Line, Link, Operation, Plot, Site, Standing
from inventory.queries.descent import descendants_of
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.make import NOW, House, cleaned, house, received

pytestmark = pytest.mark.django_db
SOWN_WITH_IT = {"line_differs": "the plot itself was sown with N-2"}


@pytest.fixture
def plant() -> House:
    return house()


def reassigned(plant, lot, reason="tags were swapped", answers=None, **more):
    asked = Reassignment(lot=lot.number, **more)
    return reassign(asked, station=plant.station, by=plant.records, reason=reason, answers=answers, now=NOW)


def line_of(lot):
    return str(Standing.objects.get(lot=lot).line)


def blended(plant, *lots):
    asked = Blend(parts=[Part(lot=lot.number) for lot in lots], place="A-01", at="2025-01-10")
    return blend(asked, station=plant.station, by=plant.line, reason="for sowing", now=NOW).lots[0]


def test_lots_made_from_it_follow_it_and_go_back_with_it(plant):
    raw = received(plant)
    clean = cleaned(plant, raw, "798", "741.2")
    booked = reassigned(plant, raw, line="N-2", answers=SOWN_WITH_IT)
    assert (line_of(raw), line_of(clean)) == ("N-2", "N-2")
    facts = json.loads(booked.operations[0].content)["facts"]
    assert (facts["follow"], facts["stay"]) == ([clean.number], [])
    assert verify(plant.station).is_whole
    reverse(booked.operations[0], station=plant.station, by=plant.records, reason="it was right", now=NOW)
    assert (line_of(raw), line_of(clean)) == ("N-1", "N-1")
    assert verify(plant.station).is_whole


def test_blends_stay_and_are_listed(plant):
    one, other = received(plant), received(plant, "100", plot="ST24-N-1-2")
    mixed = blended(plant, one, other)
    after = cleaned(plant, mixed, "50", "48", at="2025-02-01")
    booked = reassigned(plant, one, line="N-2", answers=SOWN_WITH_IT)
    facts = json.loads(booked.operations[0].content)["facts"]
    assert (facts["follow"], facts["stay"]) == ([], [mixed.number, after.number])
    assert (line_of(mixed), line_of(after)) == ("N-1", "N-1")
    assert [each.is_blend for each in descendants_of(one)] == [True, True]
    assert verify(plant.station).is_whole


def test_other_plots_bring_their_line_their_weights_and_new_sources(plant):
    rows = [PlotWeight(plot="ST24-N-2-1", mass="3"), PlotWeight(plot="ST24-N-2-2", mass="1")]
    weigh_plots(rows, station=plant.station, by=plant.breeder, now=NOW)
    lot = received(plant)
    booked = reassigned(plant, lot, plots=("ST24-N-2-1", "ST24-N-2-2"))
    assert line_of(lot) == "N-2"
    assert sorted(Link.objects.values_list("weight", "total", "is_assumed")) == [
        (1_000_000, 4_000_000, False),
        (3_000_000, 4_000_000, False),
    ]
    assert verify(plant.station).is_whole
    reverse(booked.operations[0], station=plant.station, by=plant.records, reason="it was right", now=NOW)
    assert Link.objects.count() == 1
    assert verify(plant.station).is_whole


def test_without_field_weights_equal_shares_are_assumed(plant):
    lot = received(plant)
    reassigned(plant, lot, plots=("ST24-N-2-1", "ST24-N-2-2"))
    assert list(Link.objects.values_list("weight", "total", "is_assumed")) == [(1, 2, True)] * 2


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({}, "Line is missing. Give it, for example QN-2104, or the plots it came from."),
        ({"line": "N-1"}, "24-0001-5 is N-1 from these plots already. Nothing would change."),
        ({"plots": ("ST24-N-1-1",)}, "Nothing would change."),
        ({"plots": ("ST24-N-1-1", "ST24-B-1-1")}, "These plots hold N-1 and B-1."),
        ({"line": "N-2", "plots": ("ST24-B-1-1",)}, "The line reads N-2, but the plots were sown with B-1."),
        ({"line": "N-9"}, "'N-9' is not a line we know."),
        ({"line": "N-2", "reason": ""}, "Write why: a reassignment is kept with its reason."),
    ],
)
def test_a_reassignment_that_cannot_be_is_refused_and_nothing_is_saved(plant, asked, says):
    lot = received(plant)
    with pytest.raises(Refused) as refusal:
        reassigned(plant, lot, **asked)
    assert says in str(refusal.value)
    assert (line_of(lot), Operation.objects.count()) == ("N-1", 1)


def test_a_lot_made_from_lots_has_no_plots(plant):
    clean = cleaned(plant, received(plant), "798", "741.2")
    with pytest.raises(Refused, match="was made from other lots, so it has no plots of its own"):
        reassigned(plant, clean, plots=("ST24-N-2-1",))


def test_a_lot_was_not_harvested_where_it_was_sown(plant):
    lot = received(plant)
    clean = cleaned(plant, lot, "798", "741.2")
    sowing = Sowing(lot=clean.number, plots=("ST24-N-1-2",), mass="1")
    sow(sowing, station=plant.station, by=plant.breeder, now=NOW)
    with pytest.raises(Refused, match="that plot was not sown with it"):
        reassigned(plant, lot, plots=("ST24-N-1-2",))


def sown_on(plant, lot, plot):
    sowing = Sowing(lot=lot.number, plots=(plot,), mass="1")
    return sow(sowing, station=plant.station, by=plant.breeder, now=NOW).operations[0]


def test_nor_where_seed_was_sown_that_came_of_it_seasons_later(plant):
    lot = received(plant)
    sown_on(plant, lot, "ST24-N-1-2")
    later = received(plant, plot="ST24-N-1-2", at="2025-01-05")
    Plot.objects.create(
        station=plant.station,
        site=Site.objects.get(),
        code="ST25-N-1-1",
        season=2025,
        line=Line.objects.get(name="N-1"),
    )
    sown_on(plant, later, "ST25-N-1-1")
    with pytest.raises(Refused, match="that plot was not sown with it"):
        reassigned(plant, lot, plots=("ST25-N-1-1",))


def test_a_reassignment_stays_while_the_plot_that_it_left_is_sown_with_the_lot(plant):
    lot = received(plant, plot="ST24-N-1-1")
    moved = reassigned(plant, lot, plots=("ST24-N-1-2",)).operations[0]
    sowing = sown_on(plant, lot, "ST24-N-1-1")
    with pytest.raises(Refused, match="was used by sow #3"):
        reverse(moved, station=plant.station, by=plant.records, reason="a slip", now=NOW)
    assert verify(plant.station).is_whole
    reverse_all([moved, sowing], station=plant.station, by=plant.records, reason="two slips", now=NOW)
    assert list(Link.objects.values_list("is_sowing", flat=True)) == [False]
    assert verify(plant.station).is_whole


def test_the_making_waits_for_the_reassignment(plant):
    lot = received(plant)
    making = Operation.objects.get()
    booked = reassigned(plant, lot, line="N-2", answers=SOWN_WITH_IT)
    with pytest.raises(Refused, match="was used by reassign"):
        reverse(making, station=plant.station, by=plant.records, reason="x", now=NOW)
    reverse(booked.operations[0], station=plant.station, by=plant.records, reason="x", now=NOW)
    reverse(making, station=plant.station, by=plant.records, reason="x", now=NOW)
    assert verify(plant.station).is_whole


def test_a_line_that_its_plots_do_not_bear_out_is_asked_about(plant):
    lot = received(plant)
    with pytest.raises(Refused, match="The line reads N-2, but the plots were sown with N-1"):
        reassigned(plant, lot, line="N-2")
    assert line_of(lot) == "N-1"
