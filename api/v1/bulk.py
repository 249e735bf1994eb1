"""Many acts by one request: all or none, or each for itself with its own answer."""

from collections.abc import Mapping, Sequence
from http import HTTPStatus
from typing import Any

from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from api.problems import problem_of
from api.v1.acts import offered
from api.v1.asked import REPLAYED, asked, key_of, person_of, station_for
from api.v1.describing import content, key, sends
from api.v1.examples import BULK
from api.v1.moments import refuse_unzoned
from api.v1.values import in_utc
from inventory.importing.acts import Act
from inventory.importing.many_acts import MOST, Ready, do_each, do_together, key_in, read_act, under
from inventory.importing.words import UnknownWord, WordMissing, WrongShape
from inventory.models import Command, Operation
from inventory.queries.booked import booked_facts
from inventory.rules.mistakes import Mistake, Refused

MODES = ("atomic", "each")
_LONGEST_KEY = 190  # each act's own key is longer by its place
_OF_ITEM = ("client_id", "verb", "words")
Item = tuple[str, Ready | Refused]


class TooManyItems(Mistake):
    """More acts than one request may hold."""

    code = "too_many_items"

    def __init__(self, count: int) -> None:
        super().__init__(f"There are {count:,} items; {MOST:,} are taken at once. Send the rest after.", field="items")


class Bulk(APIView):
    """Many acts."""

    longest = 10 * 1024 * 1024  # bytes of the body

    def post(self, request: Request) -> Response:
        """Do all or none ("atomic"), or each that can be done ("each"); a key is one effect for each item."""
        asked(request)
        sent, of_request = dict(request.data), key_of(request, longest=_LONGEST_KEY)
        mode = _mode(sent)
        found, known = _items(sent), offered(station_for(request).code)
        items = [_item(item, place, of_request, known) for place, item in enumerate(found, start=1)]
        return self._together(request, items, of_request) if mode == "atomic" else self._each(request, items)

    def _together(self, request: Request, items: Sequence[Item], of_request: str) -> Response:
        unread = [(place, one) for place, (_id, one) in enumerate(items, start=1) if isinstance(one, Refused)]
        if unread:
            raise Refused(said for place, one in unread for said in under(f"items.{place}", one.mistakes))
        station, by = station_for(request), person_of(request)
        is_again = Command.objects.filter(station=station, key=of_request).exists()
        acts = [one for _id, one in items if isinstance(one, Ready)]
        wrote = do_together(acts, station=station, by=by, key=of_request)
        told = [_done(client_id, acts) for (client_id, _one), acts in zip(items, wrote, strict=True)]
        headers = {REPLAYED: "true"} if is_again else {}
        return Response({"mode": "atomic", "items": told}, status=HTTPStatus.CREATED, headers=headers)

    def _each(self, request: Request, items: Sequence[Item]) -> Response:
        told = [self._one(request, client_id, one) for client_id, one in items]
        return Response({"mode": "each", "items": told})

    def _one(self, request: Request, client_id: str, one: Ready | Refused) -> dict[str, Any]:
        try:
            if isinstance(one, Refused):
                raise one
            booked = do_each(one, station=station_for(request), by=person_of(request))
        except Refused as refused:
            problem = problem_of(refused, request)
            return {"client_id": client_id, "status": problem["status"], "problem": problem}
        return _done(client_id, booked.operations)

    @classmethod
    def told(cls, _method: str) -> dict[str, Any]:
        """Describe it."""
        answers = {
            "201": content("atomic: what each act wrote", {"$ref": "#/components/schemas/Bulk"}),
            "200": content("each: what each act wrote, or its problem", {"$ref": "#/components/schemas/Bulk"}),
        }
        return sends("Many acts: all or none, or each for itself", _SHAPE, BULK, answers, key("bulk"))


_CLIENT_ID = "what the sender calls it; given back. A key counts items by place"
_SHAPE: dict[str, Any] = {
    "type": "object",
    "properties": {
        "mode": {"enum": list(MODES), "default": "atomic", "description": "all or none, or each for itself"},
        "items": {
            "type": "array", "minItems": 1, "maxItems": MOST,
            "items": {
                "type": "object",
                "properties": {
                    "client_id": {"type": "string", "description": _CLIENT_ID},
                    "verb": {"type": "string", "description": "of the act, as /api/v1/acts lists it"},
                    "words": {"type": "object", "description": "what is sent to that act, with answers and reason"},
                },
                "required": ["verb"],
                "additionalProperties": False,
            },
        },
    },
    "required": ["items"],
    "additionalProperties": False,
}  # fmt: skip


def _mode(sent: Mapping[str, Any]) -> str:
    unknown = [UnknownWord("field of it", name, ("mode", "items"), field=name) for name in sent
               if name not in ("mode", "items")]  # fmt: skip
    mode = sent.get("mode") or "atomic"
    if unknown or mode not in MODES:
        raise Refused(unknown or [WrongShape("mode", mode, "atomic or each")])
    return str(mode)


def _items(sent: Mapping[str, Any]) -> Sequence[Any]:
    items = sent.get("items")
    if items is None or items == []:
        raise Refused([WordMissing("items")])
    if not isinstance(items, list):
        raise Refused([WrongShape("items", items, "a list of objects with verb and words")])
    if len(items) > MOST:
        raise Refused([TooManyItems(len(items))])
    return items


def _item(item: Any, place: int, of_request: str, known: Mapping[str, Act]) -> Item:
    """Read one item; what cannot be read of it stands in the place of its act."""
    if not isinstance(item, Mapping):
        return "", Refused([WrongShape("", item, "an object with verb and words")])
    client_id, verb, words = item.get("client_id") or "", item.get("verb"), item.get("words") or {}
    mistakes: list[Mistake] = [
        UnknownWord("field of it", name, _OF_ITEM, field=name) for name in item if name not in _OF_ITEM
    ]
    if not isinstance(client_id, str):
        mistakes.append(WrongShape("client_id", client_id, "a text"))
    if not isinstance(verb, str):
        mistakes.append(WordMissing("verb") if verb is None else WrongShape("verb", verb, "a text"))
    if not isinstance(words, Mapping):
        mistakes.append(WrongShape("words", words, "an object"))
    name = client_id if isinstance(client_id, str) else ""
    if mistakes:
        return name, Refused(mistakes)
    try:
        refuse_unzoned({"words": words})
        return name, read_act(str(verb), words, known, key=key_in(of_request, place))
    except Refused as refused:
        return name, refused


def _done(client_id: str, operations: Sequence[Operation]) -> dict[str, Any]:
    first = str(operations[0].uid) if operations else None
    return {"client_id": client_id, "status": 201, "id": first, **in_utc(booked_facts(operations))}
