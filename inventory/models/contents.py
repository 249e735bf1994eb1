"""The columns that an operation's canonical text covers, read from rows."""

from typing import Any

from django.db.models import Model

from inventory.models.ledger import Entry, Operation

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
    columns = [field.attname for field in row._meta.concrete_fields]
    return {column: getattr(row, column) for column in columns if column not in _LEFT_OUT}
