"""What leaves and what may not: shipments loaded by scan, holds, the recall question."""

import csv
import re
from collections.abc import Callable
from datetime import date

import pytest
from django.http import HttpResponse
from django.test import Client

from inventory.actions.blending import Blend, Part, blend
from inventory.actions.holding import hold
from inventory.actions.promising import Promising, promise
from inventory.actions.treating import Treating, treat
from inventory.models import ActiveHold, Lot, Operation, Shipment
from inventory.queries.drills import kept_drills
from inventory.queries.verifying import verify
from inventory.rules.scanned import bags_by_lot
from inventory.rules.shipping import old_tests
from tests.make import NOW, House, bagged, house, kg_left, received

pytestmark = pytest.mark.django_db
Ship = Callable[..., HttpResponse]


@pytest.fixture
def plant(client: Client) -> House:
    made = house()
    client.force_login(made.intake)
    return made


@pytest.fixture
def lot(plant: House) -> Lot:
    return bagged(plant, received(plant, "109"), count=4, part_bag="9")


@pytest.fixture
def ship(client: Client, plant: House) -> Ship:
    usual = {"code": "S1", "recipient": "A grower", "purpose": "seed", "unit": "kg", "key": "k1"}
    return lambda **typed: client.post("/floor/shipments/load/", {**usual, **typed})


def plain(answer: HttpResponse | str) -> str:
    html = answer if isinstance(answer, str) else answer.content.decode()
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html)).replace("&#x27;", "'")


def page(client: Client, address: str, **asked: str) -> str:
    return plain(client.get(address, asked, follow=True))


# --- shipments


def test_bags_are_loaded_by_scanning_and_the_balance_is_said(
    client: Client, ship: Ship, plant: House, lot: Lot
) -> None:
    look = page(client, "/floor/shipments/load/look", scanned="24-0001-5/1, 24-0001-5/5", recipient="A grower")
    assert "2 bags, 34.0 kg" in look
    assert "24-0001-5 N-1 2 34.0 75.0" in look
    assert ship(scanned="24-0001-5/1, 24-0001-5/5").status_code == 302
    assert kg_left(lot) == 75
    said = page(client, "/of/shipment/S1/")
    assert re.search(r"34.0 kg left for A grower on \d+ \w+ \d{4}, as seed.", said)
    assert "24-0001-5 N-1 navy 1, 5 34.0 75.0 75.0" in said
    assert not verify(plant.station).differences


def test_the_balance_after_a_shipment_stays_what_it_was_that_day(client: Client, ship: Ship, lot: Lot) -> None:
    ship(scanned="24-0001-5/1")
    ship(scanned="24-0001-5/2", code="S2", key="k2")
    assert "24-0001-5 N-1 navy 1 25.0 84.0 59.0" in page(client, "/of/shipment/S1/")


def test_loose_seed_is_loaded_by_its_mass(ship: Ship, plant: House) -> None:
    loose = received(plant)
    assert ship(**{"loose.1.lot": "24-0001-5", "loose.1.mass": "50"}).status_code == 302
    assert kg_left(loose) == 750


def test_what_stands_in_the_way_brings_the_load_back(client: Client, ship: Ship, plant: House, lot: Lot) -> None:
    hold([lot.number], station=plant.station, by=plant.bench, reason="odour", now=NOW)
    assert "24-0001-5 is on hold: odour. It cannot leave." in page(
        client, "/floor/shipments/load/look", scanned="24-0001-5/1"
    )
    answer = ship(scanned="24-0001-5/1, 24-0001-5/9")
    assert answer.status_code == 422
    assert "24-0001-5 is on hold: odour." in plain(answer)
    assert 'value="24-0001-5/1, 24-0001-5/9"' in answer.content.decode()
    assert not Shipment.objects.exists()


def test_a_promise_is_said_against_what_is_loaded(client: Client, plant: House, lot: Lot) -> None:
    for who, mass in (("A grower", "50"), ("Another", "80")):
        promise(Promising(lot=lot.number, mass=mass, recipient=who), station=plant.station, by=plant.breeder, now=NOW)
    look = page(client, "/floor/shipments/load/look", scanned="24-0001-5/1", recipient="A grower")
    assert "50.0 kg of 24-0001-5 are promised to A grower; 25.0 are loaded." in look
    assert "80.0 kg of 24-0001-5 are promised to Another; 84.0 stay." in look


def test_treated_seed_is_cautioned_and_never_leaves_for_eating(client: Client, ship: Ship, plant: House) -> None:
    seed = received(plant, "100")
    treating = Treating(lot=seed.number, product="Seed coat A", dose="3 mL per kg", caution="Keep from fish ponds.")
    treat(treating, station=plant.station, by=plant.line, now=NOW)
    loose = {"loose.1.lot": seed.number, "loose.1.mass": "10"}
    assert "it never leaves for food" in plain(ship(**loose, purpose="food"))
    assert ship(**loose).status_code == 302
    assert "Treated seed, not for food or feed. Seed coat A (3 mL per kg): Keep from fish ponds." in page(
        client, "/of/shipment/S1/"
    )


def test_a_bag_scanned_twice_counts_once_and_one_that_is_gone_is_said(client: Client, lot: Lot) -> None:
    look = page(client, "/floor/shipments/load/look", scanned="24-0001-5/1, 24-0001-5/1, 24-0001-5/77")
    assert "1 bag" in look or "2 bags" in look
    assert "Bag 24-0001-5/1 was scanned twice: it counts once." in look
    assert "Bag 24-0001-5/77 is not in store." in look


def test_shipments_are_listed_with_what_came_back(client: Client, ship: Ship, plant: House, lot: Lot) -> None:
    ship(scanned="24-0001-5/1, 24-0001-5/2")
    back = {"shipment": "S1", "lot": "24-0001-5", "bags": "2", "place": "A-01", "reason": "torn", "key": "k2"}
    assert client.post("/do/return/", back).status_code == 302
    assert re.search(r"S1 \d+ \w+ \d{4} A grower seed 50.0 25.0", page(client, "/floor/shipments/"))
    assert ActiveHold.objects.filter(lot=lot).exists()
    assert "25.0 kg came back." in page(client, "/of/shipment/S1/")
    rows = list(csv.DictReader(client.get("/floor/shipments/?format=csv").content.decode().splitlines()))
    assert [(row["shipment"], row["kg"], row["kg_back"]) for row in rows] == [("S1", "50.0", "25.0")]


def test_the_next_shipments_code_is_proposed(client: Client, ship: Ship, lot: Lot) -> None:
    assert 'value="S1"' in client.get("/floor/shipments/load/").content.decode()
    ship(scanned="24-0001-5/1", code="ST-09")
    assert 'value="ST-10"' in client.get("/floor/shipments/load/").content.decode()


@pytest.mark.parametrize(
    ("tested", "said"),
    [
        ("2024-11-12", "Germination is from 2024-11-12, 16 months ago."),
        ("2025-03-30", "12 months ago"),
        ("2025-03-31", ""),
        ("2026-03-01", ""),
        ("", ""),
    ],
)
def test_a_germination_test_over_a_year_old_is_called_out(tested: str, said: str) -> None:
    notes = " ".join(note.says for note in old_tests(tested, date(2026, 3, 31)))
    assert said in notes
    assert bool(notes) is bool(said)


def test_scans_are_sorted_by_their_lots() -> None:
    assert bags_by_lot("24-0001-5/1, 24-0002-8/3;24-0001-5/2,, 24-0003-1") == {
        "24-0001-5": ["1", "2"], "24-0002-8": ["3"], "24-0003-1": [],
    }  # fmt: skip


@pytest.mark.parametrize("scanned", ["///", "x/y", "24-0001-5/0", "24-9999-0/1", "24-0001-5/" + "9" * 40, "\0"])
def test_anything_may_be_scanned_into_a_load(client: Client, ship: Ship, lot: Lot, scanned: str) -> None:
    assert client.get("/floor/shipments/load/look", {"scanned": scanned}).status_code == 200
    assert ship(scanned=scanned).status_code == 422


@pytest.mark.parametrize("many", [1, 6])
def test_shipments_ask_the_books_no_more_for_many_than_for_few(
    client: Client, ship: Ship, plant: House, django_assert_max_num_queries, many: int
) -> None:
    for row in range(many):
        loose = {"loose.1.lot": received(plant).number, "loose.1.mass": "5"}
        ship(code=f"S{row}", key=f"k{row}", **loose)
    with django_assert_max_num_queries(14):
        client.get("/floor/shipments/")
    with django_assert_max_num_queries(30):
        client.get("/of/shipment/S0/")


# --- holds


def test_holds_are_listed_with_why_since_when_and_who_may_lift_them(client: Client, plant: House, lot: Lot) -> None:
    assert "Nothing is on hold." in page(client, "/floor/holds/")
    hold([lot.number], station=plant.station, by=plant.bench, reason="live insects", now=NOW)
    said = page(client, "/floor/holds/")
    assert "1 hold stands on 109.0 kg: none of it may leave or be sown." in said
    assert "breeder or records may lift it, with a reason." in said
    assert "live insects (bench-st) 1 Jun 2025" in said
    assert "ask breeder or records" in said


def test_the_breeder_lifts_from_the_list(client: Client, plant: House, lot: Lot) -> None:
    hold([lot.number], station=plant.station, by=plant.bench, reason="live insects", now=NOW)
    client.force_login(plant.breeder)
    html = client.get("/floor/holds/").content.decode()
    assert f'href="/do/lift/?lot={lot.number}"' in html
    assert f'value="{lot.number}"' in client.get(f"/do/lift/?lot={lot.number}").content.decode()
    client.post("/do/lift/", {"lot": lot.number, "reason": "fumigated and looked at", "key": "k1"})
    assert "Nothing is on hold." in page(client, "/floor/holds/")


def test_a_hold_is_laid_from_a_lot_with_its_number_filled_in(client: Client, plant: House, lot: Lot) -> None:
    assert f'value="{lot.number}"' in client.get(f"/do/hold/?lots={lot.number}").content.decode()
    answer = client.post("/do/hold/", {"lots": lot.number, "key": "k1"})
    assert "Write why" in plain(answer) or "reason" in plain(answer)
    client.post("/do/hold/", {"lots": lot.number, "reason": "odour", "key": "k2"})
    assert ActiveHold.objects.filter(lot=lot).exists()


# --- recall


@pytest.fixture
def spread(plant: House, ship: Ship) -> House:
    """Two lots blended half and half; of the blend some is shipped, some sown."""
    for plot in ("ST24-N-1-1", "ST24-N-1-2"):
        received(plant, "100", plot=plot)
    parts = [Part(lot="24-0001-5", loose="100"), Part(lot="24-0002-8", loose="100")]
    blend(Blend(parts=parts, place="A-01", at="2025-02-01"), station=plant.station, by=plant.line, now=NOW,
          reason="one bin")  # fmt: skip
    made = Lot.objects.exclude(number__in=("24-0001-5", "24-0002-8")).get()
    assert ship(**{"loose.1.lot": made.number, "loose.1.mass": "60"}).status_code == 302
    return plant


def test_one_step_names_everything_that_shares_the_seed(client: Client, spread: House) -> None:
    said = page(client, "/recall/", lot="24-0001-5")
    assert "2 lots share the seed of 24-0001-5; 140.0 kg are in store; 60.0 kg have gone to 1 recipient." in said
    assert "100.00 % of its own seed is accounted for." in said
    assert re.search(r"S1 A grower .* 60.0", said)
    assert re.search(r"50.00 140.0 ◐ may leave", said)
    assert "in store 70.0 shipped 30.0" in said.replace("accounted for", "")


def test_the_answer_is_taken_along_as_a_table(client: Client, spread: House) -> None:
    answer = client.get("/recall/", {"lot": "24-0001-5", "format": "csv"})
    rows = list(csv.DictReader(answer.content.decode().splitlines()))
    assert [(row["what"], row["kg"]) for row in rows if row["what"] == "shipment"] == [("shipment", "60.0")]
    assert {row["name"]: row["kg"] for row in rows if row["what"] == "ended"} == {"in store": "70.0", "shipped": "30.0"}


def test_a_drill_is_kept_with_its_answer(client: Client, spread: House) -> None:
    client.post("/do/drill/", {"ref": "24-0001-5", "reason": "yearly drill", "key": "k9"})
    assert Operation.objects.filter(kind="drill").count() == 1
    (kept,) = kept_drills(spread.station)
    assert kept["accounted_pct"] == "100.00"
    assert "yearly drill" in page(client, "/recall/")


@pytest.mark.parametrize("asked", ["24-0001-4", "nothing", "S1", "x" * 400, "\0"])
def test_what_cannot_be_recalled_is_said_and_what_to_ask_instead(client: Client, spread: House, asked: str) -> None:
    answer = client.get("/recall/", {"lot": asked})
    assert answer.status_code == 404
    assert "✕" in plain(answer)


def test_all_of_it_in_store_is_held_with_one_step(client: Client, spread: House) -> None:
    html = client.get("/recall/", {"lot": "24-0001-5"}).content.decode()
    assert re.search(r'href="/do/hold/\?lots=2[0-9-]+,', html)


def test_the_empty_page_asks_what_is_bad(client: Client, plant: House) -> None:
    assert "What is bad" in page(client, "/recall/")
