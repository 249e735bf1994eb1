"""The data dictionary: every table as a Table Schema, made from the models and what they say of themselves."""

from typing import Any

from django.db import models
from django.db.models import Field, ForeignKey, Model, UniqueConstraint

from inventory.rules.packages import path_of, unit_of

# The first that fits; what is none of these is text.
_TYPES: tuple[tuple[type[Any], dict[str, str]], ...] = (
    (models.BooleanField, {"type": "boolean"}),
    (models.DateTimeField, {"type": "datetime"}),
    (models.DateField, {"type": "date"}),
    (models.TimeField, {"type": "time"}),
    (models.DurationField, {"type": "duration"}),
    (models.DecimalField, {"type": "number"}),
    (models.FloatField, {"type": "number"}),
    (models.UUIDField, {"type": "string", "format": "uuid"}),
    (models.IntegerField, {"type": "integer"}),
)
_NO_LESS_THAN_NOTHING = (models.PositiveIntegerField, models.PositiveSmallIntegerField, models.PositiveBigIntegerField)


def resource_of(model: type[Model], packed: frozenset[type[Model]]) -> dict[str, Any]:
    """Describe a table.

    Args:
        packed: the models whose tables stand in the same package; keys to others are left out.
    """
    table = model._meta.db_table
    return {
        "profile": "tabular-data-resource",
        "name": table,
        "path": path_of(table),
        "title": str(model._meta.verbose_name_plural),
        "description": _about(model),
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "schema": {
            "fields": [field_of(field) for field in model._meta.concrete_fields],
            "primaryKey": [_pk(model).attname],
            "foreignKeys": [_key(field) for field in _keys(model) if field.related_model in packed],
            "uniqueKeys": [list(columns) for columns in _unique(model)],
        },
    }


def field_of(field: "Field[Any, Any]") -> dict[str, Any]:
    """Describe a column."""
    unit = unit_of(field.attname)
    constraints = _constraints(field)
    return {
        "name": field.attname,
        **_type_of(field),
        "description": _says(field),
        **({"unit": unit} if unit else {}),
        **({"constraints": constraints} if constraints else {}),
    }


def is_text(field: "Field[Any, Any]") -> bool:
    """Say whether an empty cell of a column is an empty text rather than nothing."""
    return isinstance(field, models.CharField | models.TextField) and not field.null


def _type_of(field: "Field[Any, Any]") -> dict[str, str]:
    target = field.target_field if isinstance(field, ForeignKey) else field
    if isinstance(target, models.JSONField):
        return {"type": "array" if target.default is list else "object" if target.default is dict else "any"}
    return next((dict(said) for kind, said in _TYPES if isinstance(target, kind)), {"type": "string"})


def _constraints(field: "Field[Any, Any]") -> dict[str, Any]:
    found: dict[str, Any] = {}
    if not field.null and not is_text(field):
        found["required"] = True
    if field.unique:
        found["unique"] = True
    if isinstance(field, _NO_LESS_THAN_NOTHING):
        found["minimum"] = 0
    if isinstance(field, models.CharField) and field.max_length:
        found["maxLength"] = field.max_length
    return found


def _about(model: type[Model]) -> str:
    doc = (model.__doc__ or "").strip()
    written_by_django = doc.startswith(f"{model.__name__}(")
    return f"{model._meta.verbose_name_plural}" if not doc or written_by_django else " ".join(doc.split())


def _says(field: "Field[Any, Any]") -> str:
    if field.primary_key and not field.is_relation:
        return "The row's own key: other tables point at it."
    if isinstance(field, models.BinaryField):
        return "Name of a file of this package, which holds it."
    words = str(field.help_text).strip() or f"{str(field.verbose_name).capitalize()}."
    if isinstance(field, ForeignKey) and not isinstance(field.related_model, str):
        target = field.related_model._meta
        return f"{words} Key of a row of {target.db_table}: {target.verbose_name}."
    unit = unit_of(field.attname)
    return f"{words} [{unit}]" if unit else words


def _keys(model: type[Model]) -> "list[ForeignKey[Any, Any]]":
    return [field for field in model._meta.concrete_fields if isinstance(field, ForeignKey)]


def _key(field: "ForeignKey[Any, Any]") -> dict[str, Any]:
    target: Any = field.related_model
    is_own = target is field.model
    resource = "" if is_own else target._meta.db_table
    return {"fields": [field.attname], "reference": {"resource": resource, "fields": [field.target_field.attname]}}


def _pk(model: type[Model]) -> "Field[Any, Any]":
    return next(field for field in model._meta.concrete_fields if field.primary_key)


def _unique(model: type[Model]) -> list[tuple[str, ...]]:
    """Columns that stand once together; a rule with a condition is none that the open form can say."""
    named = [
        each.fields for each in model._meta.constraints if isinstance(each, UniqueConstraint) and not each.condition
    ]
    columns = {field.name: field.attname for field in model._meta.concrete_fields}
    return [tuple(columns[name] for name in (*names,)) for names in (*named, *model._meta.unique_together) if names]
