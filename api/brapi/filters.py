"""What a list may be narrowed by: each takes rows, the values of which one must fit, and who asks."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from django.db.models import Q, QuerySet
from django.db.models.functions import Lower

from api.brapi.asked import Asked, uuids
from api.brapi.envelope import Rows
from api.brapi.told import CROP, made_id
from inventory.models import Station
from inventory.rules.reading import UNKEPT

Narrow = Callable[[Rows, Sequence[str], Asked], Rows]


def by_uid(field: str = "uid") -> Narrow:
    """Keep rows of which a column holds one of these UUIDs."""
    return lambda rows, values, _asked: _narrowed(rows, Q(**{f"{field}__in": uuids(values)}))


def by_text(field: str) -> Narrow:
    """Keep rows of which a column reads as one of these texts, in upper or lower case."""

    def narrow(rows: Rows, values: Sequence[str], _asked: Asked) -> Rows:
        kept = keepable(values)
        folded = Lower(field)
        is_so = Q(**{f"{field}__in": kept}) | Q(folded__in=[value.lower() for value in kept])
        if not isinstance(rows, QuerySet):
            raise TypeError("by_text narrows a query; by_told narrows a list")
        narrowed: Rows = rows.alias(folded=folded).filter(is_so)
        return narrowed

    return narrow


def by_whole(field: str) -> Narrow:
    """Keep rows of which a column holds one of these whole numbers."""
    return lambda rows, values, _asked: _narrowed(
        rows, Q(**{f"{field}__in": [int(one) for one in values if one.isascii() and one.isdigit() and len(one) < 10]})
    )


def by_query(made: Callable[[list[str], Asked], Q]) -> Narrow:
    """Keep rows by a condition that is made of the values; over a join it must be a subquery, or rows stand twice."""
    return lambda rows, values, asked: _narrowed(rows, made(keepable(values), asked))


def by_told(name: str) -> Narrow:
    """Keep those of a list of told rows that have one of these values under a name, or in the list under it."""

    def narrow(rows: Rows, values: Sequence[str], _asked: Asked) -> Rows:
        wanted = {value.casefold() for value in values}
        return [row for row in rows if wanted & _said(row, name)]

    return narrow


def by_constant(value: str) -> Narrow:
    """Keep all rows where this is one of the values, else none: what is the same for all rows."""
    return by_one_of(lambda _station: (value,))


def by_one_of(known: Callable[[Station], Sequence[str]]) -> Narrow:
    """Keep all rows where the station is called by one of the values, else none."""

    def narrow(rows: Rows, values: Sequence[str], asked: Asked) -> Rows:
        wanted = {value.casefold() for value in values}
        return rows if wanted & {one.casefold() for one in known(asked.station)} else _none(rows)

    return narrow


def nowhere(rows: Rows, _values: Sequence[str], _asked: Asked) -> Rows:
    """Keep nothing: no row here has such a fact, so none can have this one."""
    return _none(rows)


def program_id(station: Station) -> str:
    """Give the DbId of a station's programme."""
    return made_id(station.pk, "program")


NO_REFERENCES: Mapping[str, Narrow] = dict.fromkeys(
    ("externalReferenceId", "externalReferenceID", "externalReferenceSource"), nowhere
)
CROP_AND_PROGRAM: Mapping[str, Narrow] = {
    "commonCropName": by_constant(CROP),
    "programDbId": by_one_of(lambda station: (program_id(station),)),
    "programName": by_one_of(lambda station: (station.name,)),
}


def _narrowed(rows: Rows, condition: Q) -> Rows:
    if not isinstance(rows, QuerySet):
        raise TypeError("this narrows a query; by_told narrows a list")
    return rows.filter(condition)


def _none(rows: Rows) -> Rows:
    none = getattr(rows, "none", None)  # whatever narrows by itself stays what it is
    return none() if none else []


def keepable(values: Sequence[str]) -> list[str]:
    """Leave out what no column can hold, which PostgreSQL would refuse instead of finding nothing."""
    return [one for one in values if not UNKEPT.search(one)]


def _said(row: Mapping[str, Any], name: str) -> set[str]:
    value = row.get(name)
    values = value if isinstance(value, list | tuple) else [value]
    return {str(one).casefold() for one in values if one is not None}
