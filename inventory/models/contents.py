"""The columns that an operation's canonical text covers, read from rows."""

from collections.abc import Iterable, Mapping
from decimal import Decimal
from functools import cache
from typing import Any

from django.apps import apps
from django.db.models import DecimalField, Field, Model

from inventory.models.ledger import Entry, Identity, Operation

# Surrogate keys say nothing and differ between copies; the operation is the row that holds the text itself.
_LEFT_OUT = ("id", "operation_id")


def operation_columns(operation: Operation) -> dict[str, Any]:
    """Read the operation's own columns that the text must agree with."""
    return {
        "uid": operation.uid,
        "station": operation.station_id,
        "seq": operation.seq,
        "kind": operation.kind,
        "at": operation.at,
        "recorded_at": operation.recorded_at,
        "by": operation.by_id,
        "reason": operation.reason,
        "key": operation.key,
        "about": operation.about_id,
        "reverses": operation.reverses_id,
        "load": operation.load_id,
    }


def entry_columns(entry: Entry) -> list[int | str | None]:
    """Read an entry in the order in which the text lists it."""
    return [entry.lot_id, entry.place_id, entry.bag_no, entry.account, entry.stream, entry.mg]


def row_columns(row: Model) -> dict[str, Any]:
    """Read the columns of a row that goes with an operation."""
    fields = [field for field in row._meta.concrete_fields if field.attname not in _LEFT_OUT]
    return {field.attname: _as_kept(field, getattr(row, field.attname)) for field in fields}


def with_later_columns(label: str, written: Mapping[str, Any]) -> dict[str, Any]:
    """Complete a row as an old act wrote it: a column that was added since must still hold its default there.

    Args:
        label: of the row's model, "inventory.Receipt"; one that is no longer installed adds nothing.
        written: column -> value, from the act's text.
    """
    later = [field for field in _fields_of(label) if field.attname not in written]
    return {**written, **{field.attname: _as_kept(field, field.get_default()) for field in later}}


@cache
def _fields_of(label: str) -> "tuple[Field[Any, Any], ...]":
    try:
        fields = apps.get_model(label)._meta.concrete_fields
    except (LookupError, ValueError):
        return ()
    return tuple(field for field in fields if field.attname not in _LEFT_OUT)


def _as_kept(field: "Field[Any, Any]", value: Any) -> Any:
    """Write a value as the database will give it back: 12.5 in a column of two decimals is 12.50."""
    read = field.to_python(value)
    if isinstance(field, DecimalField) and read is not None:
        return Decimal(read).quantize(Decimal(1).scaleb(-field.decimal_places))
    return read


def lot_columns(rows: Iterable[Model]) -> dict[int, list[str]]:
    """Read number and uid of the lots that these rows say were made."""
    lots = (row.lot for row in rows if isinstance(row, Identity))
    return {lot.pk: [lot.number, str(lot.uid)] for lot in lots}
