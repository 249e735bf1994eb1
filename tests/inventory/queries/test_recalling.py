"""The recall question."""

from fractions import Fraction

import pytest

from inventory.actions.additions import Addition, add_to_run
from inventory.actions.drafts import Draft, outside, seed
from inventory.actions.posting import post
from inventory.models import Operation, Stock
from inventory.queries.recalling import recall
from inventory.rules.mistakes import Mistake
from tests.inventory.queries.seasons import KG, Seasons, at, bagged, sown, two_seasons
from tests.make import NOW, house, received, run

pytestmark = pytest.mark.django_db
F = Fraction


@pytest.fixture
def told() -> Seasons:
    return two_seasons()


def test_it_names_lots_bags_plots_and_shipments_that_share_the_seed(told: Seasons) -> None:
    found = recall(told.plant.station, told.raw.number)
    assert {lot.number: lot.share for lot in found.lots} == {
        told.raw.number: F(1), told.big.number: F(1), told.small.number: F(1), told.blend.number: F(217, 517),
    }  # fmt: skip
    assert len(found.bags) == 39
    assert [(plot.id, plot.mg) for plot in found.plots] == [("ST25-I1", 44 * KG)]
    assert [(gone.id, gone.who, gone.mg) for gone in found.shipments] == [("S1", "A grower", 50 * KG)]
    # 153.2 of the big, 59.8 of the small and 983.5 of the blend stand; two bags went.
    assert (found.in_store_mg, found.gone_mg) == (1_196_500_000, 50 * KG)


def test_every_gram_of_the_thing_is_followed_to_where_it_ended(told: Seasons) -> None:
    # By hand, of 800.0 kg: throughs 109.0; sown 44.0; of the blend 217/517 are its own: 0.5 spilled, 50.0 shipped.
    found = recall(told.plant.station, told.raw.number)
    own = F(217, 517)
    assert found.ended == {
        "in store": F("153.2") * KG + F("59.8") * KG + own * F("983.5") * KG,
        "screenings": 109 * KG,
        "shipped": own * 50 * KG,
        "sown": 44 * KG,
        "spilled": own * F("0.5") * KG,
    }
    assert sum(found.ended.values()) == 800 * KG
    assert found.accounted_share == 1


def test_what_is_unaccounted_is_not_accounted_for() -> None:
    plant = house()
    raw = received(plant, "1000")
    run(plant, raw, "1000", "950", taken_off={"throughs": "45"})
    found = recall(plant.station, raw.number)
    assert found.accounted_share == F(995, 1000)
    assert found.as_json()["accounted_pct"] == "99.50"


def test_what_was_weighed_late_is_accounted_for_by_its_run() -> None:
    plant = house()
    raw = received(plant, "1130")
    run(plant, raw, "1130", "1041", number="R14", taken_off={"throughs": "81"})
    late = Addition(run="R14", taken_off={"throughs": "3.5"}, at="2024-10-09")
    add_to_run(late, station=plant.station, by=plant.line, now=NOW)
    found = recall(plant.station, raw.number)
    assert (found.ended["screenings"], found.ended["unaccounted"]) == (F("84.5") * KG, F("4.5") * KG)


def test_what_came_back_is_in_store_again_and_no_longer_gone(told: Seasons) -> None:
    plant, lot = told.plant, told.blend
    back = [outside("shipped", -25 * KG), seed(lot.pk, Stock.objects.filter(lot=lot)[0].place_id, 25 * KG, 2)]
    ship = Operation.objects.get(kind="ship")
    post(Draft(kind="return", station=plant.station, by=plant.intake, at=at("2025-05-29"), entries=back, about=ship))
    found = recall(plant.station, lot.number)
    assert (found.in_store_mg, found.gone_mg, found.ended["shipped"]) == (F("1008.5") * KG, 25 * KG, 25 * KG)
    assert [part.mg for part in recall(plant.station, f"{lot.number}/2").shipments] == [0]


def test_a_bag_is_followed_alone(told: Seasons) -> None:
    plant = told.plant
    gone, kept = (recall(plant.station, f"{told.blend.number}/{bag}") for bag in (1, 41))
    assert (gone.in_store_mg, gone.ended, [part.id for part in gone.shipments]) == (
        0, {"in store": 0, "shipped": 25 * KG}, ["S1"],
    )  # fmt: skip
    assert (kept.in_store_mg, [bag.id for bag in kept.bags], kept.shipments) == (
        25 * KG,
        [f"{told.blend.number}/41"],
        [],
    )
    bagged(plant, told.second, 2)
    sown(plant, told.second, "10", "ST25-I2", bag_no=1, day="2025-05-26")
    part = recall(plant.station, f"{told.second.number}/1")
    assert ([plot.id for plot in part.plots], part.in_store_mg) == (["ST25-I2"], 15 * KG)


def test_a_plot_a_line_and_a_sender_can_be_recalled(told: Seasons) -> None:
    by_plot = recall(told.plant.station, "ST24-N-1-1")
    assert by_plot.ended == recall(told.plant.station, told.raw.number).ended
    by_line = recall(told.plant.station, "N-1")
    assert {lot.share for lot in by_line.lots} == {F(1)}
    received(told.plant, "50", plots=(), sender="Over the Hill", their_lot="H-1", line="N-2")
    assert recall(told.plant.station, "Over the Hill H-1").in_store_mg == 50 * KG


def test_a_shipment_is_sent_back_to_its_lots(told: Seasons) -> None:
    with pytest.raises(Mistake, match="S1 has left the station"):
        recall(told.plant.station, "S1")
