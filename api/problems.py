"""Whatever stands in the way as one shape: problem details of RFC 9457, with the sentences of every other door.

A program branches on `code`, of the whole and of each of `errors`; `detail` is for people. 409 asks: nothing is wrong
for certain, and the same request goes through with a reason under `answers`. 422 refuses. 503 names a plugin that
failed, or books that are busy.
"""

import re
from collections.abc import Mapping, Sequence
from http import HTTPStatus
from typing import Any

from django.http import Http404, HttpRequest
from rest_framework.exceptions import (
    APIException,
    MethodNotAllowed,
    NotAcceptable,
    NotAuthenticated,
    Throttled,
    UnsupportedMediaType,
)
from rest_framework.response import Response
from rest_framework.views import exception_handler

from api.unusable import NotThere, Unusable, busy_or
from api.wording import said, title_of_http
from hilum.request_ids import request_id_of
from inventory.rules.mistakes import Level, Mistake, Refused
from inventory.rules.plugin_mistakes import PluginFailed
from inventory.rules.reading import listed
from inventory.rules.roles import MayNot

__all__ = ["MEDIA_TYPE", "NotThere", "Unusable", "answer_with_problem", "pointer_of", "problem_of"]
MEDIA_TYPE = "application/problem+json"
ASKS = (Level.QUESTION, Level.DUPLICATE)
HEADERS = ("WWW-Authenticate", "Retry-After", "Allow")


def answer_with_problem(error: Exception, context: dict[str, Any]) -> Response | None:
    """Translate a refusal or an error of the framework; anything else is a fault of ours and stays one."""
    request, error = context["request"], busy_or(error)
    if isinstance(error, Refused | Mistake | Unusable | Http404):
        body = problem_of(error, request)
        own = dict(error.headers) if isinstance(error, Unusable) else None
        return Response(body, status=body["status"], headers=own, content_type=MEDIA_TYPE)
    response = exception_handler(error, context)
    if response is None or not isinstance(error, APIException):
        return response
    headers = {name: response[name] for name in HEADERS if response.has_header(name)}
    body = _problem(HTTPStatus(response.status_code), says_of(error, context), request)
    return Response(body, status=response.status_code, headers=headers, content_type=MEDIA_TYPE)


def problem_of(error: "Refused | Mistake | Unusable | Http404", request: HttpRequest) -> dict[str, Any]:
    """Write what stands in the way as a problem, with its status in it."""
    if isinstance(error, Refused):
        says = " ".join(said(mistake) for mistake in error.mistakes)
        return _problem(_status_of(error.mistakes), says, request, error.mistakes)
    if isinstance(error, Mistake):
        return _problem(HTTPStatus.NOT_FOUND, error.says, request, (error,))
    if isinstance(error, Unusable):
        return _problem(HTTPStatus(error.status_code), str(error.detail), request, error.mistakes)
    return _problem(HTTPStatus.NOT_FOUND, str(error) or "There is nothing at this address.", request)


def type_address(request: HttpRequest, code: str) -> str:
    """Give the address that tells what a code means, which is a problem's `type`."""
    return request.build_absolute_uri(f"/api/problems/{code}")


def title_of(kind: type[Mistake]) -> str:
    """Say what kind of problem it is, whoever meets it: the first line of its description."""
    return (kind.__doc__ or kind.__name__).strip().partition("\n")[0].rstrip(".")


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
    if isinstance(error, NotAcceptable):
        return _kinds_of_answer(context["view"])
    return str(error.detail)


def _kinds_of_answer(view: Any) -> str:
    shelf = getattr(view, "shelf", None)
    is_list = shelf is not None and "name" not in getattr(view, "kwargs", {})
    csv = f" As CSV this list stands at /api/v1/{shelf.name}/export?format=csv." if shelf and is_list else ""
    kinds = listed([one.media_type for one in view.renderer_classes])
    return f"This address answers as {kinds}. Send that as Accept, or leave the header out.{csv}"


def _status_of(mistakes: Sequence[Mistake]) -> HTTPStatus:
    if mistakes and all(isinstance(mistake, MayNot) for mistake in mistakes):
        return HTTPStatus.FORBIDDEN
    if any(isinstance(mistake, PluginFailed) for mistake in mistakes):
        return HTTPStatus.SERVICE_UNAVAILABLE
    if mistakes and all(mistake.level in ASKS for mistake in mistakes):
        return HTTPStatus.CONFLICT
    return HTTPStatus.UNPROCESSABLE_ENTITY


def _problem(status: HTTPStatus, says: str, request: HttpRequest, mistakes: Sequence[Mistake] = ()) -> dict[str, Any]:
    kinds = {mistake.code: type(mistake) for mistake in mistakes}
    code, kind = next(iter(kinds.items())) if len(kinds) == 1 else (status.name.lower(), None)
    body = {
        "type": type_address(request, code),
        "title": title_of(kind) if kind else title_of_http(status), "status": int(status),
        "detail": says, "instance": request.path, "code": code, "request_id": request_id_of(request),
    }  # fmt: skip
    return {**body, "errors": [_error(mistake) for mistake in mistakes]} if mistakes else body


def _error(mistake: Mistake) -> dict[str, Any]:
    return {
        "code": mistake.code, "level": str(mistake.level), "field": mistake.field, "pointer": pointer_of(mistake.field),
        "detail": said(mistake), "proposal": mistake.proposal, "answer": _how_to_answer(mistake),
    }  # fmt: skip


def _how_to_answer(mistake: Mistake) -> str | None:
    """Say how a question is answered: by a reason, or by sending what was meant."""
    if mistake.level not in ASKS:
        return None
    readings = getattr(mistake, "readings", ())
    if readings:
        return f"Send {mistake.field} as {listed([str(reading) for reading in readings])}."
    return f'If it is right, send the same again with "answers": {{"{mistake.code}": "why it is right"}}.'
