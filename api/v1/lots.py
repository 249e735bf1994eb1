"""One lot as a person reads it, what it came from and what came of it, a recall, and receiving."""

from datetime import UTC, datetime
from typing import Any

from django.http import HttpResponse
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from api.problems import NotThere, Unusable
from api.v1.acts import booked_answer
from api.v1.asked import ParameterUnread, asked, person_of, station_for, yes_or_no
from api.v1.conditions import as_bytes, unless_known, unless_tagged, weak_tag
from api.v1.listing import NothingNamed
from api.v1.shelves import BY_NAME
from api.v1.values import instant, mass
from hilum.plugins.host import the_host
from inventory.models import Lot, Station
from inventory.pages.prints import address_of
from inventory.queries.breeding import generation_json
from inventory.queries.epcis import lot_events
from inventory.queries.lot_story import LotStory, lot_story
from inventory.queries.recalling import recall
from inventory.queries.tracing import trace
from inventory.rules.reading import uid_in


class OneLot(APIView):
    """One lot."""

    def get(self, request: Request, name: str) -> HttpResponse:
        """Answer what it is, what is left where, and what happened to it."""
        asked(request)
        station, person = station_for(request), person_of(request).get_username()
        story = lot_story(station, _number(station, name))
        facts = the_host().facts_by_plugin(story.lot.number, station.code, person)
        extensions = {plugin.removesuffix(".plugin"): facts_ for plugin, facts_ in facts.items()}
        return unless_known(request, {**_story(story), "extensions": extensions})


class LotTrace(APIView):
    """A lot's trace."""

    def get(self, request: Request, name: str) -> HttpResponse:
        """Answer back to plots, lines and crosses; with ?forward=true, on to shipments."""
        is_forward = yes_or_no("forward", asked(request, "forward")["forward"])
        station = station_for(request)
        of = lot_story(station, _number(station, name)).lot.number
        return unless_known(request, trace(station, of, forward=is_forward).as_json())


class LinkedData(JSONRenderer):
    """The same document under the name of its kind (JSON-LD 1.1, W3C, 2020, clause 6)."""

    media_type = "application/ld+json"
    format = "jsonld"


class LotEpcis(APIView):
    """A lot's history in a form that its buyer's computer reads."""

    renderer_classes = (JSONRenderer, LinkedData)

    def get(self, request: Request, name: str) -> HttpResponse:
        """Answer an EPCISDocument (EPCIS 2.0) with an event for every act in its ancestry and descent.

        It bears the moment at which it was made: its tag is of all the rest, and weak.
        """
        asked(request)
        station = station_for(request)
        lot = _number(station, name)
        made = lot_events(station, lot, address=address_of(request), now=datetime.now(UTC))
        tag = weak_tag(as_bytes({**made, "creationDate": ""}))
        media_type: str = request.accepted_renderer.media_type
        return unless_tagged(request, tag, lambda: as_bytes(made), media_type)


class Trace(APIView):
    """The trace of anything: lot, bag, plot, plant, line, cross, season, sender or shipment."""

    def get(self, request: Request) -> HttpResponse:
        """Answer back to plots, lines and crosses; with ?forward=true, on to shipments."""
        words = asked(request, "of", "forward")
        is_forward = yes_or_no("forward", words["forward"])
        return unless_known(request, trace(station_for(request), _named(words["of"]), forward=is_forward).as_json())


class RecallOf(APIView):
    """What shares the seed of something that is bad, where it stands, and who got it."""

    def get(self, request: Request) -> HttpResponse:
        """Answer; nothing is kept."""
        return unless_known(request, recall(station_for(request), _named(asked(request, "of")["of"])).as_json())


class Receive(APIView):
    """Receiving a lot."""

    def post(self, request: Request) -> Response:
        """Book one delivery; the same Idempotency-Key with the same content is one effect and the same answer."""
        asked(request)
        return booked_answer(request, "receive")


def _number(station: Station, name: str) -> str:
    """Give the number of a lot that may be named by its id too, which stays the same in every copy of the books."""
    uid = uid_in(name)
    if uid is None:
        return name
    number = Lot.objects.filter(station=station, uid=uid).values_list("number", flat=True).first()
    if number is None:
        raise NotThere(NothingNamed(BY_NAME["lots"], name))
    return number


def _named(typed: str) -> str:
    if not typed or "\0" in typed:
        raise Unusable(ParameterUnread("of", typed.replace("\0", "?"), "a lot, bag, plot, line, cross or shipment"))
    return typed


def _story(story: LotStory) -> dict[str, Any]:
    standing = story.standing
    made = standing if standing is not None and story.is_made else None
    return {
        "id": str(story.lot.uid),
        "lot": story.lot.number,
        "line": made.line.name if made and made.line else None,
        "class": made.market_class.name if made and made.market_class else None,
        "made_at": instant(made.made_at) if made else None,
        "opening": mass(made.opening_mg) if made else None,
        "left": mass(story.left),
        "promised": mass(story.promised),
        **generation_json(story.generation),
        "moisture_pct": None if story.moisture is None else str(story.moisture),
        "treated": bool(made and made.treated),
        "holds": [{"reason": hold.reason, "by": hold.by, "since": _stamp(hold.since)} for hold in story.holds],
        "stock": [{"place": row.place.code, "bag": row.bag_no or None, "mass": mass(row.mg)} for row in story.stock],
        "operations": [
            {
                "id": str(one.operation.uid),
                "number": one.operation.seq,
                "kind": one.operation.kind,
                "name": one.name,
                "at": instant(one.operation.at),
                "by": one.operation.by.get_username(),
                "reason": one.operation.reason,
                "change": mass(one.change),
                "reversed": one.taken_back is not None,
            }
            for one in story.happened
        ],
    }


def _stamp(since: Any) -> str | None:
    return instant(since) if hasattr(since, "astimezone") else since.isoformat()
