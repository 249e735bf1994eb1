"""What a request of the Breeding API asks for: page, filters, flags; what is not read is told as a warning."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from django.contrib.auth.models import User
from rest_framework.request import Request

from api.brapi.errors import BadRequest
from api.v1.asked import LONGEST_KEY, person_of, station_for
from inventory.models import Station
from inventory.rules.reading import uid_in

USUAL, MOST = 1000, 10_000  # rows of a page; a larger pageSize is brought down to MOST, and the answer says so
PAGING = ("page", "pageSize")
_LONGEST = 4_000  # characters of one value
MOST_VALUES = 20_000  # in all arrays of a search together; an engine takes so many in one statement
MOST_OBJECTS = 20  # in one array of a search: each is a subquery
_DIGITS = 9
_TRUE, _FALSE = ("true", "1"), ("false", "0")


@dataclass
class Asked:
    """A request, read.

    Attributes:
        station: whose rows are told; nothing of another ever is.
        words: parameter -> values, one of which must fit; a name in the plural of a search stands under its singular.
        warnings: what was passed over, for metadata.status.
    """

    request: Request
    station: Station
    person: User
    words: dict[str, list[str]] = field(default_factory=dict)
    page: int = 0
    size: int = USUAL
    warnings: list[str] = field(default_factory=list)

    def flag(self, name: str, *, default: bool) -> bool:
        """Read a parameter that is true or false.

        Raises:
            BadRequest: it is neither.
        """
        typed = self.one(name).casefold()
        if typed and typed not in (*_TRUE, *_FALSE):
            raise BadRequest(f"{name} reads {typed[:40]!r}. Give true or false.")
        return typed in _TRUE if typed else default

    def number(self, name: str, default: int, *, least: int = 0) -> int:
        """Read a parameter that is a whole number.

        Raises:
            BadRequest: it is none, or less than the least.
        """
        return _whole(name, self.one(name), default, least)

    def one(self, name: str) -> str:
        """Give the only value of a parameter, "" where there is none."""
        return next(iter(self.words.get(name, ())), "")

    @property
    def key(self) -> str:
        """The Idempotency-Key, which this standard does not ask for: "" where none was sent.

        Raises:
            BadRequest: it is too long to keep.
        """
        key = self.request.headers.get("Idempotency-Key", "").strip().strip('"').strip()
        if len(key) > LONGEST_KEY:
            raise BadRequest(f"The Idempotency-Key has {len(key):,} characters. Give at most {LONGEST_KEY}.")
        return key

    def body_list(self) -> list[Any]:
        """Give the body where it must be an array.

        Raises:
            BadRequest: it is something else; a single object is not taken for an array of one.
        """
        if not isinstance(self.request.data, list):
            raise BadRequest("The body is no array. Send a JSON array, also for one.")
        return self.request.data

    def body_objects(self) -> list[Mapping[str, Any]]:
        """Give the body where it must be an array of objects.

        Raises:
            BadRequest: it is something else.
        """
        for place, one in enumerate(self.body_list(), 1):
            if not isinstance(one, Mapping):
                raise BadRequest(f"Item {place} of the array is no object. Send an array of objects.")
        return self.body_list()

    def body_object(self) -> Mapping[str, Any]:
        """Give the body where it must be one object, or a map of DbId and object.

        Raises:
            BadRequest: it is something else.
        """
        if not isinstance(self.request.data, Mapping):
            raise BadRequest("The body is no object. Send one JSON object.")
        return self.request.data

    def objects_in(self, name: str) -> list[Mapping[str, Any]]:
        """Give the objects of an array in the body of a search; none where it is left out or null.

        Raises:
            BadRequest: it is no array of objects, or one of very many.
        """
        some = self.body_object().get(name)
        if some is None:
            return []
        if not isinstance(some, list) or not all(isinstance(one, Mapping) for one in some):
            raise BadRequest(f"{name} is an array of objects here. Send it so.")
        if len(some) > MOST_OBJECTS:
            raise BadRequest(f"{name} has {len(some):,} objects; {MOST_OBJECTS} are the most. Send them in parts.")
        return some

    def body_map(self) -> dict[str, Mapping[str, Any]]:
        """Give the body where it must be a map of DbId and object.

        Raises:
            BadRequest: it is something else.
        """
        if isinstance(self.request.data, list):
            raise BadRequest("The body is an array. Send a map of DbId and object here, also for one.")
        body = self.body_object()
        for key, one in body.items():
            if not isinstance(one, Mapping):
                raise BadRequest(f"{str(key)[:40]!r} stands for no object. Send a map of DbId and object.")
        return dict(body)


def asked_by(request: Request) -> Asked:
    """Read who asks.

    Raises:
        Http404: no station is set up.
    """
    return Asked(request, station_for(request), person_of(request))


def read_query(asked: Asked, known: Collection[str]) -> None:
    """Take the parameters of an address; an unknown one is told, and changes nothing.

    Raises:
        BadRequest: page or pageSize that cannot be read, or a value that is too long.
    """
    query = asked.request.query_params
    _take(asked, known, {name: query.getlist(name) for name in query})


def read_search(asked: Asked, filters: Collection[str], singles: Collection[str]) -> None:
    """Take the body of a search: arrays under plural names, single values under their own; null is nothing.

    What a single name holds that is an array or object is not taken as a word: whoever knows it reads the body.

    Raises:
        BadRequest: a value of another shape.
    """
    by_plural = {plural_of(name): name for name in filters}
    given: dict[str, list[str]] = {}
    for name, value in asked.body_object().items():
        if value is None or (name in singles and isinstance(value, list | Mapping)):
            continue
        given[by_plural.get(name, name)] = _texts(name, value, is_list=name in by_plural)
    count = sum(map(len, given.values()))
    if count > MOST_VALUES:
        raise BadRequest(f"The search names {count:,} values; {MOST_VALUES:,} are the most. Send it in parts.")
    _take(asked, (*filters, *singles), given)


def plural_of(name: str) -> str:
    """Write a filter's name as a search has it: germplasmDbIds, instituteAddresses, traitEntities, but genus."""
    if name.endswith("ss"):
        return f"{name}es"
    if name.endswith("y"):
        return f"{name[:-1]}ies"
    return name if name.endswith("s") else f"{name}s"


def uuids(values: Iterable[str]) -> list[UUID]:
    """Read ids; what is none names nothing and is left out."""
    return [uid for value in values if (uid := uid_in(value))]


def _take(asked: Asked, known: Collection[str], given: Mapping[str, Sequence[str]]) -> None:
    for name, values in given.items():
        if name not in known and name not in PAGING:
            asked.warnings.append(f"{name[:80]} is not read here and changed nothing.")
        elif any(len(value) > _LONGEST for value in values):
            raise BadRequest(f"{name} is longer than {_LONGEST:,} characters. Give less.")
        elif some := [value for value in values if value]:
            asked.words[name] = some
    asked.page = _whole("page", asked.one("page"), 0, 0)
    size = _whole("pageSize", asked.one("pageSize"), USUAL, 1)
    asked.size = min(size, MOST)
    if size > MOST:
        asked.warnings.append(f"A page has at most {MOST:,} rows; pageSize was brought down to that.")


def _texts(name: str, value: Any, *, is_list: bool) -> list[str]:
    if is_list and not isinstance(value, list):
        raise BadRequest(f"{name} is an array of texts here. Send it so.")
    if not is_list and isinstance(value, list | Mapping):
        return [""]  # nobody reads it: a warning is enough
    texts = value if is_list else [value]
    if any(isinstance(one, list | Mapping) for one in texts):
        raise BadRequest(f"{name} is an array of texts here. Send it so.")
    return [str(one).lower() if isinstance(one, bool) else str(one) for one in texts if one is not None]


def _whole(name: str, typed: str, default: int, least: int) -> int:
    if not typed:
        return default
    if not typed.isascii() or not typed.isdigit() or len(typed) > _DIGITS or int(typed) < least:
        raise BadRequest(f"{name} reads {typed[:40]!r}. Give a whole number from {least}.")
    return int(typed)
