"""What a list is: its rows of one station, their columns, and what it can be filtered by."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, wraps
from typing import Any

from django.contrib.auth.models import User
from django.db.models import Model, QuerySet
from django_filters import FilterSet

from api.v1.columns import Column, Kind, filters_of
from inventory.models import Station

Rows = QuerySet[Any]


def same_for_all(make: Callable[[Station, User], Rows]) -> Callable[[Station, User], Rows]:
    """Put the rows of a list together once for each station: that takes as long as to read a page of them.

    Args:
        make: its rows do not depend on who asks, and nothing is read while they are put together.
    """
    made: dict[int, Rows] = {}

    @wraps(make)
    def rows(station: Station, person: User) -> Rows:
        if station.pk not in made:
            made[station.pk] = make(station, person)
        return made[station.pk].all()

    return rows


class StandingRows:
    """The rows of acts that were not taken back."""

    def __init__(self, model: type[Model]) -> None:
        self.model = model

    def __call__(self, station: Station, _person: User) -> Rows:
        return self.model._default_manager.filter(station=station, operation__reversed_by__isnull=True)


@dataclass(frozen=True)
class Shelf:
    """One list.

    Attributes:
        name: its part of the address: "seed-tests".
        one: what one row is, in a sentence: "seed test".
        named_by: the column by which one of them is asked for.
        rows: a station's rows, without what is hidden from the account that asks.
        searched: the columns in which `q` looks; without any it is not searched.
    """

    name: str
    one: str
    named_by: str
    columns: tuple[Column, ...]
    rows: Callable[[Station, User], Rows]
    searched: tuple[str, ...] = ()

    @cached_property
    def filters(self) -> type[FilterSet]:
        """What it can be filtered by."""
        return filters_of(self.columns)

    def column(self, name: str) -> Column:
        """Give a column by its name."""
        return next(column for column in self.columns if column.name == name)


AT = Column("at", "operation__at", Kind.INSTANT, "when it happened", orders=True)
BY = Column("by", "operation__by__username", tells="who entered it")
LOT = Column("lot", "lot__number", tells="the lot's number", orders=True)
LINE = Column(
    "line", "lot__standing__line__name", tells="the lot's line; null for a blend of several", is_empty_allowed=True
)
ID = Column("id", "pk", Kind.WHOLE, "of the row", orders=True)
NUMBER = Column("operation", "operation__seq", Kind.WHOLE, "number of the act", orders=True)
