"""What others call our things: references kept beside the books, so that a program finds its own ids again."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from django.db.models import Q

from api.brapi.asked import Asked
from api.brapi.errors import BadRequest
from api.brapi.filters import Narrow, by_query
from api.models import ForeignName
from inventory.models import Station
from inventory.queries.uses import in_parts
from inventory.rules.reading import UNKEPT

NAME, UNITS = OURS = ("@name", "@units")  # what was sent beside ids; not told as references
LONGEST_SOURCE, LONGEST_NAME = 200, 400


@dataclass
class Names:
    """What others call one thing.

    Attributes:
        references: pairs of source and id.
        name: as the program that made it calls it; "" where it gave none.
        units: in which it was sent; "" for ours.
    """

    references: list[tuple[str, str]] = field(default_factory=list)
    name: str = ""
    units: str = ""


def names_of(uids: Iterable[UUID]) -> dict[UUID, Names]:
    """Give what others call these things; one without a name is not there (1 query for 500)."""
    found: dict[UUID, Names] = defaultdict(Names)
    for some in in_parts(sorted(set(uids))):
        for row in ForeignName.objects.filter(uid__in=some).order_by("pk"):
            names = found[row.uid]
            if row.source == NAME:
                names.name = row.name
            elif row.source == UNITS:
                names.units = row.name
            else:
                names.references.append((row.source, row.name))
    return dict(found)


def references_sent(sent: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Read externalReferences.

    Raises:
        BadRequest: it is no array of objects with texts, or one is too long to keep.
    """
    references = sent.get("externalReferences") or []
    if not isinstance(references, list) or not all(isinstance(one, Mapping) for one in references):
        raise BadRequest("externalReferences is an array of objects with referenceSource and referenceId. Send it so.")
    pairs = [
        (text_sent(one, "referenceSource"), text_sent(one, "referenceId") or text_sent(one, "referenceID"))
        for one in references
    ]
    for source, name in pairs:
        if len(source) > LONGEST_SOURCE or len(name) > LONGEST_NAME:
            says = f"A reference has up to {LONGEST_SOURCE} signs for its source and {LONGEST_NAME} for its id"
            raise BadRequest(f"{says}. Send shorter ones.")
    return [pair for pair in dict.fromkeys(pairs) if pair[1] and not pair[0].startswith("@")]


def text_sent(sent: Mapping[str, Any], name: str) -> str:
    """Read a text; null is as if it were not sent, and a number is taken as its digits.

    Raises:
        BadRequest: it is something else.
    """
    value = sent.get(name)
    if value is None:
        return ""
    if isinstance(value, bool | list | Mapping):
        raise BadRequest(f"{name} is a text here. Send it so.")
    text = str(value).strip()
    if UNKEPT.search(text):
        raise BadRequest(f"{name} holds a sign that cannot be kept. Take it out and send it again.")
    return text


def keep_names(station: Station, uid: UUID, names: Names, *, instead: bool = False) -> None:
    """Keep what others call a thing.

    Args:
        instead: names that were sent take the place of those that stand.
    """
    if instead:
        standing = ForeignName.objects.filter(uid=uid)
        standing.filter(source=NAME).delete() if names.name else None
        standing.filter(source=UNITS).delete() if names.units else None
        standing.exclude(source__in=OURS).delete() if names.references else None
    pairs = [*names.references, *((NAME, names.name),) * bool(names.name), *((UNITS, names.units),) * bool(names.units)]
    rows = [ForeignName(station=station, uid=uid, source=source, name=name) for source, name in pairs]
    ForeignName.objects.bulk_create(rows, ignore_conflicts=True)


def names_sent(sent: Mapping[str, Any], named: str = "") -> Names:
    """Read references, the name under `named`, and units.

    Raises:
        BadRequest: one of them cannot be read.
    """
    name, units = text_sent(sent, named) if named else "", text_sent(sent, "units")
    if len(name) > LONGEST_NAME:
        raise BadRequest(f"{named} has {len(name)} signs; {LONGEST_NAME} fit. Send a shorter one.")
    return Names(references_sent(sent), name, units)


def _called(values: Sequence[str], asked: Asked, column: str, field_name: str) -> Q:
    names = ForeignName.objects.filter(station=asked.station, **{f"{column}__in": values}).exclude(source__in=OURS)
    return Q(**{f"{field_name}__in": names.values("uid")})


def by_references(uid: str) -> dict[str, Narrow]:
    """Filter rows by what others call them.

    Args:
        uid: the column that holds their uid.
    """
    by_name = by_query(lambda values, asked: _called(values, asked, "name", uid))
    by_source = by_query(lambda values, asked: _called(values, asked, "source", uid))
    return {"externalReferenceId": by_name, "externalReferenceID": by_name, "externalReferenceSource": by_source}
