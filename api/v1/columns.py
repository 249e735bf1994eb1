"""Columns of a list: how each is read from a row, written as JSON, and filtered by.

Kinds of value decide which comparisons there are: names `lot`, `lot__in`, `lot__icontains`; numbers, masses, days and
instants `…__gte` and `…__lte`; what may be empty `…__isnull`.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.dateparse import parse_date, parse_datetime
from django_filters import BaseInFilter, Filter, FilterSet

from api.v1.values import instant, mass

MOST_WHOLE = 2**31 - 1
MOST_KG = 10**9
_YEARS = range(1900, 2200)


class Kind(StrEnum):
    """What a value is."""

    NAME = "name"
    UID = "uid"
    WHOLE = "whole"
    MASS = "mass"
    INSTANT = "instant"
    DAY = "day"
    YES = "yes"
    EXACT = "exact"  # an exact decimal, written as text
    DATA = "data"  # an object or list as it was entered


@dataclass(frozen=True)
class Column:
    """One column.

    Attributes:
        name: as programs call it.
        path: where the row has it.
        tells: what it is, for the description of the API.
        is_empty_allowed: it may be null.
        orders: a list may be ordered by it: it never changes, or hardly ever, and is never null.
    """

    name: str
    path: str
    kind: Kind = Kind.NAME
    tells: str = ""
    is_empty_allowed: bool = False
    orders: bool = False


WANTED: Mapping[Kind, str] = {
    Kind.NAME: "a text",
    Kind.UID: "a UUID",
    Kind.WHOLE: f"a whole number from 0 to {MOST_WHOLE:,}",
    Kind.MASS: "kilograms in digits, such as 12.5",
    Kind.INSTANT: "an instant with its zone, such as 2024-09-24T08:00:00Z",
    Kind.DAY: "a day, such as 2024-09-24",
    Kind.YES: "true or false",
}
COMPARISONS: Mapping[Kind, tuple[str, ...]] = {
    Kind.NAME: ("exact", "in", "icontains"),
    Kind.UID: ("exact", "in"),
    Kind.WHOLE: ("exact", "in", "gte", "lte"),
    Kind.MASS: ("gte", "lte"),
    Kind.INSTANT: ("gte", "lte"),
    Kind.DAY: ("exact", "gte", "lte"),
    Kind.YES: ("exact",),
    Kind.EXACT: (),
    Kind.DATA: (),
}


def written(kind: Kind, value: Any) -> Any:
    """Write a value of a row as JSON has it."""
    if value is None or kind in (Kind.NAME, Kind.WHOLE, Kind.DATA):
        return value
    return _WRITERS[kind](value)


def written_all(kind: Kind, values: Sequence[Any]) -> Sequence[Any]:
    """Write the values of a column for a body whose writer knows instants and ids itself (`conditions.as_bytes`)."""
    write = None if kind in (Kind.INSTANT, Kind.UID) else _WRITERS.get(kind)
    return values if write is None else [None if value is None else write(value) for value in values]


_WRITERS: Mapping[Kind, Callable[[Any], Any]] = {
    Kind.UID: str, Kind.MASS: mass, Kind.INSTANT: instant, Kind.DAY: date.isoformat, Kind.YES: bool, Kind.EXACT: str,
}  # fmt: skip


def filters_of(columns: tuple[Column, ...]) -> type[FilterSet]:
    """Make the filters of a list out of its columns."""
    filters = {
        parameter: _filter(column, comparison) for column in columns for parameter, comparison in comparisons_of(column)
    }
    return type("Filters", (FilterSet,), filters)


def comparisons_of(column: Column) -> list[tuple[str, str]]:
    """Name the parameters of a column with the comparison that each makes."""
    may_be = [*COMPARISONS[column.kind], *(["isnull"] if column.is_empty_allowed else [])]
    return [(column.name if one == "exact" else f"{column.name}__{one}", one) for one in may_be]


def wanted_of(column: Column, comparison: str) -> str:
    """Say what a parameter takes."""
    if comparison == "isnull":
        return WANTED[Kind.YES]
    return f"{WANTED[column.kind]}; several with commas" if comparison == "in" else WANTED[column.kind]


def _filter(column: Column, comparison: str) -> Filter:
    if comparison == "isnull":
        return _YesFilter(field_name=column.path, lookup_expr="isnull")
    kind = _FILTERS[column.kind]
    if comparison == "in":
        kind = type(f"{kind.__name__}In", (BaseInFilter, kind), {})
    return kind(field_name=column.path, lookup_expr=comparison)


class _NameField(forms.CharField):
    def __init__(self, **options: Any) -> None:
        super().__init__(strip=False, max_length=400, **options)


class _Typed(forms.Field):
    """One typed value; a filter that is not there is none."""

    def to_python(self, value: Any) -> Any:
        return None if value in self.empty_values else self.read(str(value))

    def read(self, text: str) -> Any:
        """Read it, or raise a ValidationError, whose text nobody sees: the door words what was wanted."""
        raise NotImplementedError


class _WholeField(_Typed):
    def read(self, text: str) -> int:
        if not text.isascii() or not text.isdigit() or len(text) > 10 or int(text) > MOST_WHOLE:
            raise ValidationError("no whole number")
        return int(text)


class _MassField(_Typed):
    def read(self, text: str) -> int:
        try:
            kg = Decimal(text)
        except InvalidOperation:
            raise ValidationError("no number") from None
        if not kg.is_finite() or abs(kg) > MOST_KG or len(text) > 40:
            raise ValidationError("no mass")
        return int(kg * 1_000_000)


class _InstantField(_Typed):
    def read(self, text: str) -> datetime:
        moment: datetime | None = _or_none(parse_datetime, text.replace(" ", "+"))
        if moment is None or moment.tzinfo is None or moment.year not in _YEARS:
            raise ValidationError("no instant")
        return moment.astimezone(UTC)


class _DayField(_Typed):
    def read(self, text: str) -> date:
        day: date | None = _or_none(parse_date, text)
        if day is None:
            raise ValidationError("no day")
        return day


class _YesField(_Typed):
    def read(self, text: str) -> bool:
        if text.casefold() not in ("true", "false"):
            raise ValidationError("neither")
        return text.casefold() == "true"


def _or_none(parse: Callable[[str], Any], text: str) -> Any:
    try:
        return parse(text)
    except ValueError:  # it looks like one and is none, such as the 31st of February
        return None


class _NameFilter(Filter):  # type: ignore[misc]  # the package has no types
    field_class = _NameField


class _UidFilter(Filter):  # type: ignore[misc]  # the package has no types
    field_class = forms.UUIDField


class _WholeFilter(Filter):  # type: ignore[misc]  # the package has no types
    field_class = _WholeField


class _MassFilter(Filter):  # type: ignore[misc]  # the package has no types
    field_class = _MassField


class _InstantFilter(Filter):  # type: ignore[misc]  # the package has no types
    field_class = _InstantField


class _DayFilter(Filter):  # type: ignore[misc]  # the package has no types
    field_class = _DayField


class _YesFilter(Filter):  # type: ignore[misc]  # the package has no types
    field_class = _YesField


_FILTERS: Mapping[Kind, type[Filter]] = {
    Kind.NAME: _NameFilter, Kind.UID: _UidFilter, Kind.WHOLE: _WholeFilter, Kind.MASS: _MassFilter,
    Kind.INSTANT: _InstantFilter, Kind.DAY: _DayFilter, Kind.YES: _YesFilter,
}  # fmt: skip
