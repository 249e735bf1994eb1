"""Errors as the standard words them: one JSON string, `ERROR - instant - sentence`; never HTML, never an envelope.

The standard knows 400, 401, 403, 404 and 500; what else HTTP has (405, 413, 415, 429) is worded in the same way.
"""

import logging
from datetime import UTC, datetime
from http import HTTPStatus
from typing import Any

from django.core.exceptions import PermissionDenied
from django.core.signals import got_request_exception
from django.http import Http404
from rest_framework.exceptions import APIException, UnsupportedMediaType
from rest_framework.response import Response
from rest_framework.views import exception_handler

from api.problems import HEADERS, Unusable, says_of
from api.unusable import busy_or
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.roles import MayNot

_NOT_JSON = "The body is of a kind that is not read here. Send JSON as application/json."
_HOW = {"which_place": 'Send it as "fromPlace" in additionalInfo.'}  # the standard has no field for it
_log = logging.getLogger("django.request")


class NoSuch(Exception):  # noqa: N818 - says what happened
    """A DbId in the path that is not here."""

    def __init__(self, what: str, typed: str) -> None:
        super().__init__(f"No {what} {typed[:80]!r} is here. Ask the list for those that are.")


class BadRequest(Exception):  # noqa: N818 - says what happened
    """A request that cannot be read as the standard has it; the text says what to send."""


def answer_with_text(error: Exception, context: dict[str, Any]) -> Response:
    """Word any error: a refusal, an error of the framework, or a fault of ours, which is logged and told as 500."""
    error = busy_or(error)
    if isinstance(error, APIException) and not isinstance(error, Unusable):
        known = exception_handler(error, context)
        headers = {name: known[name] for name in HEADERS if known is not None and known.has_header(name)}
        says = _NOT_JSON if isinstance(error, UnsupportedMediaType) else says_of(error, context)
        return as_text(HTTPStatus(error.status_code), says, headers)
    status = _status_of(error)
    if status is HTTPStatus.INTERNAL_SERVER_ERROR:
        return _fault(error, context)
    return as_text(status, _says(error) or f"{status.phrase}.")


def _says(error: Exception) -> str:
    if not isinstance(error, Refused):
        return str(error)
    return " ".join(f"{one.says} {_HOW.get(one.code, '')}".rstrip() for one in error.mistakes)


def _status_of(error: Exception) -> HTTPStatus:
    if isinstance(error, Refused):
        is_of_another = bool(error.mistakes) and all(isinstance(one, MayNot) for one in error.mistakes)
        return HTTPStatus.FORBIDDEN if is_of_another else HTTPStatus.BAD_REQUEST
    if isinstance(error, Unusable):
        return HTTPStatus(error.status_code)
    known: dict[type[Exception] | tuple[type[Exception], ...], HTTPStatus] = {
        (Mistake, BadRequest): HTTPStatus.BAD_REQUEST,
        (NoSuch, Http404): HTTPStatus.NOT_FOUND,
        PermissionDenied: HTTPStatus.FORBIDDEN,
    }
    fits = (status for kind, status in known.items() if isinstance(error, kind))
    return next(fits, HTTPStatus.INTERNAL_SERVER_ERROR)


def as_text(status: HTTPStatus, says: str, headers: dict[str, str] | None = None) -> Response:
    """Word one error."""
    now = datetime.now(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
    return Response(f"ERROR - {now} - {says}", status=status, headers=headers)


def _fault(error: Exception, context: dict[str, Any]) -> Response:
    request = context["request"]
    got_request_exception.send(sender=type(context["view"]), request=request)
    _log.error("%s: %s", HTTPStatus.INTERNAL_SERVER_ERROR.phrase, request.path, exc_info=error)
    says = "Something went wrong here, not with the request. Nothing was booked; whoever runs the server finds why in "
    return as_text(HTTPStatus.INTERNAL_SERVER_ERROR, f"{says}its log.")
