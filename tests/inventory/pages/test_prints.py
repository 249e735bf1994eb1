"""Labels as a person gets them: a button, a PDF that reads back, and nothing lost where the printer is out."""

import csv
from collections.abc import Callable
from io import StringIO
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from django.http import HttpResponse
from django.test import Client

from inventory.actions.bagging import Bagging, bag_off
from inventory.actions.places import NewContainer, add_containers
from inventory.actions.receiving import Delivery, receive
from inventory.actions.reversing import reverse
from inventory.actions.treating import Treating, treat
from inventory.importing.acts import book
from inventory.models import Bag, Label, Lot, Operation
from inventory.rules.label_codes import Card, LabelKind, label_code
from tests.inventory.papers.reading import pages, text_of
from tests.make import NOW, House, bagged, house, received

pytestmark = pytest.mark.django_db
Print = Callable[..., HttpResponse]


@pytest.fixture
def plant() -> House:
    return house()


@pytest.fixture
def signed_in(client: Client, plant: House) -> Client:
    client.force_login(plant.people["records"])
    return client


def printed(client: Client, **asked: str) -> HttpResponse:
    answer = client.post("/print/labels/", asked)
    assert answer.status_code == 302, answer.content.decode()
    return client.get(answer["Location"])


def test_a_lot_label_is_a_pdf_that_reads_back_as_the_lot(signed_in: Client, plant: House) -> None:
    lot = received(plant, moisture="15.2")
    answer = printed(signed_in, lots=lot.number)
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Content-Disposition"] == 'inline; filename="labels-24-0001-5-act-2.pdf"'
    (page,) = pages(answer.content)
    assert page.codes() == [
        ("Code128", "2400015"), ("Code128", "2400015"), ("QRCode", "http://testserver/s/2400015"),
    ]  # fmt: skip
    for words in ("24-0001-5", "N-1", "navy", "from ST24-N-1-1", "net 800.0 kg, 24 Sep 2024", "moisture 15.2 % wet"):
        assert words in page.text
    assert "copy" not in page.text


def test_the_address_on_labels_is_the_stations_own_where_it_is_set(signed_in: Client, plant: House, settings) -> None:
    settings.HILUM_ADDRESS = "https://seeds.quillmarsh.example"
    received(plant)
    (page,) = pages(printed(signed_in, lots="24-0001-5").content)
    assert ("QRCode", "https://seeds.quillmarsh.example/s/2400015") in page.codes()


def test_what_a_phone_reads_opens_the_lot(signed_in: Client, plant: House) -> None:
    received(plant)
    answer = signed_in.get("/s/2400015", follow=True)
    assert answer.redirect_chain[-1][0] == "/lots/24-0001-5/"


def test_the_same_act_opened_again_is_the_same_copy_and_a_new_print_is_copy_2(signed_in: Client, plant: House) -> None:
    received(plant)
    first = signed_in.post("/print/labels/", {"lots": "24-0001-5"})["Location"]
    assert signed_in.get(first).content == signed_in.get(first).content
    assert Label.objects.count() == 1
    assert "copy 2" in text_of(printed(signed_in, lots="24-0001-5").content)


def test_bag_labels_read_back_as_their_bags(signed_in: Client, plant: House) -> None:
    lot = bagged(plant, received(plant, "109"), count=4, part_bag="9")
    answer = printed(signed_in, lots=lot.number, bags="1-2, 5", trial_only="yes")
    first, _second, part = pages(answer.content)
    bag = Bag.objects.get(lot=lot, number=1)
    assert [text for kind, text in first.codes() if kind == "Code128"] == [label_code(LabelKind.BAG, bag.pk)] * 2
    for words in ("bag 1 of 5", "net 25.0 kg", "treated: N", "for trial use only", "A small station"):
        assert words in first.text
    assert "net 9.0 kg" in part.text
    found = signed_in.get(f"/s/{label_code(LabelKind.BAG, bag.pk)}", follow=True)
    assert found.redirect_chain[-1][0] == f"/lots/{lot.number}/bags/1/"


def test_a_label_of_a_bag_that_left_says_what_was_counted_into_it(signed_in: Client, plant: House) -> None:
    lot = bagged(plant, received(plant, "109"), count=4, part_bag="9")
    address = signed_in.post("/print/labels/", {"lots": lot.number, "bags": "5"})["Location"]
    words = {"code": "S1", "recipient": "A grower", "items": [{"lot": lot.number, "bags": "5"}]}
    book("ship", words, station=plant.station, by=plant.intake, now=NOW, answers={"not_sampled": "as it is"})
    [label] = pages(signed_in.get(address).content)
    assert "net 9.0 kg" in label.text


def test_a_treated_lot_and_its_bags_carry_the_products_caution(signed_in: Client, plant: House) -> None:
    lot = received(plant, "100")
    treating = Treating(
        lot=lot.number, product="Seed coat A", dose="3 mL per kg", caution="Keep from fish ponds.", at="2025-05-05"
    )
    treat(treating, station=plant.station, by=plant.line, now=NOW)
    bag_off(Bagging(lot=lot.number, count=4, at="2025-05-06"), station=plant.station, by=plant.intake, now=NOW)
    for asked in ({"lots": lot.number}, {"lots": lot.number, "bags": "all"}):
        said = text_of(printed(signed_in, **asked).content)
        assert "TREATED, not for food or feed" in said
        assert "Keep from fish ponds." in said


def test_tags_of_containers_and_places_read_back_as_such(signed_in: Client, plant: House) -> None:
    bin_ = NewContainer(code="SB-07", kind="steel bin", tare="42.0", checked_on="2024-08-01")
    add_containers([bin_], station=plant.station, by=plant.records, now=NOW)
    container, place = pages(printed(signed_in, containers="SB-07", places="A-01").content)
    for words in ("SB-07", "steel bin", "tare 42.0 kg", "checked 1 Aug 2024"):
        assert words in container.text
    (code,) = [text for kind, text in place.codes() if kind == "Code128"]
    assert signed_in.get(f"/s/{code}", follow=True).redirect_chain[-1][0] == "/of/place/A-01/"


def test_a_refused_label_brings_its_page_back_with_the_sentence(signed_in: Client, plant: House) -> None:
    received(plant)
    making = Operation.objects.get(kind="receive")
    reverse(making, station=plant.station, by=plant.records, reason="wrong", now=NOW)
    answer = signed_in.post("/print/labels/", {"lots": "24-0001-5"})
    assert answer.status_code == 422
    assert "was taken back and holds no seed" in answer.content.decode()


def test_labels_of_an_act_that_printed_none_are_not_found(signed_in: Client, plant: House) -> None:
    received(plant)
    assert signed_in.get("/print/labels/1.pdf").status_code == 404
    assert signed_in.get("/print/labels/99.pdf").status_code == 404


def test_the_label_file_has_a_row_for_each_label(signed_in: Client, plant: House) -> None:
    bagged(plant, received(plant, "109"), count=4, part_bag="9")
    printed(signed_in, lots="24-0001-5", bags="all")
    number = Operation.objects.get(kind="label").seq
    rows = list(csv.DictReader(StringIO(signed_in.get(f"/print/labels/{number}.csv").content.decode())))
    assert [row["bag"] for row in rows] == [f"bag {bag} of 5" for bag in range(1, 6)]


def test_many_labels_ask_the_books_no_more_often_than_few(
    signed_in: Client, plant: House, django_assert_max_num_queries
) -> None:
    bagged(plant, received(plant, "800"), count=32)
    few = signed_in.post("/print/labels/", {"lots": "24-0001-5", "bags": "1-2"})["Location"]
    many = signed_in.post("/print/labels/", {"lots": "24-0001-5", "bags": "1-32"})["Location"]
    for address in (few, many):
        with django_assert_max_num_queries(29):
            assert signed_in.get(address).status_code == 200


def test_a_label_not_printed_waits_on_the_home_page_and_is_printed_from_the_papers(
    signed_in: Client, plant: House
) -> None:
    for plot in ("ST24-N-1-1", "ST24-N-1-2"):
        delivery = Delivery(plots=(plot,), net="800", place="F-1")
        receive(delivery, station=plant.station, by=plant.intake, answers={"field_differs": "it rained"})
    assert "2 labels are not printed yet" in signed_in.get("/").content.decode()
    page = signed_in.get("/print/").content.decode()
    assert "Print all 2 labels" in page
    numbers = ", ".join(Lot.objects.values_list("number", flat=True))
    assert f'name="lots" value="{numbers}"' in page
    assert len(pages(printed(signed_in, lots=numbers).content, dpi=20)) == 2
    assert "not printed yet" not in signed_in.get("/").content.decode()


def test_pages_offer_their_labels_with_f4(signed_in: Client, plant: House) -> None:
    lot = bagged(plant, received(plant, "109"), count=4, part_bag="9")
    shown = signed_in.get(f"/lots/{lot.number}/").content.decode()
    assert 'data-key="F4"' in shown and "Print bag labels" in shown
    assert 'data-key="F4"' in signed_in.get("/booked/1/").content.decode()
    assert 'name="bags" value="1, 2, 3, 4, 5"' in signed_in.get("/booked/2/").content.decode()
    signed_in.post("/print/labels/", {"lots": lot.number})
    assert "/print/labels/3.pdf" in signed_in.get("/booked/3/").content.decode()
    assert 'data-key="F4"' in signed_in.get("/of/place/A-01/").content.decode()


def test_a_stranger_may_look_but_not_print(client: Client, plant: House) -> None:
    received(plant)
    client.force_login(plant.people["stranger"])
    answer = client.post("/print/labels/", {"lots": "24-0001-5"})
    assert answer.status_code in (404, 422)
    assert not Label.objects.exists()


def test_cards_for_the_wall_press_the_keys_that_they_name(signed_in: Client, plant: House) -> None:
    cards = pages(signed_in.get("/print/cards.pdf").content, dpi=100)
    codes = [page.codes()[0][1] for page in cards]
    assert codes == [label_code(LabelKind.CARD, card) for card in Card]
    assert [page.text.split(" Scan")[0] for page in cards] == ["SAVE", "TAKE BACK", "PRINT AGAIN", "HOLD"]
    assert signed_in.get(f"/find?q={codes[3]}")["Location"] == "/do/hold/"
    said = signed_in.get(f"/find?q={codes[0]}").content.decode()
    assert "SAVE presses a button of the page it is scanned on." in said


def test_the_script_knows_the_cards_by_the_numbers_that_are_printed() -> None:
    script = Path(str(finders.find("hilum/scan.js"))).read_text()
    for card, key in ((Card.SAVE, "F2"), (Card.TAKE_BACK, "F8"), (Card.PRINT_AGAIN, "F4")):
        assert f'"{label_code(LabelKind.CARD, card)}": "{key}"' in script


def test_the_page_of_papers_asks_the_books_as_often_for_many_lots_as_for_few(
    signed_in: Client, plant: House, django_assert_max_num_queries
) -> None:
    for count in (2, 12):
        while Lot.objects.count() < count:
            answers = {"field_differs": "rain", "already_in": "two trips"}
            delivery = Delivery(plots=("ST24-N-1-1",), net=f"{800 + Lot.objects.count()}", place="F-1")
            receive(delivery, station=plant.station, by=plant.intake, answers=answers)
        with django_assert_max_num_queries(12):
            page = signed_in.get("/print/").content.decode()
        assert f"Print all {count} labels" in page
