"""Cells that somebody changed by hand into something no program can read are named, and `verify` does not fall over."""

import pytest
from django.db import connection, transaction
from django.db.models import Model

from inventory.models import Bag, Operation
from inventory.models.triggers import append_only_models, lifted
from inventory.queries.readable import unreadable_cells
from inventory.queries.verifying import verify
from tests.inventory.books import small_season
from tests.make import House, house, received

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.skipif(connection.vendor != "sqlite", reason="PostgreSQL refuses such a cell by its type"),
]


@pytest.fixture
def plant() -> House:
    return small_season()


def _spoil(model: type[Model], column: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA ignore_check_constraints=ON")
        try:
            table = model._meta.db_table
            cursor.execute(f"UPDATE {table} SET {column} = 'soaked' WHERE rowid = (SELECT min(rowid) FROM {table})")
        finally:
            cursor.execute("PRAGMA ignore_check_constraints=OFF")


@pytest.mark.parametrize("model", [pytest.param(model, id=model.__name__) for model in append_only_models()])
def test_a_text_in_any_column_that_holds_none_is_named_with_its_row(plant: House, model: type[Model]) -> None:
    assert unreadable_cells() == []
    texts = ("CharField", "TextField")
    fields = [field for field in model._meta.concrete_fields if field.get_internal_type() not in texts]
    for field in (field for field in fields if not field.primary_key):
        with lifted(connection), transaction.atomic():
            _spoil(model, field.column)
            verdict = verify(plant.station)
            transaction.set_rollback(True)
        assert len(verdict.differences) == 1, field
        assert verdict.differences[0].endswith(f"its {field.name} cannot be read."), field
        assert verdict.chain.startswith("broken at "), field


def test_a_spoilt_text_breaks_the_chain_where_it_stands(plant: House) -> None:
    with lifted(connection), transaction.atomic():
        _spoil(Operation, "content")
        _spoil(Operation, "at")
        assert verify(plant.station).chain == "broken at #1"
        transaction.set_rollback(True)


def test_a_bag_that_no_act_filled_is_found() -> None:
    plant = house()
    lot = received(plant)
    Bag.objects.create(station=plant.station, lot=lot, number=7)
    assert verify(plant.station).differences == [f"Bag {lot}/7: no act filled it."]
