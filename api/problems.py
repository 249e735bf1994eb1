"""Whatever stands in the way as one shape: problem details of RFC 9457, with the sentences of every other door."""

from collections.abc import Mapping, Sequence
from http import HTTPStatus
from typing import Any

from django.http import Http404
from rest_framework.exceptions import APIException, MethodNotAllowed, NotAuthenticated, UnsupportedMediaType
from rest_framework.response import Response
from rest_framework.views import exception_handler

from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.reading import listed
from inventory.rules.roles import MayNot

MEDIA_TYPE = "application/problem+json"


def answer_with_problem(error: Exception, context: dict[str, Any]) -> Response | None:
    """Translate a refusal or an error of the framework; anything else is a fault of ours and stays one."""
    if isinstance(error, Refused):
        return _refused(error.mistakes)
    if isinstance(error, Mistake):
        return _problem(HTTPStatus.NOT_FOUND, error.says, (error,))
    if isinstance(error, Http404):
        return _problem(HTTPStatus.NOT_FOUND, str(error) or "There is nothing at this address.")
    response = exception_handler(error, context)
    if response is None or not isinstance(error, APIException):
        return response
    headers = {
        name: response[name] for name in ("WWW-Authenticate", "Retry-After", "Allow") if response.has_header(name)
    }
    return _problem(HTTPStatus(response.status_code), _says(error, context), headers=headers)


def _says(error: APIException, context: Mapping[str, Any]) -> str:
    """Say what to do about an error of the framework, which only names it."""
    if isinstance(error, NotAuthenticated):
        return "No key was sent. Send one as Authorization: Bearer and the key; manage.py token makes one."
    if isinstance(error, UnsupportedMediaType):
        return "The body is of a kind that is not read here. Send one JSON object as application/json."
    if isinstance(error, MethodNotAllowed):
        methods = listed(list(context["view"].allowed_methods))
        return f"Nothing is done here with this method. Send {methods}."
    return str(error.detail)


def _refused(mistakes: Sequence[Mistake]) -> Response:
    status = HTTPStatus.UNPROCESSABLE_ENTITY
    if all(isinstance(mistake, MayNot) for mistake in mistakes):
        status = HTTPStatus.FORBIDDEN
    return _problem(status, " ".join(mistake.says for mistake in mistakes), mistakes)


def _problem(
    status: HTTPStatus, says: str, mistakes: Sequence[Mistake] = (), headers: dict[str, str] | None = None
) -> Response:
    body = {"type": "about:blank", "title": status.phrase, "status": int(status), "detail": says}
    each = {"mistakes": [_mistake(mistake) for mistake in mistakes]} if mistakes else {}
    return Response({**body, **each}, status=status, headers=headers, content_type=MEDIA_TYPE)


def _mistake(mistake: Mistake) -> dict[str, Any]:
    return {
        "code": mistake.code, "level": str(mistake.level), "field": mistake.field, "says": mistake.says,
        "proposal": mistake.proposal,
    }  # fmt: skip
