"""The ledger refuses to be changed, by whatever door somebody comes."""

import pytest
from django.db import DatabaseError, connection, transaction
from django.db.models import CharField, F, Field, Model

from inventory.models import Bag, Command, Entry, Lot, Operation
from inventory.models.triggers import append_only_models, guarded_models, lay, lift, lifted
from tests.inventory.books import small_season

GUARDED = [pytest.param(model, id=model._meta.db_table) for model in guarded_models()]
SAYS = "append-only: reverse the act"
NAMED = ("station", "product")  # each guarded table has one of these columns


def _a_row(model: type[Model]) -> Model:
    small_season()
    row = model._default_manager.order_by("pk").first()
    assert row is not None
    return row


def _named(model: type[Model]) -> Field:  # type: ignore[type-arg]
    return next(field for field in model._meta.concrete_fields if field.name in NAMED)


def _refused(statement: str) -> bool:
    with pytest.raises(DatabaseError, match=SAYS), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement)
    return True


def _triggers_on(model: type[Model]) -> int:
    source = "sqlite_master WHERE type = 'trigger' AND tbl_name" if connection.vendor == "sqlite" else (
        "pg_trigger WHERE NOT tgisinternal AND tgrelid::regclass::text"
    )  # fmt: skip
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT count(*) FROM {source} = %s", [model._meta.db_table])
        count: int = cursor.fetchone()[0]
        return count


def test_every_table_of_the_ledger_is_guarded() -> None:
    tables = {model._meta.db_table for model in guarded_models()}
    assert {"inventory_operation", "inventory_entry", "inventory_identity", "inventory_receipt"} <= tables
    assert {model._meta.db_table for model in (Lot, Bag, Command)} <= tables
    assert len(tables) >= len(append_only_models()) + 3


@pytest.mark.django_db
@pytest.mark.parametrize("model", GUARDED)
def test_no_row_is_updated_or_deleted_through_the_orm(model: type[Model]) -> None:
    row = _a_row(model)
    rows = model._default_manager.filter(pk=row.pk)
    name = _named(model).name
    with pytest.raises(DatabaseError, match=SAYS), transaction.atomic():
        rows.update(**{name: F(name)})
    with pytest.raises(DatabaseError, match=SAYS), transaction.atomic():
        row.save()
    with pytest.raises(DatabaseError, match=SAYS), transaction.atomic():
        rows._raw_delete(using="default")  # type: ignore[attr-defined]
    assert rows.exists()


@pytest.mark.django_db
@pytest.mark.parametrize("model", GUARDED)
def test_no_row_is_updated_or_deleted_by_bare_sql(model: type[Model]) -> None:
    row, table = _a_row(model), model._meta.db_table
    column = _named(model).column
    assert _refused(f"UPDATE {table} SET {column} = {column} WHERE id = {row.pk}")
    assert _refused(f"DELETE FROM {table} WHERE id = {row.pk}")
    assert _refused(f"DELETE FROM {table}")


@pytest.mark.django_db
@pytest.mark.skipif(connection.vendor != "postgresql", reason="SQLite has no TRUNCATE")
@pytest.mark.parametrize("model", GUARDED)
def test_no_table_is_truncated(model: type[Model]) -> None:
    assert _refused(f"TRUNCATE {model._meta.db_table} CASCADE")


@pytest.mark.django_db
@pytest.mark.skipif(connection.vendor != "sqlite", reason="REPLACE is SQLite's own")
def test_a_row_is_not_replaced_by_another() -> None:
    small_season()
    entry = Entry.objects.order_by("pk").first()
    assert entry is not None
    columns = ", ".join(field.column for field in Entry._meta.concrete_fields if field.column != "mg")
    assert _refused(
        f"INSERT OR REPLACE INTO inventory_entry ({columns}, mg) SELECT {columns}, mg + 1 FROM inventory_entry "
        f"WHERE id = {entry.pk}"
    )


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("model", [pytest.param(Operation, id="operation"), pytest.param(Entry, id="entry")])
def test_a_table_that_was_rebuilt_gets_its_triggers_again_with_the_next_migrate(model: type[Model]) -> None:
    from django.core.management import call_command  # noqa: PLC0415 - only here is a command called

    small_season()
    note = CharField(max_length=5, default="")
    note.set_attributes_from_name("rebuilt_note")
    with connection.schema_editor() as editor:
        editor.add_field(model, note)
        editor.remove_field(model, note)
    assert (_triggers_on(model) == 0) == (connection.vendor == "sqlite")  # else this test proves nothing
    call_command("migrate", verbosity=0)
    assert _refused(f"UPDATE {model._meta.db_table} SET station_id = station_id")
    assert _refused(f"DELETE FROM {model._meta.db_table}")


@pytest.mark.django_db
def test_lifting_is_undone_even_when_what_it_was_for_fails() -> None:
    small_season()
    with pytest.raises(ZeroDivisionError), lifted(connection):
        Operation.objects.update(reason=F("reason"))
        raise ZeroDivisionError
    assert _refused("UPDATE inventory_operation SET reason = reason")


@pytest.mark.django_db
def test_laying_and_lifting_twice_is_as_good_as_once() -> None:
    small_season()
    lift(connection)
    lift(connection)
    Operation.objects.update(reason=F("reason"))
    lay(connection)
    lay(connection)
    assert _refused("UPDATE inventory_operation SET reason = reason")


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("time", ["first", "second"])
def test_a_transactional_test_finds_the_books_empty_and_may_fill_them(time: str) -> None:
    assert not Operation.objects.exists()
    small_season()
    assert Operation.objects.count() > 5
