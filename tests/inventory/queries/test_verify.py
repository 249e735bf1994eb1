"""`verify` finds every single edit made behind lifted triggers, and names the act."""

import json
import os
import random
from collections.abc import Iterator
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.db import IntegrityError, connection, transaction
from django.db.models import DateField, Field, Model
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inventory.models import ActiveHold, ChainHead, Entry, Link, Lot, Operation, Place, Standing, Stock
from inventory.models.triggers import append_only_models, lifted
from inventory.queries.verifying import Verdict, row_models, verify
from inventory.rules.chain import link_hash
from tests.inventory.books import append_only_columns, small_season
from tests.make import NOW, House, house, received

MODELS = [pytest.param(model, id=model.__name__) for model in append_only_models()]
KEPT: dict[type[Model], str] = {
    Stock: "station lot place bag_no mg",
    Standing: "station made_by made_at line market_class opening_mg crop_year generation treated inherits_treatment",
    Link: "station operation parent child weight total is_sowing is_assumed",
    ActiveHold: "station lot hold",
    ChainHead: "seq hash",
    Lot: "station number uid year running",
}

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    return small_season()


@pytest.fixture
def editing(plant: House) -> Iterator[None]:
    """Let a test write as somebody with a database shell would; a foreign key may point nowhere meanwhile."""
    with lifted(connection), transaction.atomic():
        yield
        transaction.set_rollback(True)


def _named(act: Operation) -> str:
    return f"{act.kind} #{act.seq} of {act.at:%Y-%m-%d}"


def _verdict(plant: House) -> Verdict:
    return verify(plant.station)


def _another(field: "Field[Any, Any]", value: Any) -> Any:
    """Some other value that the column takes: for a foreign key another row of that table, or none."""
    if field.is_relation:
        others = field.related_model._default_manager.exclude(pk=value).order_by("pk")  # type: ignore[union-attr]
        other = others.values_list("pk", flat=True).first()
        return None if other is None and field.null else other
    if isinstance(value, bool):
        return not value
    if isinstance(value, int | Decimal | datetime | date):
        return value + (timedelta(days=1) if isinstance(value, date) else 1)
    if isinstance(value, UUID):
        return uuid4()
    if value is None:
        return date(2025, 6, 1) if isinstance(field, DateField) else 7
    return f"{value}x"[-(field.max_length or 999) :]


def _edit(row: Model, field: "Field[Any, Any]", value: Any) -> bool:
    """Write one value; False where a constraint of the database refuses it, which is as good as finding it."""
    try:
        with transaction.atomic():
            row._meta.model._default_manager.filter(pk=row.pk).update(**{field.attname: value})
    except IntegrityError:
        return False
    return True


def test_books_that_nobody_touched_are_whole(plant: House) -> None:
    verdict = _verdict(plant)
    assert (verdict.differences, verdict.chain, verdict.is_whole) == ([], "whole", True)
    assert (verdict.operations, verdict.entries) == (Operation.objects.count(), Entry.objects.count())


def test_the_small_season_has_rows_in_every_append_only_table(plant: House) -> None:
    assert [model.__name__ for model in append_only_models() if not model._default_manager.exists()] == []


@pytest.mark.parametrize("model", MODELS)
def test_any_value_of_any_column_that_is_edited_is_found_in_its_act(plant: House, model: type[Model]) -> None:
    house("OT")
    row = model._default_manager.order_by("pk").first()
    assert row is not None
    act = row if isinstance(row, Operation) else row.operation  # type: ignore[attr-defined]
    fields = [field for field in model._meta.concrete_fields if not field.primary_key]
    with lifted(connection):
        said = {field.name: _said_of_an_edit(plant, row, field) for field in fields}
    missed = [name for name, what in said.items() if what is not None and not _names(what, act, name)]
    assert missed == []


def _said_of_an_edit(plant: House, row: Model, field: "Field[Any, Any]") -> str | None:
    """What `verify` says after one edit, which is then undone; None where the database refused it."""
    with transaction.atomic():
        was_edited = _edit(row, field, _another(field, getattr(row, field.attname)))
        verdict = _verdict(plant)
        transaction.set_rollback(True)
    return " ".join([*verdict.differences, verdict.broken_at]) if was_edited else None


def _names(said: str, act: Operation, column: str) -> bool:
    """Say whether the act was named; one whose own kind, day, number or station was edited goes by another name."""
    renamed = column in ("station", "seq", "kind", "at")
    return bool(said) and (_named(act) in said or renamed or "hang on no act of this station" in said)


@pytest.mark.parametrize("model", list(KEPT), ids=lambda model: model.__name__)
def test_an_edit_of_what_is_kept_for_quick_reading_is_found(plant: House, model: type[Model]) -> None:
    house("OT")
    _hold_something(plant)
    assert _verdict(plant).is_whole
    rows = model._default_manager.filter(mg__gt=0) if model is Stock else model._default_manager.all()
    row = rows.filter(station=plant.station).order_by("pk").first()
    assert row is not None
    fields = [field for field in model._meta.concrete_fields if field.name in KEPT[model].split()]
    with lifted(connection):
        said = {field.name: _said_of_an_edit(plant, row, field) for field in fields}
    assert [name for name, what in said.items() if what == ""] == []


def _hold_something(plant: House) -> None:
    from inventory.actions.drafts import Draft  # noqa: PLC0415 - only here is an act written by hand
    from inventory.actions.posting import post  # noqa: PLC0415 - as above

    lot = Standing.objects.filter(station=plant.station, made_by__isnull=False).earliest("pk").lot
    post(Draft(kind="hold", station=plant.station, by=plant.bench, at=NOW, reason="smell", facts={"lot_ids": [lot.pk]}))


@pytest.mark.usefixtures("editing")
@pytest.mark.parametrize("model", [pytest.param(m, id=m.__name__) for m in (Entry, *row_models())])
def test_a_row_that_is_moved_to_another_act_is_found_in_both(plant: House, model: type[Model]) -> None:
    row = model._default_manager.order_by("pk").first()
    assert row is not None
    own = row.operation  # type: ignore[attr-defined]
    other = Operation.objects.exclude(pk=own.pk).exclude(kind=own.kind).latest("seq")
    if _edit(row, model._meta.get_field("operation"), other.pk):  # type: ignore[arg-type]
        said = " ".join(_verdict(plant).differences)
        assert f"{_named(own)}: its " in said
        assert f"{_named(other)}: its " in said


@pytest.mark.usefixtures("editing")
@pytest.mark.parametrize("model", [pytest.param(m, id=m.__name__) for m in (Entry, *row_models())])
def test_a_row_that_is_deleted_or_added_is_found(plant: House, model: type[Model]) -> None:
    row = model._default_manager.order_by("pk").first()
    assert row is not None
    act = row.operation  # type: ignore[attr-defined]
    model._default_manager.filter(pk=row.pk)._raw_delete(using="default")  # type: ignore[attr-defined]
    assert any(f"{_named(act)}: its " in what for what in _verdict(plant).differences)
    row.pk = None
    row.operation = Operation.objects.exclude(pk=act.pk).exclude(kind=act.kind).latest("seq")  # type: ignore[attr-defined]
    row.save(force_insert=True)
    assert sum(": its " in what for what in _verdict(plant).differences) == 2


@pytest.mark.usefixtures("editing")
@pytest.mark.parametrize("which", ["first", "middle", "last"])
def test_an_act_that_is_deleted_is_missed_by_its_number(plant: House, which: str) -> None:
    acts = list(Operation.objects.order_by("seq"))
    act = {"first": acts[0], "middle": acts[2], "last": acts[-1]}[which]
    Operation.objects.filter(pk=act.pk)._raw_delete(using="default")  # type: ignore[attr-defined]
    said = " ".join(_verdict(plant).differences)
    assert (f"Act #{act.seq} is missing" in said) or (which == "last" and "head of the chain" in said)


@pytest.mark.usefixtures("editing")
def test_an_act_that_is_forged_to_balance_and_to_hash_is_still_not_chained(plant: House) -> None:
    act = Operation.objects.order_by("seq")[1]
    content = json.loads(act.content)
    content["reason"] = "another reason"
    text = json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    Operation.objects.filter(pk=act.pk).update(
        reason="another reason", content=text, hash=link_hash(act.prev_hash, text)
    )
    following = Operation.objects.get(seq=act.seq + 1)
    assert _verdict(plant).chain == f"broken at {_named(following)}"


@pytest.mark.usefixtures("editing")
def test_two_edits_are_both_located(plant: House) -> None:
    first, second = Operation.objects.order_by("seq")[1], Operation.objects.order_by("seq")[3]
    for act in (first, second):
        Operation.objects.filter(pk=act.pk).update(content=act.content + " ")
    verdict = _verdict(plant)
    assert verdict.broken_at == _named(first)
    assert verdict.differences == [f"{_named(second)}: the chain is broken here too."]


MANGLED = [
    "", "null", "1", "[]", '"text"', "{}", "{", "NaN", '{"entries":1}',
    '{"entries":[1],"links":[],"rows":[],"facts":{}}',
    '{"entries":[["a","b",0,"","","c"]],"links":[],"rows":[],"facts":{}}',
    '{"entries":[],"links":[[5,6,1,1,false,false]],"rows":[],"facts":{}}',
    '{"entries":[],"links":[[-3,-8,0,0,true,false]],"rows":[],"facts":{"lot_ids":7}}',
    '{"entries":[],"links":[],"rows":[["inventory.Identity",{}]],"facts":{}}',
    '{"entries":[],"links":[],"rows":[["inventory.Identity",{"lot_id":"x"}]],"facts":{}}',
    '{"entries":[[null,null,0,"","",5]],"links":[],"rows":[[1,2]],"facts":{}}',
    '{"entries":[[1,1,0,"","",99999999999999999999999]],"links":[],"rows":[],"facts":{}}',
    '{"entries":[[1,1,0,"","",5.5]],"links":[],"rows":[["x",{"y":1.5}]],"facts":{"lot_ids":["1",null]}}',
    '{"entries":[],"links":[],"rows":[],"facts":{},"lots":{"x":[]}}',
    '{"entries":[],"links":[],"rows":[],"facts":{},"lots":{"99999999999999999999999":["a","b"]}}',
    '{"entries":[],"links":[],"rows":[],"facts":{},"lots":{"987654":["24-0001-5","b"]}}',
    "[" * 100_000, '{"\\ud800":1,"entries":[],"links":[],"rows":[],"facts":{"\\ud800":"\\udfff"}}',
]  # fmt: skip


@pytest.mark.usefixtures("editing")
def test_a_mangled_text_is_reported_and_nothing_falls_over(plant: House) -> None:
    first, *_, last = Operation.objects.order_by("seq")
    for text in MANGLED:
        for act in (first, last):
            Operation.objects.filter(pk=act.pk).update(content=text)
            verdict = _verdict(plant)
            assert verdict.broken_at == _named(first)
            assert verdict.differences
            assert str(verdict)


@pytest.mark.usefixtures("editing")
def test_a_number_that_is_far_away_does_not_keep_verify_busy(plant: House) -> None:
    last = Operation.objects.latest("seq")
    Operation.objects.filter(pk=last.pk).update(seq=2**62)
    assert any(f"#{last.seq} to #{2**62 - 1} are missing" in what for what in _verdict(plant).differences)


def test_a_stations_books_do_not_speak_of_anothers(plant: House) -> None:
    other = house("OT")
    received(other)
    with lifted(connection):
        Stock.objects.filter(station=other.station).update(mg=1)
        assert _verdict(plant).is_whole
        assert not verify(other.station).is_whole


def test_lots_that_swapped_their_numbers_are_found(plant: House) -> None:
    first, second = Lot.objects.order_by("pk")[:2]
    numbers = (first.number, second.number)
    with lifted(connection):
        Lot.objects.filter(pk=first.pk).update(number="swap")
        Lot.objects.filter(pk=second.pk).update(number=numbers[0])
        Lot.objects.filter(pk=first.pk).update(number=numbers[1])
        assert sum("that it made was" in what for what in _verdict(plant).differences) == 2


@settings(
    max_examples=int(os.environ.get("HILUM_EDITS", "60")),
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(seed=st.integers(0, 2**32))
@pytest.mark.slow
def test_a_random_edit_of_a_random_row_is_always_found(random_season: House, seed: int) -> None:
    """HILUM_EDITS=1000 tries as many as one likes; every one of them must be found."""
    dice = random.Random(seed)  # noqa: S311 - picks a row, guards no secret
    model, field = dice.choice(list(append_only_columns()))
    rows = list(model._default_manager.order_by("pk"))
    row = dice.choice(rows)
    with transaction.atomic():
        value = _random_value(dice, field, getattr(row, field.attname))
        if _edit(row, field, value):
            assert not _verdict(random_season).is_whole, f"{row!r}.{field.name} = {value!r} was not found"
        transaction.set_rollback(True)
    assert Place.objects.exists()  # the rollback left the books as they were


@pytest.fixture
def random_season(plant: House) -> Iterator[House]:
    house("OT")
    with lifted(connection):
        yield plant


def _random_value(dice: random.Random, field: "Field[Any, Any]", value: Any) -> Any:
    """A value that differs: one digit, sign or letter of it changed, or another row's key."""
    if field.is_relation:
        keys = list(field.related_model._default_manager.values_list("pk", flat=True))  # type: ignore[union-attr]
        return dice.choice([key for key in [*keys, *([None] if field.null else [])] if key != value] or [value + 1])
    if isinstance(value, str) and value:
        at = dice.randrange(len(value))
        return value[:at] + dice.choice([sign for sign in "01xyz {}" if sign != value[at]]) + value[at + 1 :]
    if isinstance(value, int) and not isinstance(value, bool):
        return max(0, value + dice.choice([-1, 1, 10, 1_000])) if value else value + dice.randint(1, 99)
    return _another(field, value)
