"""Printing with keys and cards: what gloves do at the label printer."""

import pytest

from inventory.models import Label, Operation
from inventory.rules.label_codes import Card, LabelKind, label_code
from tests.browser.reader import scan
from tests.make import House, house, received

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.slow, pytest.mark.browser]


@pytest.fixture
def plant() -> House:
    made = house()
    received(made)
    return made


def card(which: Card) -> str:
    return label_code(LabelKind.CARD, which)


def test_the_card_save_saves_and_take_back_takes_back_and_fields_keep_their_text(open_as, plant: House) -> None:
    page = open_as(plant.intake, "/do/move/")
    page.fill("#field-lot", "24-0001-5")
    page.fill("#field-to", "A-01")
    page.focus("#field-to")
    scan(page, card(Card.SAVE))
    page.wait_for_url("**/booked/2/")
    page.fill("#reason", "wrong bay")
    page.focus("#reason")
    scan(page, card(Card.TAKE_BACK))
    page.wait_for_url("**/booked/3/")
    back = Operation.objects.get(seq=3)
    assert (back.kind, back.reason) == ("reverse", "wrong bay")


def test_f4_and_the_card_print_again_each_print_one_label(open_as, plant: House) -> None:
    page = open_as(plant.intake, "/lots/24-0001-5/")
    for copy, press in ((1, lambda: page.keyboard.press("F4")), (2, lambda: scan(page, card(Card.PRINT_AGAIN)))):
        with page.expect_popup():
            press()
        page.wait_for_timeout(4500)  # a second press within four seconds is one press
        assert Label.objects.count() == copy
    assert page.url.endswith("/lots/24-0001-5/")


def test_the_card_hold_opens_the_page_of_holds(open_as, plant: House) -> None:
    page = open_as(plant.intake, "/lots/24-0001-5/")
    scan(page, card(Card.HOLD))
    page.wait_for_url("**/do/hold/")


def test_a_card_on_a_page_without_its_button_says_what_it_does(open_as, plant: House) -> None:
    page = open_as(plant.intake, "/")
    scan(page, card(Card.SAVE))
    page.wait_for_url("**/find**")
    assert "presses a button of the page" in page.inner_text("main")
