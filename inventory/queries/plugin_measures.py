"""Measurements by plugins' methods that stand in the books."""

from collections.abc import Sequence
from datetime import UTC
from decimal import Decimal, InvalidOperation
from typing import Any

from hilum.plugins import Measurement, Result
from hilum.plugins.facts import MeasuredValue
from inventory.models import Measured, Station


def measurements(station: Station, kind: str, lots: Sequence[str] | None = None) -> tuple[Measurement, ...]:
    """Give measurements of a kind that were not taken back, the newest first (1 query)."""
    rows = Measured.objects.filter(station=station, kind=kind, operation__reversed_by__isnull=True)
    if lots is not None:
        rows = rows.filter(lot__number__in=lots)
    newest = rows.select_related("lot", "operation__by").order_by("-operation__at", "-pk")
    return tuple(_measurement(row) for row in newest)


def results_told(kept: Sequence[Sequence[str]]) -> list[dict[str, str]]:
    """Write results as programs read them: the exact value as a text."""
    return [{"name": name, "value": value, "unit": unit} for name, value, unit in kept]


def _measurement(row: Measured) -> Measurement:
    act = row.operation
    return Measurement(
        row.kind, row.lot.number, act.at.astimezone(UTC).isoformat(), act.by.get_username(), str(act.uid),
        {name: _value(text) for name, text in row.typed.items()},
        tuple(Result(name, Decimal(value), unit) for name, value, unit in row.results),
        {"station": row.station_id, "operation": act.pk, "lot": row.lot_id},
    )  # fmt: skip


def _value(kept: Any) -> MeasuredValue:
    """Read what was kept as exact text: a number where it is one."""
    if isinstance(kept, list):
        return tuple(_value(each) for each in kept)  # type: ignore[return-value]  # all of one field's kind
    try:
        return Decimal(kept)
    except InvalidOperation:
        return str(kept)
