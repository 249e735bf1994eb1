"""Tracing back to plots and crosses and forward to shipments, told over two seasons."""

from fractions import Fraction

import pytest

from inventory.actions.reversing import reverse
from inventory.models import FieldWeight, Operation, Plant, Plot
from inventory.queries.tracing import Trace, trace
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Mistake
from tests.inventory.queries.seasons import Seasons, bagged, blended, ran, shipped, sown, two_seasons
from tests.make import NOW, house, received

pytestmark = pytest.mark.django_db
F = Fraction


@pytest.fixture
def told() -> Seasons:
    return two_seasons()


def shares(traced: Trace) -> dict[str, Fraction | None]:
    return {node.id: node.share for node in traced.nodes}


def edges(traced: Trace) -> set[tuple[str, str, str]]:
    return {(edge.source, edge.target, edge.operation) for edge in traced.edges}


def test_a_bag_goes_back_to_its_blocks_line_and_cross_with_exact_shares(told: Seasons) -> None:
    # By hand: 434 of 1,034 kg are 217/517, 600 are 300/517; what was sown gives no share.
    back = trace(told.plant.station, f"{told.blend.number}/2")
    assert shares(back) == {
        f"{told.blend.number}/2": F(1),
        told.blend.number: F(1),
        told.big.number: F(217, 517),
        told.second.number: F(300, 517),
        told.raw.number: F(217, 517),
        "ST25-I1": F(300, 517),
        told.small.number: None,
        "ST24-N-1-1": F(217, 517),
        "N-1": F(1),
        "C19-04": F(1),
        "Mother": None,
        "Father": None,
    }
    assert verify(told.plant.station).is_whole


def test_edges_name_the_act_its_kilograms_and_its_share(told: Seasons) -> None:
    back = {
        (edge["from"], edge["to"]): edge for edge in trace(told.plant.station, told.blend.number).as_json()["edges"]
    }
    assert back[(told.raw.number, told.big.number)] == {
        "from": told.raw.number, "to": told.big.number, "operation": "R1", "kg": "800.0", "share": "1/1",
    }  # fmt: skip
    assert back[(told.big.number, told.blend.number)]["kg"] == "434.0"
    assert back[(told.big.number, told.blend.number)]["share"] == "217/517"
    sowing = back[(told.small.number, "ST25-I1")]
    assert (sowing["operation"], sowing["kg"], sowing["share"]) == ("sow", "44.0", None)
    assert back[("ST25-I1", told.second.number)]["kg"] == "1840.0"
    assert back[("N-1", "ST25-I1")] == {
        "from": "N-1", "to": "ST25-I1", "operation": "", "kg": None, "share": "1/1",
    }  # fmt: skip


def test_nodes_carry_their_kind_label_day_and_opening_mass(told: Seasons) -> None:
    nodes = {node["id"]: node for node in trace(told.plant.station, told.blend.number).as_json()["nodes"]}
    number = told.blend.number
    assert nodes[number] == {
        "kind": "lot", "id": number, "label": f"{number} (N-1)", "date": "2025-05-22", "kg": "1033.5", "share": "1/1",
    }  # fmt: skip
    assert (nodes["ST25-I1"]["kind"], nodes["ST25-I1"]["kg"]) == ("plot", "1840.0")
    assert (nodes["C19-04"]["label"], nodes["C19-04"]["kg"]) == ("C19-04 (Mother × Father)", None)


def test_a_block_goes_forward_to_every_truck_with_the_part_of_its_seed(told: Seasons) -> None:
    # By hand: 300/517 of 1,033.5 kg, of the 1,840.0 kg harvested, is 31005/95128; two bags are 50 of 1,033.5 of it.
    forward = trace(told.plant.station, "st25 i1", forward=True)
    in_blend = F(300, 517) * F("1033.5") / 1840
    assert in_blend == F(31005, 95128)
    assert shares(forward) == {
        "ST25-I1": F(1), told.second.number: F(1), told.blend.number: in_blend, "S1": in_blend * 50 / F("1033.5"),
    }  # fmt: skip
    assert (told.blend.number, "S1", "S1") in edges(forward)


def test_what_was_reached_both_by_seed_and_by_sowing_keeps_the_share_of_the_seed(told: Seasons) -> None:
    forward = shares(trace(told.plant.station, "ST24-N-1-1", forward=True))
    assert forward["ST25-I1"] is None
    assert forward[told.second.number] is None
    assert forward[told.blend.number] == F(434, 1034) * F("1033.5") / 800


def test_the_small_seed_gave_only_what_was_sown(told: Seasons) -> None:
    forward = shares(trace(told.plant.station, told.small.number, forward=True))
    assert forward.pop(told.small.number) == 1
    assert set(forward.values()) == {None}
    assert {"ST25-I1", told.second.number, told.blend.number, "S1"} == set(forward)


def test_a_bag_goes_forward_to_its_own_truck_only(told: Seasons) -> None:
    first, last = (trace(told.plant.station, f"{told.blend.number}/{bag}", forward=True) for bag in (1, 41))
    assert shares(first) == {f"{told.blend.number}/1": F(1), "S1": F(1)}
    assert shares(last) == {f"{told.blend.number}/41": F(1)}


def test_a_bag_that_was_blended_and_sown_goes_on_with_its_part(told: Seasons) -> None:
    plant = told.plant
    bagged(plant, told.second, 2)
    sown(plant, told.second, "10", "ST25-I2", bag_no=1, day="2025-05-26")
    forward = trace(plant.station, f"{told.second.number}/1", forward=True)
    assert shares(forward) == {f"{told.second.number}/1": F(1), "ST25-I2": None}


def test_a_shipment_goes_back_by_what_each_lot_gave(told: Seasons) -> None:
    plant = told.plant
    shipped(plant, told.second, {0: "150"}, "S1")
    back = shares(trace(plant.station, "s1"))
    assert back["S1"] == 1
    assert (back[told.blend.number], back[told.second.number]) == (F(1, 4), F(3, 4) + F(1, 4) * F(300, 517))


def test_a_line_and_a_cross_go_forward_without_shares(told: Seasons) -> None:
    for ref in ("N-1", "C19-04", "Mother"):
        forward = shares(trace(told.plant.station, ref, forward=True))
        assert set(forward.values()) == {None}
        assert {"ST24-N-1-1", "ST25-I1", told.blend.number, "S1"} <= set(forward)
    assert shares(trace(told.plant.station, "N-1")) == {"N-1": F(1), "C19-04": F(1), "Mother": None, "Father": None}


def test_a_season_is_all_its_plots(told: Seasons) -> None:
    forward = shares(trace(told.plant.station, "2025", forward=True))
    assert forward["2025"] == 1
    assert forward[told.blend.number] == F(31005, 95128)
    back = trace(told.plant.station, "season 2025")
    assert (shares(back)["ST25-I1"], shares(back)[told.small.number]) == (F(1), None)


def test_plots_weighed_in_the_field_share_by_weight_and_others_equally_and_say_so() -> None:
    plant = house()
    lot = received(plant, "12.42", plots=("ST24-N-1-1", "ST24-N-1-2"))
    traced = trace(plant.station, lot.number)
    plots = [node for node in traced.nodes if node.kind == "plot"]
    assert [(node.share, node.is_assumed) for node in plots] == [(F(1, 2), True), (F(1, 2), True)]
    assert all("share assumed equal" in node.as_json()["label"] for node in plots)
    assert all(node.as_json()["assumed"] for node in plots)
    assert {edge.mg for edge in traced.edges if edge.target == lot.number} == {6_210_000}
    assert not FieldWeight.objects.exists()


def test_single_plants_lead_to_their_plot_and_back() -> None:
    plant = house()
    plot = Plot.objects.get(code="ST24-N-1-1")
    for number in ("P-1", "P-2"):
        Plant.objects.create(station=plant.station, plot=plot, number=number)
    lot = received(plant, "0.4", plots=(), plants=("P-1", "P-2"))
    back = shares(trace(plant.station, lot.number))
    assert (back["P-1"], back["ST24-N-1-1"], back["N-1"]) == (F(1, 2), F(1), F(1))
    forward = shares(trace(plant.station, "ST24-N-1-1", forward=True))
    assert forward == {"ST24-N-1-1": F(1), "P-1": F(1, 2), "P-2": F(1, 2), lot.number: F(1)}


def test_seed_from_outside_goes_back_to_its_sender_and_its_line() -> None:
    plant = house()
    lots = [received(plant, "50", plots=(), sender="Over the Hill", their_lot=f"H-{n}", line="N-2") for n in (1, 2)]
    assert shares(trace(plant.station, lots[0].number)) == {
        lots[0].number: F(1),
        "Over the Hill H-1": F(1),
        "N-2": F(1),
    }
    assert shares(trace(plant.station, "over the hill h-1", forward=True)) == {
        "Over the Hill H-1": F(1), lots[0].number: F(1),
    }  # fmt: skip
    assert shares(trace(plant.station, "Over the Hill", forward=True))[lots[1].number] == F(1, 2)
    assert lots[0].number in shares(trace(plant.station, "N-2", forward=True))


def test_a_blend_of_a_blend_adds_up_what_came_both_ways() -> None:
    plant = house()
    first, other = received(plant, "100"), received(plant, "100", "ST24-N-1-2")
    half = blended(plant, {first: "50", other: "50"}, "100")
    again = blended(plant, {half: "60", first: "40"}, "100", day="2025-05-02")
    back = shares(trace(plant.station, again.number))
    assert (back[first.number], back[other.number]) == (F(7, 10), F(3, 10))
    assert back["N-1"] == 1


def test_a_trace_that_is_cut_off_says_so_and_gives_no_share_that_could_be_short(told: Seasons) -> None:
    cut = trace(told.plant.station, told.blend.number, most=3)
    assert cut.truncated
    assert shares(cut)[told.blend.number] == 1
    assert sum(node.kind in ("lot", "plot") for node in cut.nodes) == 3
    assert {node.share for node in cut.nodes if node.id != told.blend.number} == {None}


def test_a_lot_that_was_taken_back_stands_alone() -> None:
    plant = house()
    lot = received(plant)
    reverse(Operation.objects.get(), station=plant.station, by=plant.intake, reason="wrong tare", now=NOW)
    traced = trace(plant.station, lot.number)
    assert [(node.id, node.label) for node in traced.nodes] == [(lot.number, f"{lot.number} (taken back)")]


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("24-0010-5", "24-0010-5 does not check: a digit is wrong or two are swapped."),
        ("24-0099", "No lot 24-0099-"),
        ("ST24-N-1-11", "Did you mean ST24-N-1-1"),
        ("nothing like it", "'nothing like it' stands for nothing in the books."),
        ("", "stands for nothing in the books. Scan a label"),
        ("2031", "'2031' stands for nothing in the books."),
        ("' OR 1=1 --", "stands for nothing in the books."),
        ("x" * 5000, "stands for nothing in the books."),
    ],
)
def test_what_is_not_known_is_said_with_what_was_probably_meant(told: Seasons, typed: str, says: str) -> None:
    with pytest.raises(Mistake) as refused:
        trace(told.plant.station, typed)
    assert says in refused.value.says


def test_an_unknown_bag_is_told_which_bags_there_are(told: Seasons) -> None:
    with pytest.raises(Mistake, match="has bags 1 to 41"):
        trace(told.plant.station, f"{told.blend.number}/42")
    with pytest.raises(Mistake, match="was never bagged"):
        trace(told.plant.station, f"{told.raw.number}/1")


def test_references_read_as_forgivingly_as_people_type_them(told: Seasons) -> None:
    number = told.blend.number
    for typed in (number.replace("-", " "), f" {number}", number.replace("0", "O"), number[:-2]):
        assert trace(told.plant.station, typed).ref == number
    assert trace(told.plant.station, f"{number} / 7".replace(" ", "")).ref == f"{number}/7"
    assert trace(told.plant.station, "n1").ref == "N-1"


def test_the_number_of_queries_does_not_grow_with_the_length_of_the_chain(django_assert_max_num_queries) -> None:
    plant = house()
    lot = received(plant)
    for index in range(12):
        (lot,) = ran(plant, lot, "800", ("800",), f"R{index}")
    with django_assert_max_num_queries(16):
        back = trace(plant.station, lot.number)
    assert len(back.nodes) == 15
