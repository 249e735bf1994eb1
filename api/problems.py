"""Whatever stands in the way as one shape: problem details of RFC 9457, with the sentences of every other door.

A program branches on `code`, of the whole and of each of `errors`; `detail` is for people. 409 asks: nothing is wrong
for certain, and the same request goes through with a reason under `answers`. 422 refuses. 503 names a plugin that
failed.
"""

import re
from collections.abc import Mapping, Sequence
from http import HTTPStatus
from typing import Any

from django.http import Http404
from rest_framework.exceptions import (
    APIException,
    MethodNotAllowed,
    NotAuthenticated,
    Throttled,
    UnsupportedMediaType,
)
from rest_framework.response import Response
from rest_framework.views import exception_handler

from api.unusable import NotThere, Unusable
from inventory.rules.mistakes import Level, Mistake, Refused
from inventory.rules.plugin_mistakes import PluginFailed
from inventory.rules.reading import listed
from inventory.rules.roles import MayNot

__all__ = ["MEDIA_TYPE", "NotThere", "Unusable", "answer_with_problem", "pointer_of"]
MEDIA_TYPE = "application/problem+json"
ASKS = (Level.QUESTION, Level.DUPLICATE)
HEADERS = ("WWW-Authenticate", "Retry-After", "Allow")


def answer_with_problem(error: Exception, context: dict[str, Any]) -> Response | None:
    """Translate a refusal or an error of the framework; anything else is a fault of ours and stays one."""
    where = context["request"].path if context.get("request") else ""
    if isinstance(error, Refused):
        return _refused(error.mistakes, where)
    if isinstance(error, Mistake):
        return _problem(HTTPStatus.NOT_FOUND, error.says, where, (error,))
    if isinstance(error, Unusable):
        return _problem(HTTPStatus(error.status_code), str(error.detail), where, error.mistakes)
    if isinstance(error, Http404):
        return _problem(HTTPStatus.NOT_FOUND, str(error) or "There is nothing at this address.", where)
    response = exception_handler(error, context)
    if response is None or not isinstance(error, APIException):
        return response
    headers = {name: response[name] for name in HEADERS if response.has_header(name)}
    return _problem(HTTPStatus(response.status_code), says_of(error, context), where, headers=headers)


def pointer_of(field: str) -> str:
    """Write a field as a JSON pointer (RFC 6901) into the body: "outs.1.mass" -> "/outs/0/mass".

    Args:
        field: as sentences name it, the parts of a list counted from one.
    """
    if not field:
        return ""
    parts = [part.replace("~", "~0").replace("/", "~1") for part in field.split(".")]
    return "".join(f"/{int(part) - 1 if re.fullmatch('[1-9][0-9]{0,8}', part) else part}" for part in parts)


def says_of(error: APIException, context: Mapping[str, Any]) -> str:
    """Say what to do about an error of the framework, which only names it."""
    if isinstance(error, NotAuthenticated):
        return "No key was sent. Send one as Authorization: Bearer and the key; the page Connections makes one."
    if isinstance(error, Throttled):
        seconds: float | None = getattr(error, "wait", None)
        wait = f"Try again in {seconds:,.0f} seconds" if seconds else "Try again in a minute"
        return f"This key sends more requests a minute than are answered. {wait}."
    if isinstance(error, UnsupportedMediaType):
        return "The body is of a kind that is not read here. Send one JSON object as application/json."
    if isinstance(error, MethodNotAllowed):
        methods = listed(list(context["view"].allowed_methods))
        return f"Nothing is done here with this method. Send {methods}."
    return str(error.detail)


def _refused(mistakes: Sequence[Mistake], where: str) -> Response:
    status = HTTPStatus.UNPROCESSABLE_ENTITY
    if mistakes and all(isinstance(mistake, MayNot) for mistake in mistakes):
        status = HTTPStatus.FORBIDDEN
    elif any(isinstance(mistake, PluginFailed) for mistake in mistakes):
        status = HTTPStatus.SERVICE_UNAVAILABLE
    elif mistakes and all(mistake.level in ASKS for mistake in mistakes):
        status = HTTPStatus.CONFLICT
    return _problem(status, " ".join(mistake.says for mistake in mistakes), where, mistakes)


def _problem(
    status: HTTPStatus, says: str, where: str, mistakes: Sequence[Mistake] = (), headers: dict[str, str] | None = None
) -> Response:
    codes = [mistake.code for mistake in mistakes]
    body = {
        "type": "about:blank", "title": status.phrase, "status": int(status), "detail": says, "instance": where,
        "code": codes[0] if len(set(codes)) == 1 else status.name.lower(),
    }  # fmt: skip
    each = {"errors": [_error(mistake) for mistake in mistakes]} if mistakes else {}
    return Response({**body, **each}, status=status, headers=headers, content_type=MEDIA_TYPE)


def _error(mistake: Mistake) -> dict[str, Any]:
    return {
        "code": mistake.code, "level": str(mistake.level), "field": mistake.field, "pointer": pointer_of(mistake.field),
        "detail": mistake.says, "proposal": mistake.proposal, "answer": _how_to_answer(mistake),
    }  # fmt: skip


def _how_to_answer(mistake: Mistake) -> str | None:
    """Say how a question is answered: by a reason, or by sending what was meant."""
    if mistake.level not in ASKS:
        return None
    readings = getattr(mistake, "readings", ())
    if readings:
        return f"Send {mistake.field} as {listed([str(reading) for reading in readings])}."
    return f'If it is right, send the same again with "answers": {{"{mistake.code}": "why it is right"}}.'
