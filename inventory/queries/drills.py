"""The recall drills that were kept."""

import json
from typing import Any

from inventory.models import Operation, Station

_KEPT = ("ref", "in_store_kg", "gone_kg", "accounted_pct")


def kept_drills(station: Station) -> list[dict[str, Any]]:
    """List the drills that stand, newest first: when, who, why, and what was found (1 query)."""
    acts = Operation.objects.filter(station=station, kind="drill", reversed_by__isnull=True).select_related("by")
    return [
        {
            "date": act.at.isoformat(),
            "by": act.by.get_username(),
            "reason": act.reason,
            **{name: found[name] for name in _KEPT},
            "lots": len(found["lots"]),
            "shipments": len(found["shipments"]),
        }
        for act in acts.order_by("-seq")
        for found in (json.loads(act.content)["facts"]["drill"],)
    ]
