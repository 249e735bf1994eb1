"""A season in small, with a row in every append-only table of all apps, for tests of triggers, proofs and copies."""

from collections.abc import Iterator
from datetime import date
from typing import Any

from django.db import transaction
from django.db.models import CharField, DateField, DateTimeField, Field, IntegerField, Model, TextField

from api.readings.devices import DeviceWords, enter_device
from api.readings.keeping import ReadingWords, keep_reading
from inventory.actions.bagging import Bagging, bag_off
from inventory.actions.drafts import Draft
from inventory.actions.posting import post
from inventory.actions.reversing import reverse
from inventory.models import Command, Cross, Line, Load, Lot, Operation
from inventory.models.triggers import append_only_models
from inventory.queries.verifying import row_models
from tests.make import NOW, House, cleaned, house, received

# Columns that may be empty, but not where nothing else says what the row is about.
_ALSO = {"inventory.FieldNote": ("lot",)}


def small_season() -> House:
    """Books in which seed was received, cleaned, bagged, taken back, and everything else noted that can be."""
    plant = house()
    raw = received(plant, moisture="16.2", gross="842", tare="42", net=None)
    clean = cleaned(plant, raw, "798", "741.2")
    bag_off(Bagging(lot=clean.number, count=4), station=plant.station, by=plant.intake, now=NOW)
    bagging = Operation.objects.get(kind="bag")
    reverse(bagging, station=plant.station, by=plant.intake, reason="miscounted", now=NOW)
    received(plant, "300", plot="ST24-B-1-1")
    _word_lists(plant)
    _read_a_scale(plant)
    with transaction.atomic():
        _note_the_rest(plant)
    return plant


def _read_a_scale(plant: House) -> None:
    here: dict[str, Any] = {"station": plant.station, "by": plant.records, "now": NOW}
    enter_device(DeviceWords(code="scale-1", driver="scale"), **here)
    sent = ReadingWords(device_id="scale-1", reading_id="1", taken_at=NOW.isoformat(), raw="842.0 kg")
    keep_reading(sent, None, **here)


def _word_lists(plant: House) -> None:
    line, other = Line.objects.filter(station=plant.station).order_by("pk")[:2]
    Cross.objects.create(station=plant.station, code="C-1", female=line, male=other)
    Command.objects.create(station=plant.station, key="k", fingerprint="f")
    Load.objects.create(
        station=plant.station, number=1, kind="intake", file_name="a.csv", sha256="0" * 64, rows=1, by=plant.records,
        loaded_at=NOW,
    )  # fmt: skip


def _note_the_rest(plant: House) -> None:
    """One act for each table that is still empty; a row that points at another such table comes after that one."""
    empty = [model for model in row_models() if not model._default_manager.exists()]
    while empty:
        ready = [model for model in empty if (row := _some(model, plant)) is not None and _note(plant, row)]
        if not ready:
            raise AssertionError(f"No row can be made of {empty}: give it what it stands on in _word_lists.")
        empty = [model for model in empty if model not in ready]


def _note(plant: House, row: Model) -> Operation:
    load = Load.objects.get(station=plant.station)
    return post(Draft(kind="measure", station=plant.station, by=plant.records, at=NOW, rows=[row], load=load))


def _some(model: type[Model], plant: House) -> Model | None:
    """Some row of a table, not saved; None where what it points at is not there yet."""
    needed = [field for field in model._meta.concrete_fields if not (field.primary_key or field.name == "operation")]
    also = _ALSO.get(model._meta.label, ())
    values = {
        field.name: _value(field, plant)
        for field in needed
        if field.name in also or not (field.null or field.has_default())
    }
    return None if None in values.values() else model(**values)


def _value(field: "Field[Any, Any]", plant: House) -> Any:
    if field.name == "station":
        return plant.station
    if field.is_relation:
        model: Any = field.related_model
        return (Lot.objects.filter(station=plant.station) if model is Lot else model.objects.all()).first()
    if isinstance(field, DateField):
        return NOW if isinstance(field, DateTimeField) else date(2025, 6, 1)
    return "7" if isinstance(field, CharField | TextField) else 7 if isinstance(field, IntegerField) else {}


def append_only_columns() -> Iterator[tuple[type[Model], "Field[Any, Any]"]]:
    """Every column of every append-only table but the surrogate key."""
    for model in append_only_models():
        yield from ((model, field) for field in model._meta.concrete_fields if not field.primary_key)
