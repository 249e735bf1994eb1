"""Every act by its verb: the words of `manage.py book` as one JSON object, and what was booked as the answer."""

from collections.abc import Mapping
from dataclasses import fields
from typing import Any

from django.http import HttpResponse
from django.urls import reverse
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from api.problems import NotThere
from api.v1.asked import REPLAYED, asked, key_of, person_of, station_for
from api.v1.conditions import unless_known
from api.v1.moments import refuse_unzoned
from api.v1.values import in_utc
from inventory.importing.acts import Act, act_of, all_acts, book, plain_verb
from inventory.importing.many_acts import at_body_fields, body_parts
from inventory.importing.telling import is_needed, tell
from inventory.importing.words import UnknownWord
from inventory.models import Command
from inventory.queries.booked import booked_facts
from inventory.rules.mistakes import Refused
from inventory.rules.roles import WHO_MAY, who_may

OF_PAGES = ("book draft", "park draft")  # a run being filled belongs to the page that fills it; programs send it whole


class Acts(APIView):
    """All acts."""

    def get(self, request: Request) -> HttpResponse:
        """List every act with the fields that it takes and those that it cannot do without."""
        asked(request)
        return unless_known(
            request, {"results": [told_act(verb, request) for verb in offered(station_for(request).code)]}
        )


class Do(APIView):
    """One act, by its verb in the address."""

    verb = ""

    def post(self, request: Request, verb: str = "") -> Response:
        """Book it; the same Idempotency-Key with the same content is one effect and the same answer."""
        asked(request)
        verb = verb or self.verb
        if plain_verb(verb) not in (known := offered(station_for(request).code)):
            raise NotThere(UnknownWord("act", verb, list(known), field="verb"))
        return booked_answer(request, verb)


def offered(station: str = "") -> dict[str, Act]:
    """Name the acts that programs do at a station, or at any: all but those upon something that only a page makes."""
    return {verb: act for verb, act in all_acts(station).items() if verb not in OF_PAGES}


def booked_answer(request: Request, verb: str) -> Response:
    """Book what the body says and answer with what was booked."""
    sent = dict(request.data)
    refuse_unzoned(sent)
    words, reason, answers = body_parts(act_of(verb), sent)
    station, key = station_for(request), key_of(request)
    is_again = Command.objects.filter(station=station, key=key).exists()
    try:
        booked = book(verb, words, station=station, by=person_of(request), key=key, reason=reason, answers=answers)
    except Refused as refused:
        raise Refused(at_body_fields(refused.mistakes, act_of(verb).words)) from None
    facts = in_utc(booked_facts(booked.operations))
    return Response(
        facts, status=201, headers={**({REPLAYED: "true"} if is_again else {}), **_location(request, facts)}
    )


def told_act(verb: str, request: Request) -> dict[str, Any]:
    """Tell one act: where it is sent, who may do it, what it takes."""
    kind = all_acts()[verb].words
    return {
        "verb": verb,
        "url": request.build_absolute_uri(reverse("api-act", args=[slug_of(verb)])),
        "who": list(who_may(verb)) if verb in WHO_MAY else None,
        "needs": [field.name for field in fields(kind) if is_needed(field)],
        "fields": dict(tell(kind)),
    }


def slug_of(verb: str) -> str:
    """Write a verb as it stands in an address: "add cross" -> "add-cross"."""
    return plain_verb(verb).replace(" ", "-")


def _location(request: Request, facts: Mapping[str, Any]) -> dict[str, str]:
    """Say where the first lot that was made is read."""
    if facts["lots"]:
        return {"Location": request.build_absolute_uri(reverse("api-lot", args=[facts["lots"][0]["lot"]]))}
    return {}
