"""`GET /api/v1/changes?after=SEQ`: all acts behind a number; a program keeps the last and asks again."""

from typing import Any

from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from api.feed.following import acts_after
from api.problems import Unusable
from api.v1.asked import ParameterUnread, asked, person_of, station_for

MOST, USUAL = 500, 100
_LARGEST = 2**63 - 1


class Changes(APIView):
    """What happened since."""

    @staticmethod
    def told(_method: str) -> dict[str, Any]:
        """Describe it."""
        return TOLD

    def get(self, request: Request) -> Response:
        """Answer acts in the order of the chain; `next` is always there, also where nothing has happened yet."""
        words = asked(request, "after", "limit")
        after = whole("after", words["after"], 0, _LARGEST, usual=0)
        limit = whole("limit", words["limit"], 1, MOST, usual=USUAL)
        acts = acts_after(station_for(request), after, limit + 1, person=person_of(request))
        page = acts[:limit]
        last = page[-1].seq if page else after
        address = f"{request.build_absolute_uri(request.path)}?after={last}&limit={limit}"
        return Response({"results": [act.as_json for act in page], "next": address, "more": len(acts) > limit})


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
        "touched": {"type": "object", "description": "lots, bags, plots, lines, samples …: those it touched"},
        "entries": {"type": "array", "items": {"type": "object"}, "description": "its masses, which sum to zero"},
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
                        },
                        "required": ["results", "next", "more"],
                    }
                }
            },
        }
    },
}  # fmt: skip
