"""Stating a station's GS1 numbers: read, held against each other, taken back, told in the history of a lot."""

from typing import Any

import pytest

from inventory.importing.acts import book
from inventory.models import Gs1Numbers, Lot
from inventory.queries.gs1 import trade_numbers
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.inventory.queries.epcis_reading import SITE, address, adds_up, events, told, wrongs
from tests.make import NOW, House, bagged, house, received

pytestmark = pytest.mark.django_db
PREFIX, NAVY, ALL, GLN = "9506000", "9506000134352", "19506000134359", "9506000134376"
GS1 = "https://id.gs1.org"


@pytest.fixture
def plant() -> House:
    return house()


def state(plant: House, *, by: str = "records", reason: str = "", **words: Any) -> Any:
    asked = {"station": plant.station, "by": plant.people[by], "reason": reason, "now": NOW}
    return book("gs1 numbers", words, **asked).operations[0]


def refused(plant: House, **words: Any) -> list[str]:
    with pytest.raises(Refused) as said:
        state(plant, **words)
    return [mistake.code for mistake in said.value.mistakes]


def test_what_is_stated_stands_until_something_else_is_or_it_is_taken_back(plant: House) -> None:
    first = state(plant, prefix=PREFIX, gln=GLN)
    state(plant, gtin=NAVY, market_class="navy")
    whole = state(plant, gtin=ALL)
    stands = trade_numbers(plant.station)
    navy = Gs1Numbers.objects.get(market_class__name="navy").market_class_id
    assert (stands.prefix, stands.gln, stands.gtins) == (PREFIX, GLN, {navy: "0" + NAVY, None: ALL})
    asked = {"station": plant.station, "by": plant.records, "reason": "another certificate", "now": NOW}
    book("reverse", {"act": f"#{whole.seq}"}, **asked)
    assert trade_numbers(plant.station).gtins == {navy: "0" + NAVY}
    assert first.gs1_numbers.get().prefix == PREFIX
    assert verify(plant.station).is_whole


@pytest.mark.parametrize(
    ("words", "codes"),
    [
        ({}, ["gs1_nothing"]),
        ({"prefix": "12345"}, ["not_gs1_number"]),
        ({"prefix": "95O6000", "gln": "9506000134377"}, ["not_gs1_number", "gs1_check_differs"]),
        ({"gtin": NAVY}, ["gs1_prefix_missing"]),
        ({"prefix": PREFIX, "gtin": "9506000134353"}, ["gs1_check_differs"]),
        ({"prefix": PREFIX, "gtin": "96385074"}, ["not_gs1_number"]),
        ({"prefix": "9506001", "gtin": NAVY}, ["gs1_other_prefix"]),
        ({"prefix": "614141", "gtin": "614141000036"}, ["gs1_other_prefix"]),
        ({"prefix": PREFIX, "gtin": NAVY, "market_class": "pinto"}, ["code_unknown"]),
        ({"prefix": PREFIX, "market_class": "navy"}, ["gs1_class_alone"]),
    ],
)
def test_what_does_not_fit_is_refused_with_all_of_it(plant: House, words: dict[str, str], codes: list[str]) -> None:
    assert refused(plant, **words) == codes
    assert not Gs1Numbers.objects.exists()


def test_only_records_state_them(plant: House) -> None:
    with pytest.raises(Refused, match="may not state the station's GS1 numbers"):
        state(plant, by="intake", prefix=PREFIX)


def test_another_prefix_waits_for_the_numbers_that_begin_with_the_first(plant: House) -> None:
    state(plant, prefix=PREFIX, gtin=NAVY)
    assert refused(plant, prefix="0614141") == ["gs1_stands"]
    state(plant, prefix="0614141", gtin="614141000036")
    assert trade_numbers(plant.station).gtins == {None: "00614141000036"}


def test_two_stations_do_not_share_a_number_of_goods(plant: House) -> None:
    state(plant, prefix=PREFIX, gtin=NAVY)
    other = house("OT")
    assert refused(other, prefix=PREFIX, gtin=NAVY) == ["gs1_elsewhere"]
    state(other, prefix=PREFIX, gtin=ALL)


def test_two_stations_do_not_share_a_location(plant: House) -> None:
    state(plant, gln=GLN)
    assert refused(house("OT"), gln=GLN) == ["gs1_gln_elsewhere"]
    state(plant, gln=GLN)


def test_a_number_of_goods_rests_while_its_prefix_is_taken_back(plant: House) -> None:
    first = state(plant, prefix=PREFIX)
    state(plant, gtin=NAVY)
    asked = {"station": plant.station, "by": plant.records, "reason": "another certificate", "now": NOW}
    book("reverse", {"act": f"#{first.seq}"}, **asked)
    assert trade_numbers(plant.station).gtins == {}
    state(plant, prefix=PREFIX)
    assert trade_numbers(plant.station).gtins == {None: "0" + NAVY}


@pytest.fixture
def lots(plant: House) -> tuple[Lot, Lot]:
    """A navy lot in two bags and a loose black one."""
    navy = bagged(plant, received(plant, "50"), count=2)
    return navy, received(plant, plot="ST24-B-1-1")


def ids(document: Any, kind: str) -> set[str]:
    """Every address of goods in the events of one kind of act."""
    found = set()
    for event in events(document, kind):
        for name in ("inputQuantityList", "outputQuantityList", "quantityList"):
            found |= {element["epcClass"] for element in event.get(name, ())}
        for name in ("inputEPCList", "outputEPCList", "epcList"):
            found |= set(event.get(name, ()))
    return found


@pytest.mark.outside("EPCIS 2.0 JSON Schema, GS1, 2023-05-16")
def test_lots_and_bags_of_a_class_with_a_gtin_are_named_by_it_and_others_as_before(
    plant: House, lots: tuple[Lot, Lot]
) -> None:
    navy, black = lots
    before = told(plant.station, black)
    state(plant, prefix=PREFIX, gtin=NAVY, market_class="navy", gln=GLN)
    document = told(plant.station, navy)
    named = f"{GS1}/01/0{NAVY}"
    assert ids(document, "bag") == {f"{named}/10/{navy}", f"{named}/21/{navy}-1", f"{named}/21/{navy}-2"}
    assert document["hilum:about"]["address"] == f"{named}/10/{navy}"
    assert events(document, "receive")[0]["bizLocation"] == {"id": f"{GS1}/414/{GLN}/254/F-1"}
    assert SITE in events(document, "receive")[0]["sourceList"][0]["source"], "a plot is no place of trade"
    assert wrongs(document) == [] and adds_up(document)
    after = told(plant.station, black)
    assert ids(after, "receive") == ids(before, "receive") == {address(black)}
    assert after["epcisBody"] != before["epcisBody"], "its place is named by the location number"


def test_without_numbers_nothing_is_named_otherwise(plant: House, lots: tuple[Lot, Lot]) -> None:
    assert GS1 not in str(told(plant.station, lots[0])).replace("ref.gs1.org", "")
