"""What an act wrote, in the words and numbers that every door answers with."""

import json
from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from inventory.models import Entry, Identity, Measured, Moisture, Operation
from inventory.queries.plugin_measures import results_told
from inventory.queries.uses import name_act
from inventory.rules.mass import kg_text
from inventory.rules.moisture import storage_advice


def booked_facts(operations: Sequence[Operation]) -> dict[str, Any]:
    """Tell what was booked: operations with their names, lots made, bags filled, notes, results (5 or 6 queries)."""
    keys = [operation.pk for operation in operations]
    acts = Operation.objects.filter(pk__in=keys).select_related("run", "shipment").order_by("seq")
    notes = [note for act in acts for note in json.loads(act.content).get("facts", {}).get("notes", ())]
    return {
        "operations": [_act(act) for act in acts],
        "lots": _lots(keys),
        "bags": _bags(keys),
        "notes": list(dict.fromkeys(notes)),
        **(_measured(keys) if any(act.kind == "measure" for act in acts) else {}),
    }


def _act(act: Operation) -> dict[str, Any]:
    return {
        "uid": str(act.uid), "number": act.seq, "kind": act.kind, "name": name_act(act), "at": act.at.isoformat(),
        "reason": act.reason,
    }  # fmt: skip


def _lots(keys: Sequence[int]) -> list[dict[str, Any]]:
    places = {
        (entry.operation_id, entry.lot_id): entry.place.code
        for entry in Entry.objects.filter(operation__in=keys, lot__isnull=False, mg__gt=0).select_related("place")
        if entry.place
    }
    wet = dict(Moisture.objects.filter(operation__in=keys).order_by("pk").values_list("lot_id", "wet_basis_pct"))
    made = Identity.objects.filter(operation__in=keys).select_related("lot", "line", "market_class").order_by("pk")
    return [
        {
            "lot": one.lot.number,
            "line": one.line.name if one.line else None,
            "class": one.market_class.name if one.market_class else None,
            "kg": kg_text(one.opening_mg),
            "place": places.get((one.operation_id, one.lot_id)),
            **_moisture(wet.get(one.lot_id)),
        }
        for one in made
    ]


def _bags(keys: Sequence[int]) -> list[dict[str, Any]]:
    filled = Entry.objects.filter(operation__in=keys, operation__kind="bag", bag_no__gt=0, mg__gt=0)
    return [
        {"bag": f"{one.lot.number}/{one.bag_no}", "kg": kg_text(one.mg), "place": one.place.code}
        for one in filled.select_related("lot", "place").order_by("bag_no")
        if one.lot and one.place
    ]


def _measured(keys: Sequence[int]) -> dict[str, Any]:
    """Tell what plugins' methods came to (1 query)."""
    rows = Measured.objects.filter(operation__in=keys).select_related("lot").order_by("pk")
    told = [{"lot": row.lot.number, "kind": row.kind, "results": results_told(row.results)} for row in rows]
    return {"measured": told} if told else {}


def _moisture(wet_basis_pct: str | None) -> dict[str, Any]:
    """Say how wet it came in, and whether it cannot wait so."""
    advice = storage_advice(Decimal(wet_basis_pct)) if wet_basis_pct else None
    return {"moisture_pct": wet_basis_pct, "advice": str(advice) if advice else None}
