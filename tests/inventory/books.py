"""A season in small: one act of every kind that writes rows, and the rows it left, for tests of triggers and proofs."""

from collections.abc import Iterator
from typing import Any

from django.db import connection, transaction
from django.db.models import Field, Model

from inventory.actions.bagging import Bagging, bag_off
from inventory.actions.drafts import Draft
from inventory.actions.posting import post
from inventory.actions.reversing import reverse
from inventory.models import (
    Cross,
    Decision,
    FieldWeight,
    Line,
    Load,
    Lot,
    Moisture,
    Operation,
    Plot,
    Pollination,
    Promise,
    Shipment,
    Treatment,
)  # fmt: skip
from inventory.models.triggers import append_only_models
from tests.make import NOW, House, cleaned, house, received


def small_season() -> House:
    """Books with rows in every append-only table of the inventory: received, cleaned, bagged, reversed and noted."""
    plant = house()
    raw = received(plant, moisture="16.2", gross="842", tare="42", net=None)
    clean = cleaned(plant, raw, "798", "741.2")
    bag_off(Bagging(lot=clean.number, count=4), station=plant.station, by=plant.intake, now=NOW)
    bagging = Operation.objects.get(kind="bag")
    reverse(bagging, station=plant.station, by=plant.intake, reason="miscounted", now=NOW)
    with transaction.atomic():
        post(_noted(plant, clean))
    received(plant, "300", plot="ST24-B-1-1")
    return plant


def _noted(plant: House, lot: Lot) -> Draft:
    """One act with a row of every table that no act of this small season fills."""
    station, line, plot = plant.station, Line.objects.get(name="N-1"), Plot.objects.get(code="ST24-N-1-1")
    cross = Cross.objects.create(station=station, code="C-1", female=line, male=Line.objects.get(name="B-1"))
    rows: list[Model] = [
        Moisture(station=station, lot=lot, wet_basis_pct="15.1"),
        Treatment(station=station, lot=lot, product="a fungicide", dose="3 ml/kg"),
        Shipment(station=station, code="S9", recipient="A grower"),
        Promise(station=station, lot=lot, mg=5_000_000, recipient="A grower"),
        FieldWeight(station=station, plot=plot, mg=900_000_000),
        Pollination(station=station, cross=cross, buds_tried=9, pods_set=3),
        Decision(station=station, line=line, verdict="keep"),
    ]
    load = Load.objects.create(
        station=station, number=1, kind="intake", file_name="a.csv", sha256="0" * 64, rows=1, by=plant.records,
        loaded_at=NOW,
    )  # fmt: skip
    return Draft(
        kind="measure", station=station, by=plant.records, at=NOW, reason="a proof needs rows", rows=rows, load=load
    )


def append_only_columns() -> Iterator[tuple[type[Model], "Field[Any, Any]"]]:
    """Every column of every append-only table but the surrogate key."""
    for model in append_only_models():
        yield from ((model, field) for field in model._meta.concrete_fields if not field.primary_key)


def written(model: type[Model], pk: Any, column: str) -> Any:
    """Read a column as it stands in the table."""
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {column} FROM {model._meta.db_table} WHERE {model._meta.pk.column} = %s", [pk])
        return cursor.fetchone()[0]
