"""Lots for programs: list, one, its trace, and receiving."""

from collections.abc import Mapping
from typing import Any

from django.contrib.auth.models import User
from django.http import Http404
from django.urls import reverse
from rest_framework.exceptions import ParseError
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from api.v1.asked import asked, yes_or_no
from api.v1.cursors import read_cursor, write_cursor
from inventory.importing.acts import book
from inventory.models import Station
from inventory.queries.booked import booked_facts
from inventory.queries.breeding import generation_json
from inventory.queries.lot_pages import LotRow, lots_after
from inventory.queries.lot_story import LotStory, lot_story
from inventory.queries.signing_in import station_of
from inventory.queries.tracing import trace
from inventory.rules.mass import kg_text

MOST, USUAL = 200, 50
LONGEST_KEY = 200


def station_for(request: Request) -> Station:
    """Find the station of the key's account.

    Raises:
        Http404: none is set up yet.
    """
    if not isinstance(request.user, User):
        raise TypeError("the API is for keys of accounts")
    station, _role = station_of(request.user)
    if station is None:
        raise Http404("No station is set up yet.")
    return station


class Lots(APIView):
    """Lots that are made, newest first."""

    def get(self, request: Request) -> Response:
        """Answer one page and the address of the next."""
        words = asked(request, "limit", "cursor")
        limit = _limit(words["limit"])
        rows, following = lots_after(station_for(request), read_cursor(words["cursor"]), most=limit)
        here = request.build_absolute_uri(request.path)
        following_page = f"{here}?limit={limit}&cursor={write_cursor(following)}" if following else None
        return Response({"next": following_page, "results": [_row(row) for row in rows]})


class OneLot(APIView):
    """One lot."""

    def get(self, request: Request, number: str) -> Response:
        """Answer what it is, what is left where, and what happened to it."""
        asked(request)
        return Response(_story(lot_story(station_for(request), number)))


class LotTrace(APIView):
    """A lot's trace."""

    def get(self, request: Request, number: str) -> Response:
        """Answer back to plots, lines and crosses; with ?forward=true, on to shipments."""
        is_forward = yes_or_no("forward", asked(request, "forward")["forward"])
        station = station_for(request)
        return Response(trace(station, lot_story(station, number).lot.number, forward=is_forward).as_json())


class Receive(APIView):
    """Receiving a lot."""

    def post(self, request: Request) -> Response:
        """Book one delivery; the same Idempotency-Key with the same content is one effect and the same answer."""
        words = dict(request.data)
        answers, reason = words.pop("answers", None) or {}, words.pop("reason", None) or ""
        if not isinstance(answers, Mapping) or not isinstance(reason, str):
            raise ParseError("answers is an object of code and reason, and reason is a text. Send them so.")
        if not isinstance(request.user, User):
            raise TypeError("the API is for keys of accounts")
        booked = book(
            "receive", words, station=station_for(request), by=request.user, key=_key(request), reason=reason,
            answers={str(code): str(why) for code, why in answers.items()},
        )  # fmt: skip
        facts = booked_facts(booked.operations)
        where = request.build_absolute_uri(reverse("api-lot", args=[facts["lots"][0]["lot"]]))
        return Response(facts, status=201, headers={"Location": where})


def _limit(typed: str) -> int:
    if not typed:
        return USUAL
    if not typed.isascii() or not typed.isdigit() or not 1 <= int(typed[:9]) <= MOST:
        raise ParseError(f"limit reads '{typed[:40]}'. Give 1 to {MOST}.")
    return int(typed)


def _key(request: Request) -> str:
    key = request.headers.get("Idempotency-Key", "").strip().strip('"')
    if len(key) > LONGEST_KEY:
        raise ParseError(f"The Idempotency-Key has {len(key)} characters. Give at most {LONGEST_KEY}.")
    return key


def _row(row: LotRow) -> dict[str, Any]:
    standing = row.standing
    return {
        "lot": standing.lot.number,
        "line": standing.line.name if standing.line else None,
        "class": standing.market_class.name if standing.market_class else None,
        "made_at": standing.made_at.isoformat() if standing.made_at else None,
        "opening_kg": kg_text(standing.opening_mg),
        "kg": kg_text(row.left),
        "treated": standing.treated,
        "hold": row.is_held,
    }


def _story(story: LotStory) -> dict[str, Any]:
    standing = story.standing
    made = standing if standing is not None and story.is_made else None
    return {
        "lot": story.lot.number,
        "line": made.line.name if made and made.line else None,
        "class": made.market_class.name if made and made.market_class else None,
        "made_at": made.made_at.isoformat() if made and made.made_at else None,
        "opening_kg": kg_text(made.opening_mg) if made else None,
        "kg": kg_text(story.left),
        "promised_kg": kg_text(story.promised),
        **generation_json(story.generation),
        "moisture_pct": None if story.moisture is None else str(story.moisture),
        "treated": bool(made and made.treated),
        "holds": [{"reason": hold.reason, "by": hold.by, "since": hold.since.isoformat()} for hold in story.holds],
        "stock": [{"place": row.place.code, "bag": row.bag_no or None, "kg": kg_text(row.mg)} for row in story.stock],
        "operations": [
            {
                "uid": str(one.operation.uid),
                "kind": one.operation.kind,
                "name": one.name,
                "at": one.operation.at.isoformat(),
                "by": one.operation.by.get_username(),
                "reason": one.operation.reason,
                "kg": kg_text(one.change),
                "reversed": one.taken_back is not None,
            }
            for one in story.happened
        ],
    }
