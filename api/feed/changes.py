"""`GET /api/v1/changes?after=SEQ`: all acts behind a number; a program keeps the last and asks again."""

from typing import Any

from django.http import HttpResponse
from rest_framework.request import Request
from rest_framework.views import APIView

from api.feed.following import acts_after
from api.problems import Unusable
from api.v1.asked import ParameterUnread, asked, person_of, station_for
from api.v1.conditions import unless_known
from inventory.models import Operation, Station

MOST, USUAL = 500, 100
_LARGEST = 2**63 - 1


class Changes(APIView):
    """What happened since."""

    @staticmethod
    def told(_method: str) -> dict[str, Any]:
        """Describe it."""
        return TOLD

    def get(self, request: Request) -> HttpResponse:
        """Answer acts in the order of the chain; `next` is always there, also where nothing has happened yet."""
        words = asked(request, "after", "limit")
        after = whole("after", words["after"], 0, _LARGEST, usual=0)
        limit = whole("limit", words["limit"], 1, MOST, usual=USUAL)
        station = station_for(request)
        acts = acts_after(station, after, limit + 1, person=person_of(request))
        page = acts[:limit]
        last = page[-1].seq if page else after
        address = f"{request.build_absolute_uri(request.path)}?after={last}&limit={limit}"
        more = len(acts) > limit
        newest = _newest(station) if more or not page else last
        told = [act.as_json for act in page]
        return unless_known(request, {"results": told, "next": address, "more": more, "last": newest})


def _newest(station: Station) -> int:
    acts = Operation.objects.filter(station=station).order_by("-seq")
    return acts.values_list("seq", flat=True).first() or 0


def whole(name: str, typed: str, least: int, most: int, *, usual: int) -> int:
    """Read a whole number of an address; empty is the usual one.

    Raises:
        Unusable: it is none, or out of range.
    """
    if not typed:
        return usual
    is_digits = typed.isascii() and typed.isdigit() and len(typed) <= 19
    if not is_digits or not least <= int(typed) <= most:
        raise Unusable(ParameterUnread(name, typed.replace("\0", "?"), f"a whole number from {least:,} to {most:,}"))
    return int(typed)


_POINTER = {"type": ["object", "null"], "properties": {"seq": {"type": "integer"}, "id": {"type": "string"}}}
_MAYBE, _NAMES = {"type": ["string", "null"]}, {"type": "array", "items": {"type": "string"}}


def _named(one: str) -> dict[str, Any]:
    texts = {"id": {"type": "string"}, one: {"type": "string"}}
    return {"type": "array", "items": {"type": "object", "properties": texts}}


_TEXT, _INSTANT = {"type": "string"}, {"type": "string", "format": "date-time"}
ACT = {
    "type": "object",
    "properties": {
        "seq": {"type": "integer", "description": "its place in the station's chain: no gaps, never skipped"},
        "id": {"type": "string", "format": "uuid"},
        "kind": {**_TEXT, "description": "more kinds may come"},
        "name": _TEXT, "at": _INSTANT, "recorded_at": _INSTANT, "by": _TEXT, "reason": _TEXT,
        "about": {**_POINTER, "description": "the act it follows up"},
        "reverses": {**_POINTER, "description": "the act it takes back, which stays as it was"},
        "withheld": {
            "type": "boolean",
            "description": "what it touched waits for a blind re-grade; the act that follows it names it in `about`",
        },
        "touched": {
            "type": "object",
            "description": "those it touched, by kind: lots and bags with their ids, plots, lines, samples … by names",
            "properties": {
                "lots": _named("lot"), "bags": _named("bag"), **dict.fromkeys(("plots", "lines", "places"), _NAMES),
            },
        },
        "entries": {
            "type": "array",
            "description": "its masses, which sum to zero",
            "items": {
                "type": "object",
                "properties": {
                    "lot": {**_MAYBE, "description": "null where it stands on no lot but an account"},
                    "place": _MAYBE,
                    "bag": {"type": ["integer", "null"], "description": "its number; null for loose seed"},
                    "account": {**_MAYBE, "description": "where it came from or went, such as shipped"},
                    "stream": {**_MAYBE, "description": "of a machine: throughs, lights …"},
                    "mass": {"$ref": "#/components/schemas/Mass"},
                },
            },
        },
        "facts": {"type": "object", "description": "what was said with it; `typed` is what was entered"},
    },
    "required": ["seq", "id", "kind", "at", "recorded_at", "by", "about", "reverses", "withheld", "touched"],
}  # fmt: skip
TOLD: dict[str, Any] = {
    "summary": "What happened since an act, in the order of the chain",
    "parameters": [
        {
            "name": "after", "in": "query", "description": "number of the last act that is known; 0 for all",
            "schema": {"type": "integer", "minimum": 0},
        },
        {
            "name": "limit", "in": "query", "description": "acts of a page",
            "schema": {"type": "integer", "minimum": 1, "maximum": MOST},
        },
    ],
    "responses": {
        "200": {
            "description": "acts behind that number",
            "content": {
                "application/json": {
                    "schema": {
                        "type": "object",
                        "properties": {
                            "results": {"type": "array", "items": ACT},
                            "next": {**_TEXT, "description": "always there: ask it again later"},
                            "more": {"type": "boolean", "description": "more acts are there already"},
                            "last": {
                                "type": "integer",
                                "description": "number of the station's newest act: begin there to hear of later "
                                "ones alone; below `after`, the books are older than what is known of them",
                            },
                        },
                        "required": ["results", "next", "more", "last"],
                    }
                }
            },
        }
    },
}  # fmt: skip
