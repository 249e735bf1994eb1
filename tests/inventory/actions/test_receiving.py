"""Seed that comes in: from plots, and from senders outside."""

from datetime import date

import pytest

from inventory.actions.places import NewContainer, add_containers
from inventory.actions.plots import PlotWeight, weigh_plots
from inventory.actions.receiving import Delivery, receive, receive_all
from inventory.actions.reversing import reverse
from inventory.models import Entry, Link, Lot, Moisture, Operation, Receipt, Sender, Standing, Stock
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from inventory.rules.nodes import NodeKind, key_of, kind_of
from tests.make import NOW, House, house, kg_left, received

pytestmark = pytest.mark.django_db
OUTSIDE = {
    "sender": "A grower", "their_lot": "7/24", "kind_and_variety": "dry bean, N-1", "line": "N-1",
    "shipped_on": "2024-09-20", "carrier": "own truck", "net": "500", "place": "F-1", "at": "2024-09-24",
}  # fmt: skip


@pytest.fixture
def plant() -> House:
    return house()


def came_in(plant, answers=None, **words):
    delivery = Delivery(**{"place": "F-1", "at": "2024-09-24", **words})
    return receive(delivery, station=plant.station, by=plant.intake, now=NOW, answers=answers)


def test_seed_from_outside_has_its_own_source_beside_our_number(plant):
    booked = came_in(plant, **OUTSIDE)
    lot, sender = booked.lots[0], Sender.objects.get()
    assert (sender.name, sender.their_lot, sender.carrier, sender.shipped_on) == (
        "A grower", "7/24", "own truck", date(2024, 9, 20),
    )  # fmt: skip
    link = Link.objects.get()
    assert (kind_of(link.parent), key_of(link.parent), link.weight) == (NodeKind.SENDER, sender.pk, link.total)
    assert Entry.objects.get(account="received").mg == -500_000_000
    assert str(Standing.objects.get(lot=lot).line) == "N-1"
    assert verify(plant.station).is_whole
    reverse(booked.operations[0], station=plant.station, by=plant.intake, reason="sent back", now=NOW)
    assert kg_left(lot) == 0
    assert verify(plant.station).is_whole


@pytest.mark.parametrize(
    ("left_out", "says"),
    [
        ("their_lot", "Their lot is missing. Give it, for example the number on the sender's label."),
        ("line", "Line is missing. Give it, for example QN-2104."),
        ("net", "Gross is missing. Give it, for example 842 kg."),
    ],
)
def test_seed_from_outside_is_refused_without_what_it_needs(plant, left_out, says):
    with pytest.raises(Refused) as refusal:
        came_in(plant, **{**OUTSIDE, left_out: ""})
    assert says in str(refusal.value)
    assert (Sender.objects.count(), Lot.objects.count(), Operation.objects.count()) == (0, 0, 0)


def test_seed_cannot_have_left_its_sender_after_it_came(plant):
    with pytest.raises(Refused, match="It was shipped on 2024-09-25 and came on 2024-09-24, before that"):
        came_in(plant, **{**OUTSIDE, "shipped_on": "2024-09-25"})
    assert not Lot.objects.exists()


def test_a_senders_lot_that_comes_twice_on_a_day_is_asked_about(plant):
    came_in(plant, **OUTSIDE)
    with pytest.raises(Refused, match=r"500\.4 kg of A grower 7/24 are already in as 24-0001-5\. Same delivery\?"):
        came_in(plant, **{**OUTSIDE, "net": "500.4"})
    second = came_in(plant, answers={"already_in": "two trucks"}, **OUTSIDE)
    assert second.lots[0].number == "24-0002-8"


@pytest.mark.parametrize("other", [{"net": "300"}, {"their_lot": "8/24"}, {"sender": "B"}, {"at": "2024-09-25"}])
def test_another_delivery_of_a_sender_is_not_asked_about(plant, other):
    came_in(plant, **OUTSIDE)
    came_in(plant, **{**OUTSIDE, **other})
    assert Lot.objects.count() == 2


def test_everything_wrong_is_said_at_once(plant):
    with pytest.raises(Refused) as refusal:
        came_in(plant, plots=("ST24-N-9-1",), gross="40", tare="42", moisture="0.162", place="Z", line="N-9")
    assert {mistake.field for mistake in refusal.value.mistakes} == {"plot", "line", "gross", "place", "moisture"}
    assert not Lot.objects.exists()


def test_pounds_are_weighed_in_pounds_and_converted_once(plant):
    lot = came_in(plant, plots=("ST24-N-1-1",), gross="1680", tare="92.6", unit="lb").lots[0]
    receipt = Receipt.objects.get(lot=lot)
    # 1587.4 lb of 453.59237 g exactly (International Yard and Pound Agreement, 1959) are 720.032528138 kg.
    assert receipt.net_mg == 720_032_528
    assert kg_left(lot) * 1_000_000 == 720_032_528


def test_a_mass_may_carry_its_own_unit(plant):
    lot = came_in(plant, plots=("ST24-N-1-1",), net="1587.4 lb").lots[0]
    assert Standing.objects.get(lot=lot).opening_mg == 720_032_528


def test_containers_bring_their_checked_tares_and_old_ones_are_said(plant):
    bins = [
        NewContainer(code="SB-1", kind="steel bin", tare="42.0", checked_on="2025-05-01"),
        NewContainer(code="SB-2", kind="steel bin", tare="41.5", checked_on="2023-01-01"),
        NewContainer(code="PB-1", kind="plastic box", tare="28.5"),
    ]
    add_containers(bins, station=plant.station, by=plant.records, now=NOW)
    booked = came_in(plant, plots=("ST24-N-1-1",), gross="912", containers=("SB-1", "SB-2", "PB-1"))
    assert kg_left(booked.lots[0]) == 800
    content = booked.operations[0].content
    assert "The tare of SB-2 was checked on 2023-01-01: weigh it empty soon." in content
    assert "The tare of PB-1 was never checked: weigh it empty soon." in content
    assert "The tare of SB-1" not in content


def test_a_tare_that_was_typed_goes_before_the_containers(plant):
    container = NewContainer(code="SB-1", kind="steel bin", tare="42.0", checked_on="2025-05-01")
    add_containers([container], station=plant.station, by=plant.records, now=NOW)
    booked = came_in(plant, plots=("ST24-N-1-1",), gross="842", tare="40", containers=("SB-1",))
    assert kg_left(booked.lots[0]) == 802


QUESTIONS = {
    "moisture_as_fraction": ({"moisture": "0.162"}, "0.162 % is too dry for beans. Did you mean 16.2 %?"),
    "moisture_dry_basis": (
        {"moisture": "21.1"},
        "21.1 % is high for beans coming in (15 to 18). Is it on dry basis? That would be 17.4 % wet basis.",
    ),
    "line_differs": ({"line": "N-2"}, "The line reads N-2, but the plots were sown with N-1. Check the tag"),
    "net_differs": ({"gross": "13.05", "tare": "0.10", "net": "12.59"}, "that makes 12.95 kg."),
    "maybe_pounds": (
        {"net": "27.4"},
        "27.4 kg is 2.2 × what plot ST24-N-1-1 should give (about 12.42).",
    ),
    "field_differs": ({"net": "10.07"}, "This bag is 10.07 kg; plot ST24-N-1-1 weighed 12.42 kg in the field."),
}


@pytest.mark.parametrize("code", QUESTIONS)
def test_what_may_be_right_is_asked_about_and_kept_with_its_answer(plant, code):
    words, says = QUESTIONS[code]
    weigh_plots([PlotWeight(plot="ST24-N-1-1", mass="12.42")], station=plant.station, by=plant.breeder, now=NOW)
    asked = {"plots": ("ST24-N-1-1",), "net": "12.42", **words}
    with pytest.raises(Refused) as refusal:
        came_in(plant, **asked)
    assert says in str(refusal.value)
    assert [mistake.code for mistake in refusal.value.mistakes] == [code]
    assert not Lot.objects.exists()
    booked = came_in(plant, answers={code: "I looked twice"}, **asked)
    assert "I looked twice" in booked.operations[0].content
    assert verify(plant.station).is_whole


def test_the_field_weights_are_the_shares_of_the_plots(plant):
    rows = [PlotWeight(plot="ST24-N-1-1", mass="4.21"), PlotWeight(plot="ST24-N-1-2", mass="4.05")]
    weigh_plots(rows, station=plant.station, by=plant.breeder, now=NOW)
    came_in(plant, plots=("ST24-N-1-1", "ST24-N-1-2"), net="8.26")
    assert sorted(Link.objects.values_list("weight", "total", "is_assumed")) == [
        (4_050_000, 8_260_000, False),
        (4_210_000, 8_260_000, False),
    ]


def test_an_estimate_is_no_weighing_so_shares_are_assumed(plant):
    rows = [PlotWeight(plot=f"ST24-N-1-{number}", mass="4", is_estimate=True) for number in (1, 2)]
    weigh_plots(rows, station=plant.station, by=plant.breeder, now=NOW)
    came_in(plant, plots=("ST24-N-1-1", "ST24-N-1-2"), net="8")
    assert list(Link.objects.values_list("weight", "total", "is_assumed")) == [(1, 2, True)] * 2


def test_a_bag_that_came_in_before_is_asked_about_in_the_books_and_in_the_same_act(plant):
    words = {"plots": ("ST24-N-1-1",), "net": "12.42", "place": "F-1", "at": "2024-10-01"}
    first = came_in(plant, **words).lots[0]
    with pytest.raises(Refused, match=f"A bag of 12.8 kg from plot ST24-N-1-1 is already in as {first.number}"):
        came_in(plant, **{**words, "net": "12.8"})
    other = Delivery(**{**words, "plots": ("ST24-N-2-1",)})
    with pytest.raises(Refused, match=r"is already in as 24-0002-8. Same bag"):
        receive_all([other, other], station=plant.station, by=plant.intake, now=NOW)
    assert Lot.objects.filter(standing__isnull=False).count() == 1


def test_another_day_or_mass_is_another_bag(plant):
    words = {"plots": ("ST24-N-1-1",), "place": "F-1"}
    for net, at in (("12.42", "2024-10-01"), ("12.42", "2024-10-02"), ("13.0", "2024-10-01")):
        came_in(plant, **words, net=net, at=at)
    assert Lot.objects.count() == 3


def test_plots_of_two_lines_never_share_a_lot(plant):
    with pytest.raises(Refused, match=r"These plots hold N-1 and N-2. Seed of two lines meets only in a blend"):
        came_in(plant, plots=("ST24-N-1-1", "ST24-N-2-1"), net="8")


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ({"plots": ("ST24-N-1-3",)}, "'ST24-N-1-3' is not a plot we know. Did you mean ST24-N-1-1"),
        ({"line": "N-3"}, "'N-3' is not a line we know. Did you mean N-1"),
        ({"place": "F-2"}, "'F-2' is not a place we know. Did you mean F-1"),
        ({"containers": ("SB-9",), "gross": "842", "net": None}, "'SB-9' is not a container we know."),
        ({"gross": "28", "tare": "42", "net": None}, "Gross 28.0 kg is less than the container, 42.0 kg. Weigh again"),
        ({"gross": "42", "tare": "42", "net": None}, "Gross and tare are both 42.0 kg: nothing is in it."),
        ({"net": "-1"}, "less than nothing"),
        ({"net": "200 t"}, "is more than 100 t."),
        ({"moisture": "160"}, "Moisture 160.0 % cannot be"),
        ({"at": "2031-01-01"}, "has not come yet"),
        ({"lot": "24-0061-6"}, "does not check"),
        ({"lot": "abc"}, "'abc'"),
    ],
)
def test_a_delivery_that_cannot_stand_is_refused_and_nothing_is_saved(plant, words, says):
    with pytest.raises(Refused) as refusal:
        came_in(plant, **{"plots": ("ST24-N-1-1",), "net": "800", **words})
    assert says in str(refusal.value)
    assert not Operation.objects.exists()
    assert not Lot.objects.exists()


def test_a_label_number_is_kept_and_completed_and_the_counter_goes_on_from_it(plant):
    lot = came_in(plant, plots=("ST24-N-1-1",), net="800", lot="24-OO17").lots[0]
    assert lot.number == "24-0017-9"
    assert came_in(plant, plots=("ST24-N-1-2",), net="800").lots[0].number.startswith("24-0018-")


def test_a_number_that_stands_for_a_lot_is_refused(plant):
    lot = received(plant)
    with pytest.raises(Refused, match=r"24-0001-5 is already in the books. Use the next number"):
        came_in(plant, plots=("ST24-N-1-2",), net="8", lot=lot.number)


def test_a_moisture_on_wet_basis_is_kept_as_it_was_read(plant):
    lot = came_in(plant, plots=("ST24-N-1-1",), net="800", moisture="16,2 %").lots[0]
    assert Moisture.objects.get(lot=lot).wet_basis_pct == "16.2"


def test_a_delivery_that_names_no_place_stands_on_the_floor(plant):
    delivery = Delivery(plots=("ST24-N-1-1",), net="800", at="2024-09-24")
    lot = receive(delivery, station=plant.station, by=plant.intake, now=NOW).lots[0]
    assert [str(row.place) for row in Stock.objects.filter(lot=lot)] == [plant.station.floor]
