"""The feed: acts in the order of the chain, corrections as corrections, nothing that is to be hidden."""

from typing import Any

import pytest

from api.feed.touched import NAMED
from inventory.importing.acts import book
from inventory.models import Lot, Operation
from tests.api.asking import Program, program_of
from tests.make import NOW, House, bagged, cleaned, house, received

pytestmark = pytest.mark.django_db


def key_of(plant: House, role: str = "records") -> Program:
    return program_of(plant.people[role], "read")


def do(plant: House, verb: str, by: str = "records", **words: Any) -> Operation:
    answers = {"too_few_points": "as it was"}
    return book(
        verb, words, station=plant.station, by=plant.people[by], now=NOW, reason="as it was", answers=answers, key=""
    ).operations[0]


@pytest.fixture
def plant() -> House:
    return house()


def all_of(program: Program, limit: int = 100) -> list[dict[str, Any]]:
    page = program.get(f"/api/v1/changes?limit={limit}")
    acts = page["results"]
    while page["more"]:
        page = program.get(page["next"].removeprefix("http://testserver"))
        acts += page["results"]
    return acts


def test_a_program_at_the_head_asks_the_same_again_until_something_happens(plant: House) -> None:
    program = key_of(plant)
    received(plant)
    first = program.get("/api/v1/changes")
    assert ([act["seq"] for act in first["results"]], first["more"]) == ([1], False)
    at_head = program.get(first["next"].removeprefix("http://testserver"))
    assert (at_head["results"], at_head["next"], at_head["more"]) == ([], first["next"], False)
    received(plant, "50")
    assert [act["seq"] for act in program.get(first["next"].removeprefix("http://testserver"))["results"]] == [2]


def test_an_act_says_what_it_touched_moved_and_was_told(plant: House) -> None:
    lot = received(plant)
    bagged(plant, lot, count=32, part_bag=None)
    told, bags = all_of(key_of(plant))
    assert (told["kind"], told["by"], told["at"][-1], told["withheld"]) == ("receive", "intake-st", "Z", False)
    assert told["touched"] == {
        "lots": [{"id": str(lot.uid), "lot": "24-0001-5"}], "places": ["F-1"], "plots": ["ST24-N-1-1"],
        "lines": ["N-1"],
    }  # fmt: skip
    assert [(one["lot"], one["account"], one["mass"]["value"]) for one in told["entries"]] == [
        (None, "harvested", "-800.0"), ("24-0001-5", None, "800.0"),
    ]  # fmt: skip
    assert told["facts"]["typed"]["plots"] == ["ST24-N-1-1"]
    uids = {str(bag.uid): f"24-0001-5/{bag.number}" for bag in lot.bags.all()}
    assert {bag["id"]: bag["bag"] for bag in bags["touched"]["bags"]} == uids


def test_a_correction_comes_as_a_correction_and_touches_what_it_takes_back(plant: House) -> None:
    lot = received(plant)
    do(plant, "moisture", lot=lot.number, moisture="15.2")
    do(plant, "reverse", act="#2")
    _made, measured, reversal = all_of(key_of(plant))
    assert (reversal["kind"], reversal["reverses"]) == ("reverse", {"seq": 2, "id": measured["id"]})
    assert reversal["touched"]["lots"] == measured["touched"]["lots"] == [{"id": str(lot.uid), "lot": lot.number}]
    assert measured["reverses"] is None


def test_acts_that_move_no_seed_say_what_they_touched_too(plant: House) -> None:
    lot = received(plant)
    do(plant, "hold", lots=[lot.number])
    do(plant, "add cross", code="Q1", female="N-1", male="N-2")
    do(plant, "bench sample", number="G1", lot=lot.number, mass="2")
    do(plant, "germination", number="T1", lot=lot.number, replicates=["95", "96", "94", "97"])
    _made, held, crossed, sampled, tested = all_of(key_of(plant))
    assert held["touched"] == {"lots": [{"id": str(lot.uid), "lot": lot.number}]}
    assert "lot_ids" not in held["facts"]
    assert crossed["touched"]["crosses"] == ["Q1"]
    assert (sampled["touched"]["samples"], tested["touched"]["seed_tests"]) == (["G1"], ["T1"])


def test_what_is_booked_blind_is_withheld_until_the_act_that_follows_it(plant: House) -> None:
    lot = received(plant)
    do(plant, "bench sample", number="G1", lot=lot.number, mass="2")
    do(plant, "grade", sample="G1", portion_g="500", rule_set="QM-DEMO")
    do(plant, "bench sample", number="G2", file_sample_of="G1", blind=True)
    records, bench = key_of(plant), key_of(plant, "bench")
    assert [act["withheld"] for act in all_of(records)] == [False, False, False, True]
    assert [act["withheld"] for act in all_of(bench)] == [False, True, True, True]
    hidden = all_of(bench)[3]
    assert (hidden["touched"], hidden["facts"], hidden["reason"], hidden["entries"]) == ({}, {}, "", [])
    assert "G1" not in str(all_of(bench)) and "24-0001-5" not in str(all_of(bench)[1:])
    do(plant, "grade", "bench", sample="G2", portion_g="500", rule_set="QM-DEMO")
    told = all_of(bench)
    assert not any(act["withheld"] for act in told)
    assert told[4]["about"] == {"seq": 4, "id": told[3]["id"]}


def test_it_costs_four_queries_however_much_is_in_it(plant: House, django_assert_max_num_queries: Any) -> None:
    program = key_of(plant)
    raw = received(plant)
    cleaned(plant, raw, "798", "741.2")
    bagged(plant, received(plant, "109"), count=4, part_bag="9")
    for number in range(20):
        do(plant, "moisture", lot=raw.number, moisture=f"15.{number % 10}")
    program.get("/api/v1")
    with django_assert_max_num_queries(4):
        assert len(all_of(program)) == 24


def test_pages_hold_every_act_once_and_nothing_of_another_station(plant: House) -> None:
    other = house("OT")
    received(other)
    lots = [received(plant, kg) for kg in ("10", "20", "30", "40", "50")]
    acts = all_of(key_of(plant), limit=2)
    assert [act["seq"] for act in acts] == [1, 2, 3, 4, 5]
    assert [act["touched"]["lots"][0]["id"] for act in acts] == [str(lot.uid) for lot in lots]
    assert all_of(key_of(other))[0]["touched"]["lots"][0]["id"] == str(Lot.objects.get(station=other.station).uid)


@pytest.mark.parametrize(
    "query",
    ["after=-1", "after=x", "after=%00", "after=1e3", "after=²", f"after={2**63}", "limit=0", "limit=501", "since=1"],
)  # fmt: skip
def test_an_address_that_cannot_be_used_says_what_to_give(plant: House, query: str) -> None:
    problem = key_of(plant).get(f"/api/v1/changes?{query}", 400)
    assert problem["errors"][0]["field"] in ("after", "limit", "since")


def test_after_a_number_that_is_not_there_yet_nothing_has_happened(plant: House) -> None:
    page = key_of(plant).get(f"/api/v1/changes?after={2**63 - 1}")
    assert (page["results"], page["more"]) == ([], False)


def test_every_kind_of_thing_has_a_table_and_a_name() -> None:
    for model, column in NAMED.values():
        assert model._meta.get_field(column)
