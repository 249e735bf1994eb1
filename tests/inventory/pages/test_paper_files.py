"""Papers as a person gets them: of lots, runs and shipments, with the kilos of the books and their cautions."""

import pytest
from django.http import HttpResponse
from django.test import Client

from inventory.actions.additions import Addition, add_to_run
from inventory.actions.bagging import Bagging, bag_off
from inventory.actions.holding import hold
from inventory.actions.reversing import reverse
from inventory.actions.shipping import Item, Shipping, ship
from inventory.actions.treating import Treating, treat
from inventory.models import Lot, Operation, Shipment
from inventory.queries.papers.statement import statement_of
from inventory.rules.label_codes import LabelKind, label_code
from inventory.rules.mass import kg_text
from inventory.rules.mistakes import Mistake
from tests.inventory.papers.reading import pages, text_of
from tests.make import NOW, House, house, received, run

pytestmark = pytest.mark.django_db
AT = "2025-05-05"


@pytest.fixture
def plant() -> House:
    return house()


@pytest.fixture
def signed_in(client: Client, plant: House) -> Client:
    client.force_login(plant.people["records"])
    return client


@pytest.fixture
def cleaned(plant: House) -> Lot:
    """A lot of 800 kg in, 741 of it clean; R1 misses 8 kg and its line was not cleaned out."""
    lot = received(plant, gross="842", tare="42", net=None, moisture="17.4")
    more = {"taken_off": {"throughs": "40", "stones": "11"}, "settings": "11/64 over 10/64", "is_cleaned_out": False}
    return run(plant, lot, "800", "741", **more).lots[0]


def paper(client: Client, what: str, **asked: str) -> HttpResponse:
    return client.get("/print/paper.pdf", {"what": what, **asked})


def said(client: Client, what: str, **asked: str) -> str:
    answer = paper(client, what, **asked)
    assert answer.status_code == 200, answer.content.decode()
    return text_of(answer.content)


def test_an_intake_ticket_has_the_scales_numbers_twice(signed_in: Client, plant: House, cleaned: Lot) -> None:
    answer = paper(signed_in, "ticket", lot="24-0001-5")
    assert answer["Content-Disposition"] == 'inline; filename="ticket-24-0001-5.pdf"'
    store, crew = pages(answer.content)
    assert (store.width_mm, store.height_mm) == pytest.approx((148, 210), abs=0.01)
    assert "for the store" in store.text and "for the field crew" in crew.text
    for words in ("Gross 842.0 kg", "Tare 42.0 kg", "Net 800.0 kg", "17.4 %", "DRY or COOL", "F-1", "ST24-N-1-1"):
        assert words in store.text and words in crew.text
    assert ("Code128", "2400015") in store.codes()


def test_a_ticket_on_a_roll_is_80_mm_wide(signed_in: Client, cleaned: Lot) -> None:
    assert pages(paper(signed_in, "small-ticket", lot="24-0001-5").content)[0].width_mm == pytest.approx(80, abs=0.01)


def test_a_run_sheet_adds_up_and_asks_for_a_signature(signed_in: Client, plant: House, cleaned: Lot) -> None:
    words = said(signed_in, "run", run="r1")
    for part in (
        "Run R1", "24-0001-5, 800.0 kg", "11/64 over 10/64", "clean 24-0002-8 741.0 kg 92.63 %", "throughs 40.0 kg",
        "stones 11.0 kg", "unaccounted 8.0 kg 1.00 %", "sum 800.0 kg 100.00 %", "was not cleaned out",
        "Clean-out seen by",
    ):  # fmt: skip
        assert part in words, part


def test_a_run_sheet_counts_what_was_added_later_and_names_it(signed_in: Client, plant: House, cleaned: Lot) -> None:
    add_to_run(
        Addition(run="R1", taken_off={"throughs": "3"}, at=AT), station=plant.station, by=plant.line, now=NOW,
        reason="a tote behind the pit",
    )  # fmt: skip
    words = said(signed_in, "run", run="R1")
    assert "throughs 43.0 kg" in words and "unaccounted 5.0 kg" in words
    assert "a tote behind the pit" in words


def test_an_empty_run_sheet_has_a_line_for_every_spout(signed_in: Client) -> None:
    words = said(signed_in, "empty-run")
    for part in ("Run sheet", "scalpings", "throughs", "liftings", "lights", "middlings", "stones", "picked"):
        assert part in words


def test_a_statement_follows_the_lot_over_the_line_to_the_milligram(
    signed_in: Client, plant: House, cleaned: Lot
) -> None:
    bag_off(Bagging(lot=cleaned.number, count=29, part_bag="15", spilled="1", at=AT), station=plant.station,
            by=plant.intake, now=NOW)  # fmt: skip
    told = statement_of(plant.station, "24-0001-5")
    assert told.difference == 0
    assert (told.clean, told.unaccounted, told.other) == (741_000_000, 8_000_000, {"bag": 1_000_000})
    words = said(signed_in, "statement", lot="24-0001-5")
    for part in ("Gross 842.0 kg", "a clean yield of 92.63 %", "throughs 40.0 kg 5.00 %", "in store 740.0 kg"):
        assert part in words, part


def test_a_statement_of_what_was_taken_back_is_of_what_stands(plant: House, cleaned: Lot) -> None:
    reverse(Operation.objects.get(kind="clean"), station=plant.station, by=plant.records, reason="again", now=NOW)
    told = statement_of(plant.station, "24-0001-5")
    assert (told.difference, told.clean, told.streams, told.left) == (0, 0, {}, 800_000_000)


def test_a_lot_made_here_has_no_statement_and_no_ticket(signed_in: Client, plant: House, cleaned: Lot) -> None:
    with pytest.raises(Mistake, match="24-0002-8 was made here, not received"):
        statement_of(plant.station, cleaned.number)
    assert paper(signed_in, "ticket", lot=cleaned.number).status_code == 404


def test_a_shipment_paper_names_bags_balance_and_trace_code(signed_in: Client, plant: House, cleaned: Lot) -> None:
    bag_off(Bagging(lot=cleaned.number, count=4, at=AT), station=plant.station, by=plant.intake, now=NOW)
    ship(
        Shipping(code="S1", recipient="Tollhaven", items=[Item(lot=cleaned.number, bags="1-3")], at=AT),
        station=plant.station, by=plant.intake, now=NOW,
    )  # fmt: skip
    code = label_code(LabelKind.SHIPMENT, Shipment.objects.get().pk)
    answer = paper(signed_in, "shipment", shipment="S1")
    (page,) = pages(answer.content)
    for part in (
        "Shipment S1", "to Tollhaven", "75.0 kg, 3 bags", f"Trace code {code}", "Left here of 24-0002-8 666.0 kg",
        "1 25.0 kg 2 25.0 kg 3 25.0 kg", "Germination was not tested", "Made from 24-0001-5",
    ):  # fmt: skip
        assert part in page.text, part
    assert ("Code128", code) in page.codes()
    assert signed_in.get(f"/s/{code}", follow=True).redirect_chain[-1][0] == "/of/shipment/S1/"


def test_treated_seed_says_so_on_shipment_paper_and_dossier(signed_in: Client, plant: House) -> None:
    lot = received(plant, "100")
    treating = Treating(lot=lot.number, product="Seed coat A", dose="3 mL", caution="Keep from fish ponds.", at=AT)
    treat(treating, station=plant.station, by=plant.line, now=NOW)
    made = run(plant, lot, "100", "100", at="2025-05-06", taken_off={}).lots[0]
    ship(
        Shipping(code="S1", recipient="Tollhaven", items=[Item(lot=made.number, mass="40")], at="2025-05-07"),
        station=plant.station, by=plant.intake, now=NOW,
    )  # fmt: skip
    for words in (said(signed_in, "shipment", shipment="S1"), said(signed_in, "dossier", lot=made.number)):
        assert "TREATED, not for food or feed" in words
        assert "Seed coat A (3 mL): Keep from fish ponds." in words


def test_a_dossier_tells_a_hold_and_lists_corrections_with_reasons(
    signed_in: Client, plant: House, cleaned: Lot
) -> None:
    hold([cleaned.number], station=plant.station, by=plant.breeder, reason="odour", now=NOW)
    lost = bag_off(Bagging(lot=cleaned.number, count=4, at=AT), station=plant.station, by=plant.intake, now=NOW)
    reverse(lost.operations[0], station=plant.station, by=plant.records, reason="wrong sacks", now=NOW)
    words = said(signed_in, "dossier", lot=cleaned.number)
    for part in (
        "Lot 24-0002-8", "On hold since", "odour (breeder-st)", "ST24-N-1-1", "24-0001-5", "R1 air-screen",
        "throughs 40.0 kg", "wrong sacks", f"in store {kg_text(741_000_000)} kg",
    ):  # fmt: skip
        assert part in words, part
    assert words.index("Corrections") > words.index("Every act upon it")


def test_a_dossier_of_a_lot_that_was_taken_back_says_so(signed_in: Client, plant: House) -> None:
    received(plant)
    reverse(Operation.objects.get(), station=plant.station, by=plant.records, reason="wrong", now=NOW)
    assert "its making was taken back" in said(signed_in, "dossier", lot="24-0001-5")


@pytest.mark.parametrize(
    ("what", "asked", "says"),
    [
        ("ticket", {"lot": "24-0099"}, "No lot 24-0099-1"),
        ("dossier", {"lot": "the bin"}, "is not a lot number"),
        ("statement", {"lot": ""}, "No lot number is given"),
        ("run", {"run": "R99"}, "No run"),
        ("shipment", {"shipment": "S99"}, "No shipment"),
        ("novel", {}, "There is no such paper"),
    ],
)
def test_a_paper_of_nothing_is_said_in_a_sentence(
    signed_in: Client, what: str, asked: dict[str, str], says: str
) -> None:
    answer = paper(signed_in, what, **asked)
    assert answer.status_code == 404
    assert says in answer.content.decode().replace("&#x27;", "'")


def test_letter_is_given_where_it_is_asked_for(signed_in: Client, cleaned: Lot) -> None:
    (page, *_more) = pages(paper(signed_in, "dossier", lot=cleaned.number, size="Letter").content, dpi=20)
    assert (page.width_mm, page.height_mm) == pytest.approx((215.9, 279.4), abs=0.01)


def test_what_was_booked_leads_to_its_paper(signed_in: Client, plant: House, cleaned: Lot) -> None:
    assert "what=ticket&amp;lot=24-0001-5" in signed_in.get("/booked/1/").content.decode()
    assert "what=run&amp;run=R1" in signed_in.get("/booked/2/").content.decode()
    assert "what=dossier&amp;lot=24-0001-5" in signed_in.get("/lots/24-0001-5/").content.decode()


def test_every_paper_can_be_reached_from_one_page(signed_in: Client) -> None:
    page = signed_in.get("/print/").content.decode()
    for what in ("ticket", "small-ticket", "statement", "dossier", "run", "empty-run", "shipment"):
        assert f'value="{what}"' in page
    assert "/print/cards.pdf" in page
    assert "/print/" in signed_in.get("/area/floor/").content.decode()


def test_a_statement_is_a_page_too_with_the_same_numbers(signed_in: Client, plant: House, cleaned: Lot) -> None:
    page = signed_in.get("/lots/24-0001-5/statement/").content.decode()
    for part in ("a clean yield of 92.63 %", "Gross 842.0 kg, tare 42.0, net 800.0", "what=statement", "throughs"):
        assert part in page, part
    rows = signed_in.get("/lots/24-0001-5/statement/?format=csv").content.decode()
    assert "throughs,40.0 kg,5.00 %" in rows and "net received,800.0 kg,100.00 %" in rows
    assert b"<svg" in signed_in.get("/lots/24-0001-5/statement/?format=svg").content
    answer = signed_in.get(f"/lots/{cleaned.number}/statement/")
    assert answer.status_code == 404
    assert "was made here, not received" in answer.content.decode()
    assert "/lots/24-0001-5/statement/" in signed_in.get("/lots/24-0001-5/").content.decode()
