"""Addresses that are told, by a program: add, change, end, try them, and read what came of it."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from django.http import HttpResponse
from django.urls import reverse
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from api.v1.asked import asked, person_of, station_for
from api.v1.conditions import etag_of, must_match, unless_known
from api.v1.describing import ANY, Told, content, reads, seen, sends
from api.v1.listing import Things, row_as_json, row_with_uid
from api.v1.shapes import row_shape, words_shape
from api.v1.shelves import BY_NAME
from api.webhooks.models import Delivery, Webhook
from api.webhooks.subscribing import Change, Wanted, change, end, must_be_theirs, renew_secret, subscribe
from api.webhooks.telling import send_again, trial_message
from inventory.importing.words import fill

SHELF, LOG = BY_NAME["webhooks"], BY_NAME["deliveries"]
EXAMPLE = {"name": "stock board", "url": "https://example.org/hilum", "kinds": ["receive", "ship", "reverse"]}


_MOVES = ("seq", "failing_since")  # told in the list alone
_ONE = tuple(column for column in SHELF.columns if column.name not in _MOVES)


@dataclass(frozen=True, kw_only=True)
class Nothing:
    """Nothing is asked for."""


class Webhooks(Things):
    """Addresses that are told, and adding one."""

    shelf = SHELF

    def post(self, request: Request) -> Response:
        """Tell an address from now on, and show the secret that signs what it is sent, this once."""
        asked(request)
        wanted = fill(Wanted, dict(request.data))
        hook = subscribe(wanted, station=station_for(request), by=person_of(request), now=datetime.now(UTC))
        where = request.build_absolute_uri(reverse("api-webhook", args=[hook.uid]))
        row = _told(request, hook)
        return Response({**row, "secret": hook.secret}, status=201, headers={"Location": where, "ETag": etag_of(row)})

    @staticmethod
    def told(method: str) -> Told | None:
        """Describe adding one."""
        answer = {"201": content("it is told from now on; `secret` is shown this once", ANY)}
        return sends("Tell an address of acts", words_shape(Wanted), EXAMPLE, answer) if method == "POST" else None


class OneWebhook(APIView):
    """One address."""

    shelf = SHELF

    def get(self, request: Request, name: str) -> HttpResponse:
        """Answer it, without its secret."""
        asked(request)
        return unless_known(request, _told(request, _webhook(request, name)))

    def patch(self, request: Request, name: str) -> HttpResponse:
        """Change it."""
        asked(request)
        words = fill(Change, dict(request.data))
        hook = change(_webhook(request, name), words, by=person_of(request), seen=_matching(request))
        return unless_known(request, _told(request, hook))

    def delete(self, request: Request, name: str) -> HttpResponse:
        """End it, with its log."""
        asked(request)
        end(_webhook(request, name), by=person_of(request), seen=_matching(request))
        return HttpResponse(status=204)

    @staticmethod
    def told(method: str) -> Told:
        """Describe each."""
        row = row_shape(_ONE)
        if method == "GET":
            return reads("One address that is told", row)
        if method == "PATCH":
            return sends(
                "Change an address, turn it off or on", words_shape(Change), {"active": False},
                {"200": content("as it is now", row)}, seen(),
            )  # fmt: skip
        gone = {"204": {"description": "it is told no more; its log is gone too"}}
        return {"summary": "End an address", "parameters": [seen()], "responses": gone}


class WebhookTest(APIView):
    """A message that tells nothing."""

    def post(self, request: Request, name: str) -> Response:
        """Queue it; the log says whether it arrived."""
        asked(request)
        fill(Nothing, dict(request.data))
        hook = _webhook(request, name)
        must_be_theirs(hook, person_of(request))
        return Response(row_as_json(request, LOG, trial_message(hook, datetime.now(UTC))), status=202)

    @staticmethod
    def told(_method: str) -> Told:
        """Describe it."""
        answer = {"202": content("its line of the log", row_shape(LOG.columns))}
        return sends("Send an address a test", words_shape(Nothing), {}, answer)


class WebhookSecret(APIView):
    """Another secret."""

    def post(self, request: Request, name: str) -> Response:
        """Make it and show it this once; for a day the old one signs as well."""
        asked(request)
        fill(Nothing, dict(request.data))
        hook = renew_secret(_webhook(request, name), by=person_of(request), now=datetime.now(UTC))
        return Response({**_told(request, hook), "secret": hook.secret}, status=201)

    @staticmethod
    def told(_method: str) -> Told:
        """Describe it."""
        answer = {"201": content("`secret` is shown this once; the old one signs for a day more", ANY)}
        return sends("Give an address a new secret", words_shape(Nothing), {}, answer)


class Redeliver(APIView):
    """A message once more."""

    def post(self, request: Request, name: str) -> Response:
        """Queue it again under its own id."""
        asked(request)
        fill(Nothing, dict(request.data))
        delivery: Delivery = row_with_uid(request, LOG, name, "webhook")
        must_be_theirs(delivery.webhook, person_of(request))
        return Response(row_as_json(request, LOG, send_again(delivery, datetime.now(UTC))), status=202)

    @staticmethod
    def told(_method: str) -> Told:
        """Describe it."""
        answer = {"202": content("its line of the log", row_shape(LOG.columns))}
        return sends("Send a message again", words_shape(Nothing), {}, answer)


def _webhook(request: Request, name: str) -> Webhook:
    hook: Webhook = row_with_uid(request, SHELF, name, "station")
    return hook


def _matching(request: Request) -> Callable[[Webhook], None]:
    return lambda hook: must_match(request, _told(request, hook))


def _told(request: Request, hook: Webhook) -> dict[str, Any]:
    """Tell one without how far it was told: its ETag is over what people set, and stays while acts are queued."""
    return {name: value for name, value in row_as_json(request, SHELF, hook).items() if name not in _MOVES}
