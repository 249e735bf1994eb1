"""Ten thousand lots in store as rows: what pages cost is asked of them, never how seed is booked.

These are no books: no act has a text, and `verify` would say so. Rows are written by hand because booking ten thousand
lots takes minutes.
"""

import json
from collections.abc import Callable, Mapping, Sequence
from datetime import datetime, timedelta
from random import Random
from typing import Any
from uuid import UUID

from django.db import connection, transaction
from django.db.models import Model

from grading.models import ColourReading, Portion, Sample, SeedTest, SeedWeight, SizeCurve
from inventory.models import (
    ActiveHold,
    Entry,
    Identity,
    Line,
    LineName,
    Link,
    Lot,
    Moisture,
    Operation,
    Place,
    Plot,
    Receipt,
    RunRecord,
    Standing,
    Stock,
)
from inventory.rules.lot_number import damm_digit
from inventory.rules.nodes import NodeKind, node
from tests.make import NOW, House

LINES = 20
PLACES = 200
FIRST = 100_000  # keys from here on; those below belong to the house
# Kind of act -> one lot in how many has it.
_ACTS = {
    "receive": 1, "bench sample": 4, "grade": 4, "germination": 4, "seed weight": 8, "colour": 8, "size curve": 16,
    "clean": 8, "hold": 50,
}  # fmt: skip
Rows = Sequence[Mapping[str, Any]]


def add_lots(plant: House, first: int, last: int) -> None:
    """Write lots first to last - 1, each received and run, most of them measured, some wet, some held.

    Args:
        first: the first one's running number; with 0 the lines and places are written too.
    """
    with transaction.atomic():
        if first == 0:
            _lines_and_places(plant)
        numbers = range(first, last)
        _write(Lot, [_lot(plant, n) for n in numbers])
        kept = [(n, what) for what, every in _ACTS.items() for n in numbers if n % every == 0]
        _write(Operation, [_act(plant, n, what) for n, what in kept])
        for model, what, row in _ROWS:
            some = (n for n in numbers if n % _ACTS[what] == 0)
            _write(model, [{"station_id": plant.station.pk, **row(n)} for n in some])
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")


def _write(model: type[Model], rows: Rows) -> None:
    """Insert rows at once; columns that a row leaves out take the model's default."""
    kept = [field for field in model._meta.concrete_fields if field.column != "id" or "id" in rows[0]]
    columns, marks = ", ".join(f'"{field.column}"' for field in kept), ", ".join(["%s"] * len(kept))
    plain = {field.column: field.get_default() for field in kept}
    values = [[_value(value) for value in (plain | dict(row)).values()] for row in rows]
    with connection.cursor() as cursor:
        cursor.executemany(f'INSERT INTO "{model._meta.db_table}" ({columns}) VALUES ({marks})', values)


def _value(value: Any) -> Any:
    if isinstance(value, list | dict):
        return json.dumps(value)
    return value.hex if isinstance(value, UUID) and connection.vendor == "sqlite" else value


def _lines_and_places(plant: House) -> None:
    station, navy = plant.station, plant.station.marketclass_set.get(name="navy")
    lines = [Line(pk=FIRST + n, station=station, name=f"W-{n}", market_class=navy) for n in range(LINES)]
    Line.objects.bulk_create(lines)
    LineName.objects.bulk_create([LineName(station=station, line=line, name=line.name) for line in lines])
    site = station.site_set.get(code="ST")
    Plot.objects.bulk_create([
        Plot(pk=FIRST + n, station=station, site=site, code=f"ST25-W-{n}", season=2025, line=lines[n], generation=6)
        for n in range(LINES)
    ])  # fmt: skip
    Place.objects.bulk_create([Place(pk=FIRST + n, station=station, code=f"W-{n}") for n in range(PLACES)])


def _lot(plant: House, n: int) -> Mapping[str, Any]:
    return {"id": FIRST + n, "uid": UUID(int=n + 1), "station_id": plant.station.pk, "year": 25, "running": 1 + n,
            "number": number_of(n)}  # fmt: skip


def number_of(n: int) -> str:
    """Give the number on a lot's label."""
    running = f"{1 + n:04}"
    return f"25-{running}-{damm_digit('25' + running)}"


def act_key(n: int, what: str) -> int:
    """Give the key of an act of a lot."""
    return FIRST + n * len(_ACTS) + tuple(_ACTS).index(what)


def _at(n: int) -> datetime:
    return NOW - timedelta(days=n % 300, minutes=n % 1000)


def _act(plant: House, n: int, what: str) -> Mapping[str, Any]:
    key = act_key(n, what)
    return {"id": key, "uid": UUID(int=key), "station_id": plant.station.pk, "seq": key, "kind": what,
            "at": _at(n), "recorded_at": _at(n), "by_id": plant.bench.pk, "content": '{"facts":{}}',
            "hash": "none"}  # fmt: skip


def _of(n: int, what: str) -> dict[str, Any]:
    return {"operation_id": act_key(n, what), "lot_id": FIRST + n}


def _identity(n: int) -> Mapping[str, Any]:
    return {**_of(n, "receive"), **_made(n)}


def _made(n: int) -> dict[str, Any]:
    return {"line_id": FIRST + n % LINES, "opening_mg": 800_000_000 + n, "crop_year": 2025, "market_class_id": None}


def _standing(n: int) -> Mapping[str, Any]:
    return {**_made(n), "lot_id": FIRST + n, "made_by_id": act_key(n, "receive"), "made_at": _at(n),
            "treated": False, "inherits_treatment": False}  # fmt: skip


def _stock(n: int) -> Mapping[str, Any]:
    return {"lot_id": FIRST + n, "place_id": FIRST + n % PLACES, "bag_no": 0, "mg": 700_000_000 + n}


def _entry(n: int) -> Mapping[str, Any]:
    return {**_of(n, "receive"), "position": 0, "place_id": FIRST + n % PLACES, "bag_no": 0, "mg": 800_000_000 + n,
            "account": "", "stream": ""}  # fmt: skip


def _receipt(n: int) -> Mapping[str, Any]:
    return {**_of(n, "receive"), "gross_mg": 842_000_000 + n, "tare_mg": 42_000_000, "net_mg": 800_000_000 + n}


def _moisture(n: int) -> Mapping[str, Any]:
    return {**_of(n, "receive"), "wet_basis_pct": "17.2" if n % 10 == 0 else "13.1"}


def _link(n: int) -> Mapping[str, Any]:
    parent = node(NodeKind.LOT, FIRST + n - 1) if n % 10 == 9 else node(NodeKind.PLOT, FIRST + n % LINES)
    return {"operation_id": act_key(n, "receive"), "parent": parent, "child": node(NodeKind.LOT, FIRST + n),
            "weight": 1, "total": 1, "is_sowing": False, "is_assumed": False}  # fmt: skip


def _run(n: int) -> Mapping[str, Any]:
    return {"operation_id": act_key(n, "clean"), "number": f"W{n}", "machines": "air-screen", "feed_lot_id": FIRST + n,
            "feed_mg": 90_000_000, "is_cleaned_out": n % 3 == 0, "allowed_loss_ppm": 10_000}  # fmt: skip


def _hold(n: int) -> Mapping[str, Any]:
    return {"lot_id": FIRST + n, "hold_id": act_key(n, "hold")}


def _sample(n: int) -> Mapping[str, Any]:
    return {**_of(n, "bench sample"), "id": FIRST + n, "number": f"W{n}", "drawn_mg": 2_000_000, "scheme": "bins",
            "size": 1, "points_asked": 8, "points_probed": 8, "is_blind": False}  # fmt: skip


def _portion(n: int) -> Mapping[str, Any]:
    weights = {"splits": str(5 + n % 20), "damaged": "4", "other_foreign_material": "0.5", "stones": "0",
               "contrasting_classes": "0", "classes_that_blend": "0"}  # fmt: skip
    return {"operation_id": act_key(n, "grade"), "sample_id": FIRST + n, "grader": "bench-st", "class_name": "navy",
            "rule_set": "QM-DEMO", "edition": "1", "portion_g": "954", "weights_g": weights, "gross_g": "1000",
            "dockage_g": "46", "sound_g": "", "seed_weight_g_per_100": "18.2"}  # fmt: skip


def _test(n: int) -> Mapping[str, Any]:
    normal = [94, 96, 93, 93] if n % 10 else [80, 78, 81, 79]
    return {**_of(n, "germination"), "number": f"W{n}", "drawn_mg": 300_000, "normal": normal, "seeds_each": 100}


def _gauss(n: int) -> Callable[[float, float], float]:
    return Random(n).gauss  # noqa: S311 - seed of beans, not of secrets


def _weight(n: int) -> Mapping[str, Any]:
    grams = (15 + n % LINES / 4) * _gauss(n)(1, 0.02) * (1.3 if n % 200 == 80 else 1)
    return {**_of(n, "seed weight"), "readings_g": [f"{grams:.2f}"]}


def _colour(n: int) -> Mapping[str, Any]:
    off = _gauss(n)
    lab = {"lightness": 60 + n % LINES / 10 + off(0, 0.6), "a": 2 + off(0, 0.6), "b": 13 + off(0, 0.6)}
    return {**_of(n, "colour"), **{axis: f"{value:.1f}" for axis, value in lab.items()},
            "illuminant": "D65", "observer": "2", "scale": "CIELAB"}  # fmt: skip


def _curve(n: int) -> Mapping[str, Any]:
    screens = [["14", "0.4"], ["13", "5.1"], ["12", "38.6"], ["11", "42.3"], ["10", "11.9"], ["pan", "1.7"]]
    return {**_of(n, "size curve"), "screens": screens, "shape": "slotted"}


# Table, the act that writes it, the row.
_ROWS = (
    (Identity, "receive", _identity), (Standing, "receive", _standing), (Stock, "receive", _stock),
    (Entry, "receive", _entry), (Receipt, "receive", _receipt), (Moisture, "receive", _moisture),
    (Link, "receive", _link), (RunRecord, "clean", _run), (ActiveHold, "hold", _hold),
    (Sample, "bench sample", _sample), (Portion, "grade", _portion), (SeedTest, "germination", _test),
    (SeedWeight, "seed weight", _weight), (ColourReading, "colour", _colour), (SizeCurve, "size curve", _curve),
)  # fmt: skip
