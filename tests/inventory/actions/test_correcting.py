"""First entries that are corrected: both stay visible, and the number stays."""

from decimal import Decimal

import pytest

from inventory.actions.correcting import correct_deliveries
from inventory.actions.measuring import MoistureReading, read_moisture_of
from inventory.actions.plots import PlotWeight, weigh_plots
from inventory.actions.receiving import Delivery
from inventory.actions.sampling import Drawing, draw
from inventory.models import Entry, Lot, Moisture, Operation, Standing, Stock
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.make import NOW, House, cleaned, house, kg_left, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    return house()


def corrected(plant, *pairs, **more):
    arguments = {"reason": "plastic box, not steel bin", "by": plant.intake, "now": NOW, **more}
    return correct_deliveries(pairs, station=plant.station, **arguments)


def making_of(lot):
    return Standing.objects.get(lot=lot).made_by


def test_a_wrong_tare_gives_three_rows_on_one_number(plant):
    lot = received(plant, None, gross="602", tare="42")
    better = Delivery(plots=("ST24-N-1-1",), gross="602", tare="28.5", place="F-1")
    booked = corrected(plant, (making_of(lot), better), at="2024-09-27")
    entries = Entry.objects.filter(lot=lot).order_by("operation__seq")
    assert [entry.mg for entry in entries] == [560_000_000, -560_000_000, 573_500_000]
    assert [operation.kind for operation in booked.operations] == ["reverse", "receive"]
    assert {operation.reason for operation in booked.operations} == {"plastic box, not steel bin"}
    assert kg_left(lot) == Decimal("573.5")
    assert Lot.objects.count() == 1
    assert verify(plant.station).is_whole


def test_two_bags_that_swapped_their_tags_are_put_right_in_one_act(plant):
    weights = {"ST24-N-1-1": "11.75", "ST24-N-2-1": "10.07"}
    rows = [PlotWeight(plot=plot, mass=mass) for plot, mass in weights.items()]
    weigh_plots(rows, station=plant.station, by=plant.breeder, now=NOW)
    one = received(plant, "10.07", plot="ST24-N-1-1", answers={"field_differs": "spilled at thresher?"})
    two = received(plant, "11.75", plot="ST24-N-2-1", answers={"field_differs": "spilled at thresher?"})
    read = [MoistureReading(lot=one.number, moisture="14.8"), MoistureReading(lot=two.number, moisture="15.0")]
    read_moisture_of(read, station=plant.station, by=plant.line, now=NOW)
    booked = corrected(
        plant,
        (making_of(one), Delivery(plots=("ST24-N-2-1",), net="10.07", place="F-1")),
        (making_of(two), Delivery(plots=("ST24-N-1-1",), net="11.75", place="F-1")),
        reason="tags were swapped", by=plant.records,
    )  # fmt: skip
    assert [operation.kind for operation in booked.operations] == ["reverse", "reverse", "receive", "receive"]
    lines = dict(Standing.objects.values_list("lot__number", "line__name"))
    assert lines == {one.number: "N-2", two.number: "N-1"}
    assert {row.mg for row in Stock.objects.all()} == {10_070_000, 11_750_000}
    assert Moisture.objects.count() == 2
    assert "asked" not in booked.operations[2].content
    assert verify(plant.station).is_whole


def test_a_new_entry_keeps_the_day_of_the_first_and_points_at_it(plant):
    lot = received(plant)
    first = making_of(lot)
    corrected(plant, (first, Delivery(plots=("ST24-N-1-1",), net="813.5", place="F-1")))
    again = making_of(lot)
    assert (again.at, again.about) == (first.at, first)


def test_an_entry_can_be_corrected_twice(plant):
    lot = received(plant)
    for net in ("813.5", "812.0"):
        corrected(plant, (making_of(lot), Delivery(plots=("ST24-N-1-1",), net=net, place="F-1")))
    assert kg_left(lot) == 812
    assert verify(plant.station).is_whole


@pytest.mark.parametrize(
    ("better", "more", "says"),
    [
        ({"gross": "40", "tare": "42"}, {}, "Gross 40.0 kg is less than the container, 42.0 kg."),
        ({"net": "800", "plots": ("ST24-N-9-1",)}, {}, "'ST24-N-9-1' is not a plot we know."),
        ({"net": "800", "moisture": "0.16"}, {}, "Did you mean 16.0 %?"),
        ({"net": "800"}, {"reason": ""}, "Write why: a correction is kept with its reason."),
    ],
)
def test_a_correction_that_cannot_be_leaves_the_first_entry_as_it_was(plant, better, more, says):
    lot = received(plant)
    with pytest.raises(Refused) as refusal:
        corrected(plant, (making_of(lot), Delivery(**{"plots": ("ST24-N-1-1",), "place": "F-1", **better})), **more)
    assert says in str(refusal.value)
    assert (kg_left(lot), Operation.objects.count()) == (800, 1)
    assert verify(plant.station).is_whole


def test_seed_that_was_used_is_not_corrected_so(plant):
    lot = received(plant)
    cleaned(plant, lot, "798", "741.2")
    better = Delivery(plots=("ST24-N-1-1",), net="813.5", place="F-1")
    with pytest.raises(Refused, match="put it right with an adjustment"):
        corrected(plant, (making_of(lot), better))


def test_a_sample_took_seed_and_stands_in_the_way(plant):
    lot = received(plant)
    draw(Drawing(lot=lot.number, mass="2"), station=plant.station, by=plant.bench, now=NOW)
    better = Delivery(plots=("ST24-N-1-1",), net="813.5", place="F-1")
    with pytest.raises(Refused, match="was used by sample"):
        corrected(plant, (making_of(lot), better))


def test_only_deliveries_are_corrected_so(plant):
    clean = cleaned(plant, received(plant), "798", "741.2")
    with pytest.raises(Refused, match="received no lot"):
        corrected(plant, (making_of(clean), Delivery(plots=("ST24-N-1-1",), net="1", place="F-1")))


def test_whoever_corrects_may_both_reverse_and_receive(plant):
    lot = received(plant)
    with pytest.raises(Refused, match="breeder may not reverse an entry"):
        corrected(plant, (making_of(lot), Delivery(net="1")), by=plant.breeder)
