"""Find cells that no program can read: SQLite keeps a text in a number's column if somebody writes it there by hand.

PostgreSQL refuses such a cell by its type, so nothing is looked for there.
"""

from collections.abc import Iterator

from django.db import connection, models

from inventory.models import ActiveHold, Link, Operation, Standing, Station, Stock
from inventory.models.triggers import append_only_models, guarded_models
from inventory.rules.chain import link_hash

KEPT = (Stock, Standing, Link, ActiveHold)
_DAY = "[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]"
_TIME = f"{_DAY} [0-9][0-9]:[0-9][0-9]:[0-9][0-9]*"
_NOT_WHOLE = "typeof({0}) <> 'integer'"
_NOT_TEXT = "typeof({0}) <> 'text'"
_WRONG = {
    "BooleanField": "{0} NOT IN (0, 1)",
    "UUIDField": _NOT_TEXT + " OR length({0}) <> 32 OR {0} GLOB '*[^0-9a-f]*'",
    "DateTimeField": "{0} NOT GLOB '" + _TIME + "' OR datetime({0}) IS NULL",
    "DateField": "{0} NOT GLOB '" + _DAY + "' OR date({0}) IS NULL",
    "JSONField": "NOT json_valid({0})",
    "CharField": _NOT_TEXT,
    "TextField": _NOT_TEXT,
}


def unreadable_cells() -> list[str]:
    """Name every cell of the books that does not hold what its column is for (1 query a table; none on PostgreSQL)."""
    if connection.vendor != "sqlite":
        return []
    tables: dict[type[models.Model], None] = dict.fromkeys((*append_only_models(), *guarded_models(), *KEPT))
    return [says for model in tables for says in _of_table(model)]


def _of_table(model: type[models.Model]) -> Iterator[str]:
    fields = [(field, _wrong_when(field)) for field in model._meta.concrete_fields]
    tests = ", ".join(f"({wrong})" for _field, wrong in fields)
    any_wrong = " OR ".join(f"({wrong})" for _field, wrong in fields)
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT rowid, {tests} FROM {model._meta.db_table} WHERE {any_wrong} ORDER BY rowid")
        for row, *is_wrong in cursor.fetchall():
            for (field, _wrong), wrong in zip(fields, is_wrong, strict=True):
                if wrong:
                    yield f"{str(model._meta.verbose_name).capitalize()} in row {row}: its {field.name} cannot be read."


def _wrong_when(field: "models.Field[object, object]") -> str:
    """The condition under which a cell is not of its column's kind."""
    column = f'"{field.column}"'
    wrong = _wrong_kind(field, column)
    return f"{column} IS NOT NULL AND ({wrong})" if field.null else f"{column} IS NULL OR ({wrong})"


def _wrong_kind(field: "models.Field[object, object]", column: str) -> str:
    target = field.target_field if isinstance(field, models.ForeignKey) else field
    return _WRONG.get(target.get_internal_type(), _NOT_WHOLE).format(column)


def first_broken(station: Station) -> str:
    """Name the act at which the chain breaks, where cells cannot be read: numbers and hashes are read as they stand."""
    before = ""
    with connection.cursor() as cursor:
        table = Operation._meta.db_table
        cursor.execute(
            f"SELECT seq, content, prev_hash, hash FROM {table} WHERE station_id = %s ORDER BY id", [station.pk]
        )
        for seq, content, previous, own in cursor.fetchall():
            if previous != before or own != link_hash(str(previous), str(content)):
                return f"#{seq}"
            before = own
    return ""
