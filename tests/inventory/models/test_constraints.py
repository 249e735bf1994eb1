"""What the database itself refuses, whoever writes."""

from collections.abc import Callable
from typing import Any

import pytest
from django.db import IntegrityError, connection, transaction

from inventory.models import ChainHead, Entry, Link, Lot, LotCounter, Operation, Place, Receipt, Stock
from inventory.models.triggers import lifted
from tests.inventory.books import small_season

pytestmark = pytest.mark.django_db


def _books() -> dict[str, Any]:
    plant = small_season()
    act, lot, place = Operation.objects.earliest("seq"), Lot.objects.earliest("pk"), Place.objects.earliest("pk")
    return {"station": plant.station, "operation": act, "lot": lot, "place": place}


def _entry(books: dict[str, Any], **changed: Any) -> Entry:
    own = {"station": books["station"], "operation": books["operation"], "position": 99, "mg": 5}
    return Entry(**{**own, "lot": books["lot"], "place": books["place"], **changed})


def _link(books: dict[str, Any], **changed: Any) -> Link:
    own = {"station": books["station"], "operation": books["operation"], "parent": 801, "child": 808}
    return Link(**{**own, "weight": 1, "total": 2, **changed})


REFUSED: dict[str, tuple[str, Callable[[dict[str, Any]], Any]]] = {
    "an entry of nothing": ("no_empty_entry", lambda books: _entry(books, mg=0)),
    "an entry of a lot nowhere": ("entry_is_seed_or_account", lambda books: _entry(books, place=None)),
    "an entry of no lot": ("entry_is_seed_or_account", lambda books: _entry(books, lot=None)),
    "an entry of seed and account": ("entry_is_seed_or_account", lambda books: _entry(books, account="sown")),
    "an entry of neither": ("entry_is_seed_or_account", lambda books: _entry(books, lot=None, place=None)),
    "an account in a bag": (
        "entry_is_seed_or_account", lambda books: _entry(books, lot=None, place=None, account="sown", bag_no=3)
    ),
    "an entry in a position twice": ("position", lambda books: _entry(books, position=0)),
    "a link to itself": ("nothing_comes_from_itself", lambda books: _link(books, parent=8, child=8)),
    "a share of nothing": ("share_is_a_fraction", lambda books: _link(books, weight=0)),
    "a share below nothing": ("share_is_a_fraction", lambda books: _link(books, weight=-1)),
    "a share over the whole": ("share_is_a_fraction", lambda books: _link(books, weight=3)),
    "stock below nothing": (
        "stock_is_never_negative",
        lambda books: Stock(station=books["station"], lot=books["lot"], place=books["place"], bag_no=99, mg=-1),
    ),
    "a delivery lighter than its tare": (
        "gross_over_tare",
        lambda books: Receipt(
            station=books["station"], operation=books["operation"], lot=books["lot"], gross_mg=1, tare_mg=2, net_mg=1
        ),
    ),
    "a second head of a chain": ("station", lambda books: ChainHead(station=books["station"], seq=9)),
    "a lot number twice": (
        "number", lambda books: Lot(station=books["station"], year=99, running=1, number=books["lot"].number)
    ),
    "a second counter of a year": ("year", lambda books: LotCounter(station=books["station"], year=25)),
}  # fmt: skip


@pytest.mark.parametrize("what", REFUSED)
def test_the_database_refuses(what: str) -> None:
    constraint, row = REFUSED[what]
    books = _books()
    LotCounter.objects.get_or_create(station=books["station"], year=25)
    with pytest.raises(IntegrityError, match=constraint), transaction.atomic():
        row(books).save(force_insert=True)


def test_it_refuses_a_withdrawal_that_nobody_checked() -> None:
    books = _books()
    stock = Stock.objects.filter(mg__gt=0).earliest("pk")
    with pytest.raises(IntegrityError, match="stock_is_never_negative"), transaction.atomic():
        Stock.objects.filter(pk=stock.pk).update(mg=-1)
    assert books["lot"]


def test_it_refuses_a_second_act_in_one_place_of_the_chain_and_a_second_reversal() -> None:
    _books()
    first, second = Operation.objects.order_by("seq")[:2]
    reversal = Operation.objects.get(reverses__isnull=False)
    with lifted(connection):
        for change in ({"seq": second.seq}, {"reverses": reversal.reverses}, {"hash": ""}):
            with pytest.raises(IntegrityError), transaction.atomic():
                Operation.objects.filter(pk=first.pk).update(**change)
